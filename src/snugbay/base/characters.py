"""Characters that a screen obeys instead of showing."""

from __future__ import annotations

import re

STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""What a terminal obeys or what turns the order of a text round; tab and line end are none of them."""


def plain_line(text: str) -> str:
    """Return a text in which a mark (U+FFFD) stands for each character that a screen would obey."""
    return STEERING.sub("\ufffd", text)
