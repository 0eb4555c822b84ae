"""Room survey."""
