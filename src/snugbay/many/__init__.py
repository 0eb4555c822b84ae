"""Room many."""
