"""Room materials."""
