"""Room weigh."""
