"""Room sheets."""
