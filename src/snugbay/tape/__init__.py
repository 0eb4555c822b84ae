"""Room tape."""
