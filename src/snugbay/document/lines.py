"""Find the line of every field in a TOML text, so that an error can point at it."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence

Path = tuple[str | int, ...]
Lines = dict[Path, int]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'",
    re.DOTALL,
)
_BARE = re.compile(r"[A-Za-z0-9_\-]+")
_SCALAR = re.compile(r"[^,\]}\n#]*")


def field_lines(text: str) -> Lines:
    """Return the line, counted from 1, of every table, key and list entry: ``("faces", 0, "outline") -> 12``.

    Parameters
    ----------
    text : str
        Valid TOML; what follows the first thing that is not is left out.
    """
    return _Scanner(text).lines


def line_of(lines: Lines, path: Sequence[str | int]) -> int | None:
    """Return the line of a field, or of the nearest table or key round it."""
    for length in range(len(path), 0, -1):
        found = lines.get(tuple(path[:length]))
        if found is not None:
            return found
    return None


class _Scanner:
    """Walks once through a text that a TOML reader has already found good."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 1 if text.startswith("\ufeff") else 0
        self.lines: Lines = {}
        self._ends = [m.start() for m in re.finditer("\n", text)]
        self._counts: dict[Path, int] = {}
        self._document()

    def _note(self, path: Path) -> None:
        self.lines.setdefault(path, bisect_right(self._ends, self.at - 1) + 1)

    def _blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def _eat(self, mark: str) -> bool:
        if not self.text.startswith(mark, self.at):
            return False
        self.at += len(mark)
        return True

    def _document(self) -> None:
        table: Path = ()
        self._blank()
        while self.at < len(self.text):
            before = self.at
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)
            self._blank()
            if self.at == before:
                return

    def _header(self) -> Path:
        start = self.at
        is_list = self.text.startswith("[[", self.at)
        self.at += 2 if is_list else 1
        names = self._key()
        self._eat("]]" if is_list else "]")
        path: Path = ()
        end, self.at = self.at, start
        for position, name in enumerate(names):
            path = (*path, name)
            if position == len(names) - 1 and is_list:
                self._counts[path] = self._counts.get(path, -1) + 1
            self._note(path)
            if path in self._counts:
                path = (*path, self._counts[path])
        self._note(path)
        self.at = end
        return path

    def _key(self) -> tuple[str, ...]:
        names: list[str] = []
        while True:
            self._blank()
            quoted = _STRING.match(self.text, self.at)
            found = quoted or _BARE.match(self.text, self.at)
            if found is None:
                return tuple(names)
            names.append(found[0][1:-1] if quoted else found[0])
            self.at = found.end()
            self._blank()
            if not self._eat("."):
                return tuple(names)

    def _pair(self, table: Path) -> None:
        start = self.at
        names = self._key()
        end, self.at = self.at, start
        path = table
        for name in names:
            path = (*path, name)
            self._note(path)
        self.at = end
        if names and self._eat("="):
            self._value(path)

    def _value(self, path: Path) -> None:
        self._blank()
        if self._eat("["):
            self._entries(path, "]")
        elif self._eat("{"):
            self._entries(path, "}")
        else:
            found = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
            self.at = found.end() if found else self.at

    def _entries(self, path: Path, close: str) -> None:
        number = 0
        while self.at < len(self.text):
            self._blank()
            if self._eat(close):
                return
            before = self.at
            if close == "]":
                self._note((*path, number))
                self._value((*path, number))
                number += 1
            else:
                self._pair(path)
            self._blank()
            if not self._eat(",") and self.at == before:
                return
