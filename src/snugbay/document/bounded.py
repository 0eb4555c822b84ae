"""TOML and JSON of any origin: how much and how deep is known before anything is built of it."""

from __future__ import annotations

import json
import re
import tomllib
from typing import Any

from snugbay.base import InputError
from snugbay.base.characters import STEERING, plain_line
from snugbay.disk.reading import LARGEST, RIGHT_FILE
from snugbay.document.wording import toml_said

MOST_KEYS = 20_000
"""Keys in a document: the longest job met has a tenth of that."""
MOST_ENTRIES = 100_000
"""Commas, brackets, dots and lines in a document."""
DEEPEST = 24
"""Brackets in brackets."""
LONGEST_PATH = 12
"""Names in one dotted key; a job needs three."""
MOST_DIGITS = 40
"""Digits in one number."""
LONGEST_TEXT = 20_000
"""Characters in one text: a note of ten pages."""

_STRINGS = re.compile(
    r'"""(?:[^\\]|\\.)*?(?:"{3,5}|\Z)|' + r"'''.*?(?:'{3,5}|\Z)|" + r'"(?:[^"\\\n]|\\.)*+"?|' + r"'[^'\n]*+'?|#[^\n]*",
    re.DOTALL,
)
"""Texts and comments, also such as do not end: each is passed once."""
_PARTS = re.compile(r"[^,={}\[\]\n]+|[,={}\[\]\n]")
_LONG_NUMBER = re.compile(rf"(?<![\w.])[+-]?\d[\d_]{{{MOST_DIGITS},}}")


def toml_data(text: str) -> dict[str, Any]:
    """Read TOML of any origin into plain data.

    Parameters
    ----------
    text : str
        Looked through once for its size and depth before it is read, in time that grows with its length.

    Returns
    -------
    dict
        Tables, lists, texts, numbers, dates.

    Raises
    ------
    InputError
        If it is empty, no TOML, too long, too deep, or holds characters that steer a terminal; with its line.
    """
    text = text.removeprefix("\ufeff")
    if len(text) > LARGEST:
        raise InputError("The file is far too long for a job.", hint=RIGHT_FILE, code="document.size")
    if not text.strip():
        raise InputError("The file is empty.", hint="Start from an example: snugbay example.", code="document.empty")
    _look_through(_STRINGS.sub(_without_content, text))
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _bad_toml(error, text) from None
    except (ValueError, RecursionError):
        raise _too("a number too long, or brackets in brackets too deep") from None
    _check_characters(data)
    return data


def json_data(text: str) -> object:
    """Read JSON of any origin.

    Raises
    ------
    InputError
        If it is no JSON, nests too deep or holds a number too long.
    """
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"The file is not JSON: {error.msg}.", line=error.lineno, hint="Look at this line.") from None
    except (ValueError, RecursionError):
        raise _too("a number too long, or brackets in brackets too deep") from None


def _without_content(found: re.Match[str]) -> str:
    """Return what stands for a text or comment while depth is looked at: its lines, so that numbers of lines hold."""
    return ("" if found[0].startswith("#") else "0") + "\n" * found[0].count("\n")


def _too(what: str, line: int | None = None) -> InputError:
    return InputError(f"The file holds {what} to be read.", hint=RIGHT_FILE, line=line, code="document.toml")


def _look_through(bare: str) -> None:
    """Refuse what would take long to read, whatever it says."""
    depth, line, keys, entries = 0, 1, 0, 0
    for found in _PARTS.finditer(bare):
        part = found[0]
        if part in "[{":
            depth += 1
            if depth > DEEPEST:
                raise _too("brackets in brackets too deep", line)
        elif part in "]}":
            depth = max(0, depth - 1)
        elif part == "\n":
            line += 1
        elif part == "=":
            keys += 1
        elif part != ",":
            dots = part.count(".")
            if dots >= LONGEST_PATH:
                raise _too("a dotted name too long", line)
            if _LONG_NUMBER.search(part):
                raise _too("a number too long", line)
            entries += dots
            continue
        entries += 1
        if keys > MOST_KEYS or entries > MOST_ENTRIES:
            raise _too("too many fields and entries", line)


def _bad_toml(error: tomllib.TOMLDecodeError, text: str) -> InputError:
    line = getattr(error, "lineno", None)
    if line is None and "line " in str(error):
        digits = str(error).rsplit("line ", 1)[1].split(",")[0]
        line = int(digits) if digits.isdigit() else None
    if line is None and "end of document" in str(error):
        line = text.count("\n") + 1
    what, hint = toml_said(str(error).split(" (at")[0])
    return InputError(what, hint=hint, line=line, code="document.toml")


def _check_characters(data: dict[str, Any]) -> None:
    """Refuse texts and names that hold characters which steer a terminal."""
    waiting: list[tuple[tuple[str | int, ...], object]] = [((), data)]
    while waiting:
        where, node = waiting.pop()
        if isinstance(node, dict):
            for key, value in node.items():
                if STEERING.search(key):
                    raise _steering(plain_line(key), where)
                waiting.append(((*where, key), value))
        elif isinstance(node, list):
            waiting += [((*where, number), value) for number, value in enumerate(node)]
        elif isinstance(node, str):
            if len(node) > LONGEST_TEXT:
                raise InputError(
                    f"This text is too long: {len(node):,} characters, {LONGEST_TEXT:,} at most.",
                    where=where,
                    hint=RIGHT_FILE,
                    code="document.size",
                )
            if STEERING.search(node):
                raise _steering(plain_line(node)[:60], where)


def _steering(shown: str, where: tuple[str | int, ...]) -> InputError:
    return InputError(
        f"The text {shown!r} holds a character that is not to be seen but obeyed by a screen.",
        where=where,
        hint="Type the text again.",
        code="document.characters",
    )
