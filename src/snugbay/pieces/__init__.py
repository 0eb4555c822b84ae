"""Room pieces."""
