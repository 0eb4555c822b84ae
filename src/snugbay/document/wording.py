"""What the checking library finds wrong with a document, said in words of the trade: one translator for all of it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from snugbay.document.outline import ANGLE_PATTERN, CORNER_PATTERN, EDGE_PATTERN, NAME_PATTERN

Fault = Mapping[str, Any]
"""One fault as the library gives it: type, loc, msg, input, ctx."""

LONGEST_SHOWN = 40
"""More of a wrong value is not repeated. [characters]"""
FEW = 6
"""So many choices are all named, of more the close ones. [-]"""
_QUOTED = re.compile(r"'([^']*)'")
_PATTERNS = {
    NAME_PATTERN: ("no name", "Use letters, digits, spaces, dots and dashes; begin with a letter or digit."),
    EDGE_PATTERN: ("no edge", "Name its two corners: A-B."),
    CORNER_PATTERN: ("no corner", "Name it with a capital letter: A."),
    ANGLE_PATTERN: ("no angle between three corners", "Name the three corners: A-B-C."),
}
_KINDS = {
    "string": ("text", "Put it in quotes."),
    "bool": ("true or false", "Write true or false, without quotes."),
    "int": ("a whole number", "Write a number without quotes or fraction."),
    "float": ("a number", "Write a number without quotes."),
    "list": ("a list", "Write it in square brackets: [ ... ]."),
    "dict": ("a table", "Write it in braces: { field = value }."),
    "model": ("a table", "Write it in braces: { field = value }."),
}
_BOUNDS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "not less than"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "not more than"),
}


def said(fault: Fault) -> tuple[str, str]:
    """Return what is wrong and what to do, in plain words.

    Parameters
    ----------
    fault : Mapping
        One of the faults that the library lists; of a kind that no rule knows, the value is refused as it stands.
    """
    kind = str(fault["type"])
    rule = _RULES.get(kind)
    if rule is not None:
        return rule(fault)
    if kind in _BOUNDS:
        name, words = _BOUNDS[kind]
        return f"{_value(fault)} is not possible here.", f"Give a number {words} {_plain(_ctx(fault).get(name))}."
    family = _KINDS.get(kind.split("_", maxsplit=1)[0])
    if family is not None:
        return f"{_value(fault)} is not {family[0]}.", family[1]
    return f"{_value(fault)} cannot be used here.", "Correct this field."


def _plain(number: Any) -> str:
    return f"{number:g}" if isinstance(number, (int, float)) else str(number)


def _value(fault: Fault) -> str:
    """Show the wrong value as it stands in a TOML file, cut where it is long."""
    raw = fault.get("input")
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, Mapping):
        return "This table"
    if isinstance(raw, Sequence) and not isinstance(raw, str):
        return "This list"
    if isinstance(raw, float) and not math.isfinite(raw):
        return _plain(raw)
    text = repr(raw) if isinstance(raw, (str, int, float)) else f"{raw}"
    return text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "...'"


_TOML = (
    ("twice", "A table or field stands twice.", "Put the two together, or remove one; several of a kind are [[name]]."),
    ("Duplicate", "A field stands twice in the same braces.", "Remove one of the two."),
    ("Cannot overwrite", "A field stands twice.", "Remove one of the two."),
    ("Cannot mutate", "A table is written in two ways.", "Keep braces { } or the heading [name], not both."),
    ("Unclosed array", "A bracket [ is never closed.", "Close it with ]."),
    ("Unclosed inline table", "A brace { is never closed.", "Close it with }."),
    ("Unterminated string", "A quote is never closed.", "Close it with the same quote."),
    ("Unescaped", "A backslash stands in a quoted text.", "Write single quotes round the text, or two backslashes."),
    ("Illegal character", "A character cannot stand here.", "Look for a missing quote, or an inch sign inside quotes."),
    ("newline or end of document after a statement", "Something stands after the value.",
     "An inch sign ends a quoted text: write '7 1/2 in', or single quotes round it."),
    ("Expected '=' after a key", "There is no equals sign after a name.", "Write name = value, or # for a remark."),
    ("Invalid value", "This value cannot be read.", "Put text and lengths with units into quotes."),
)  # fmt: skip
"""What the reader of TOML says, by a part of its sentence; ours and what to do."""


def toml_said(message: str) -> tuple[str, str]:
    """Return what keeps a text from being TOML, and what to do, in plain words."""
    for part, what, hint in _TOML:
        if part in message:
            return f"The file is not valid TOML: {what[0].lower()}{what[1:]}", hint
    return "The file is not valid TOML.", "Look at this line for a missing quote, bracket or equals sign."


def _ctx(fault: Fault) -> Mapping[str, Any]:
    return fault.get("ctx") or {}


def _last(fault: Fault) -> str:
    return str(fault["loc"][-1]) if fault["loc"] else "job"


_WANTED = {
    "name": 'Write name = "my-attic".',
    "units": 'Write units = "ft-in" or units = "mm".',
    "place": 'Write [place] and below it climate = "Portland, ME" or so.',
    "zones": "Write [[zones]] for each space: inside, outside, and every cold space between them.",
    "access": "Write [access] with width, height and clear_run of the smallest opening on the way in.",
    "kind": 'Write kind = "inside", "outside", "ground" or "buffer".',
    "part": 'Write what it is: part = "knee wall", "floor", "rafter slope" ...',
    "between": 'Write between = ["warm zone", "cold zone"], by their ids.',
    "outline": 'Write outline = { shape = "rectangle", width = ..., height = ... } or another shape.',
    "clear_run": "Write clear_run = the straight length free behind the opening.",
    "id": 'Write a short name of its own: id = "K1".',
}
"""What to write where a field is missing that every job, zone or face needs."""


def _missing(fault: Fault) -> tuple[str, str]:
    name = _last(fault)
    hint = "Add this field." if name == "kind" and fault["loc"][0] != "zones" else _WANTED.get(name, "Add this field.")
    return f"The field {name!r} is missing.", hint


def _extra(fault: Fault) -> tuple[str, str]:
    return f"There is no field called {_last(fault)!r} here.", "Remove it, or check its spelling."


def _own(fault: Fault) -> tuple[str, str]:
    """A sentence of our own validators; a length that cannot be read brings its hint along."""
    error = _ctx(fault).get("error")
    hint = getattr(error, "hint", "")
    text = str(getattr(error, "what", error)).rstrip(".")
    text = text[0].upper() + text[1:] + "." if text else "This cannot be used."
    return text, hint or ("" if "Write" in text else "Correct this field.")


def _choice(fault: Fault) -> tuple[str, str]:
    return f"{_value(fault)} is none of the choices.", _choices(
        fault.get("input"), str(_ctx(fault).get("expected", ""))
    )


def _choices(raw: Any, expected: str) -> str:
    """Name the close ones where there are many."""
    names = _QUOTED.findall(expected)
    close = get_close_matches(raw, names, n=3, cutoff=0.5) if isinstance(raw, str) else []
    if len(names) <= FEW or not close:
        return f"Write {expected}."
    return "Did you mean " + " or ".join(f"'{name}'" for name in close) + "?"


def _tag(fault: Fault) -> tuple[str, str]:
    return (
        f"There is no {_tag_field(fault)} {str(_ctx(fault).get('tag', ''))!r}.",
        f"Write one of {_ctx(fault).get('expected_tags', '')}.",
    )


def _tag_field(fault: Fault) -> str:
    """Return the field that says which of several tables this is: shape, or the kind of a space."""
    return str(_ctx(fault).get("discriminator", "shape")).strip("'")


def _no_tag(fault: Fault) -> tuple[str, str]:
    field = _tag_field(fault)
    return f"It does not say what {field} it is.", f'Add {field} = "...".'


def _pattern(fault: Fault) -> tuple[str, str]:
    what, hint = _PATTERNS.get(
        str(_ctx(fault).get("pattern")), ("not written as this field wants it", "Correct this field.")
    )
    return f"{_value(fault)} is {what}.", hint


def _short(fault: Fault) -> tuple[str, str]:
    least = _ctx(fault).get("min_length", 1)
    if str(fault["type"]).startswith("string"):
        return "This text is empty." if least == 1 else "This text is too short.", "Write it out."
    return "There are too few entries in this list.", f"Give at least {least}."


def _long(fault: Fault) -> tuple[str, str]:
    what = "This text is too long." if str(fault["type"]).startswith("string") else "There are too many entries here."
    return what, f"At most {_ctx(fault).get('max_length', 'a few')} are allowed."


def _endless(fault: Fault) -> tuple[str, str]:
    return f"{_value(fault)} is no number that can be reckoned with.", "Write a plain number."


_RULES: Mapping[str, Callable[[Fault], tuple[str, str]]] = {
    "missing": _missing,
    "extra_forbidden": _extra,
    "value_error": _own,
    "assertion_error": _own,
    "literal_error": _choice,
    "enum": _choice,
    "union_tag_invalid": _tag,
    "union_tag_not_found": _no_tag,
    "string_pattern_mismatch": _pattern,
    "string_too_short": _short,
    "string_too_long": _long,
    "too_short": _short,
    "too_long": _long,
    "finite_number": _endless,
}
