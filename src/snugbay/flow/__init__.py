"""Room flow."""
