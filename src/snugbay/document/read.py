"""Read a job document: TOML text to a job; every fault names its field and line and says what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from snugbay.base import InputError, Problems, SnugbayError
from snugbay.document.bounded import toml_data
from snugbay.document.convert import to_job
from snugbay.document.lines import Lines, Path, field_lines, line_of
from snugbay.document.models import VERSION, JobDoc
from snugbay.document.places import located, named, placed
from snugbay.document.upgrade import upgraded
from snugbay.document.wording import said
from snugbay.job import Job


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
        raise located(error, text) from None


def read_doc(text: str) -> JobDoc:
    """Read a document's models from TOML text; raises as `read` does."""
    data = toml_data(text)
    try:
        data = upgraded(data)
    except InputError as error:
        raise placed(error, data, field_lines(text)) from None
    units = data.get("units")
    try:
        return JobDoc.model_validate(data, context={"units": units if units in ("ft-in", "mm") else "mm"})
    except ValidationError as error:
        lines = field_lines(text)
        faults = [_fault(e, data, lines) for e in error.errors(include_url=False)]
        raise faults[0] if len(faults) == 1 else Problems(faults) from None


_CODES = {"missing": "document.missing", "extra_forbidden": "document.unknown"}


def _fault(fault: ErrorDetails, data: Mapping[str, Any], lines: Lines) -> InputError:
    path = _plain(fault["loc"], data)
    what, hint = said(fault)
    code = _CODES.get(fault["type"], "document.value")
    return InputError(what, where=named(path, data), hint=hint, line=line_of(lines, path), code=code)


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


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the job document."""
    made = JobDoc.model_json_schema()
    made["$id"] = f"snugbay-job-{VERSION}"
    return made
