"""Room physics."""
