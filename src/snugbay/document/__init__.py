"""Room document."""
