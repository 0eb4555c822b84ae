"""Room prove."""
