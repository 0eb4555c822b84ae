"""Read a job document: TOML text to a job; every fault names its field and line and says what to do."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from snugbay.base import InputError, Problems, SnugbayError, Where
from snugbay.document.convert import to_job
from snugbay.document.lines import field_lines, line_of
from snugbay.document.models import VERSION, JobDoc
from snugbay.document.upgrade import upgraded
from snugbay.job import Job

LARGEST = 2_000_000
"""A job document is never longer than this. [characters]"""

Path = tuple[str | int, ...]


def read(text: str) -> Job:
    """Read a job from TOML text.

    Parameters
    ----------
    text : str
        The document.

    Returns
    -------
    Job
        The job, with every default that was used.

    Raises
    ------
    InputError
        One fault, or `Problems` where there are several; each has its place, its line and a hint.
    """
    doc = read_doc(text)
    try:
        return to_job(doc)
    except SnugbayError as error:
        raise _placed(error, text, tomllib.loads(text)) from None


def read_doc(text: str) -> JobDoc:
    """Read a document's models from TOML text; raises as `read` does."""
    if len(text) > LARGEST:
        raise InputError("The file is far too long for a job.", hint="Is it the right file?", code="document.size")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _bad_toml(error, text) from None
    data = upgraded(data)
    units = data.get("units")
    try:
        return JobDoc.model_validate(data, context={"units": units if units in ("ft-in", "mm") else "mm"})
    except ValidationError as error:
        faults = [_fault(e["loc"], e["msg"], e["type"], text, data) for e in error.errors()]
        raise faults[0] if len(faults) == 1 else Problems(faults) from None


def _bad_toml(error: tomllib.TOMLDecodeError, text: str) -> InputError:
    line = getattr(error, "lineno", None)
    if line is None and "line " in str(error):
        digits = str(error).rsplit("line ", 1)[1].split(",")[0]
        line = int(digits) if digits.isdigit() else None
    if line is None and "end of document" in str(error):
        line = text.count("\n") + 1
    return InputError(
        f"The file is not valid TOML: {str(error).split(' (at')[0]}.",
        hint="Look at this line for a missing quote, bracket or equals sign.",
        line=line,
        code="document.toml",
    )


_HINTS = {
    "missing": "Add this field.",
    "extra_forbidden": "Remove it, or check its spelling.",
    "union_tag_invalid": "Use one of the names listed.",
    "union_tag_not_found": 'Add shape = "..." to say what it is.',
}


def _fault(loc: Sequence[str | int], message: str, kind: str, text: str, data: Mapping[str, Any]) -> InputError:
    path = _plain(loc, data)
    what = message.removeprefix("Value error, ").rstrip(".")
    what = what[0].upper() + what[1:] + "."
    if kind == "extra_forbidden":
        what = f"There is no field called {path[-1]!r} here."
    if kind == "missing":
        what = f"The field {path[-1]!r} is missing."
    hint = _HINTS.get(kind, "" if "Write" in what else "Correct this field.")
    line = line_of(field_lines(text), path)
    return InputError(what, where=_named(path, data), hint=hint, line=line, code=f"document.{kind}")


def _plain(loc: Sequence[str | int], data: Any) -> Path:
    """Drop the names of union members that pydantic puts into a location."""
    path: list[str | int] = []
    node: Any = data
    entered = False
    for position, step in enumerate(loc):
        is_tag = entered and isinstance(node, Mapping) and step == node.get("shape")
        entered = False
        if is_tag:
            continue
        if isinstance(step, int) and isinstance(node, list):
            path.append(step)
            node = node[step] if step < len(node) else None
            entered = True
        elif isinstance(node, Mapping) and step in node:
            path.append(step)
            node = node[step]
            entered = True
        elif isinstance(node, Mapping) and position == len(loc) - 1:
            path.append(step)
            node = None
    return tuple(path)


def _named(path: Path, data: Any) -> Where:
    """Put the id of a face, zone or shape in the place of its number."""
    named: list[str | int] = []
    node: Any = data
    for step in path:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            node = None
        ident = node.get("id") if isinstance(node, Mapping) else None
        named.append(ident if isinstance(step, int) and isinstance(ident, str) and ident else step)
    return tuple(named)


def _placed(error: SnugbayError, text: str, data: Mapping[str, Any]) -> SnugbayError:
    """Give the error of a conversion its line, and ids in the place of numbers."""
    if isinstance(error, Problems):
        return Problems(_placed(e, text, data) for e in error.errors)
    error.line = line_of(field_lines(text), error.where) if error.where else error.line
    error.where = _named(error.where, data)
    return error


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the job document."""
    made = JobDoc.model_json_schema()
    made["$id"] = f"snugbay-job-{VERSION}"
    return made
