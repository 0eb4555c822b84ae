"""Room draw."""
