"""Room base."""
