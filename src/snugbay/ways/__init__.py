"""Room ways."""
