"""Snugbay plans the insulating of awkward, cramped parts of a house."""

import os

# Matrices here are small: several threads wait for each other far longer than they work, and how many there are changes
# the last digits. Read when numpy is first imported; whoever has set it otherwise keeps that.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
