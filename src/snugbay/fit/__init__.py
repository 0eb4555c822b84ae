"""Room fit."""
