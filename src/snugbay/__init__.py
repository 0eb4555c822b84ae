"""Snugbay plans the insulating of awkward, cramped parts of a house."""

__version__ = "0.1.0"
