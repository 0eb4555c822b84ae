"""What a document holds where its form has a table, a list or a value: only that is handed to pages."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from snugbay.document import schema

Form = Mapping[str, Any]


@cache
def _document_form() -> Form:
    return schema()


def of_right_kind(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a document's data without tables, lists and values that stand where the form has another kind of thing.

    Parameters
    ----------
    data : Mapping
        As typed. Values are not judged, unknown fields stay: a page shows what was typed, and its fault.

    Returns
    -------
    dict
        Safe to walk as the form says. An entry of a list that is of the wrong kind is an empty table, so that those
        after it keep their numbers.
    """
    kept = _kept(dict(data), (_document_form(),))
    return kept if isinstance(kept, dict) else {}


def _forms(form: Form) -> tuple[Form, ...]:
    """Return the plain forms that a form may be: references followed, alternatives listed."""
    if "$ref" in form:
        return _forms(_document_form()["$defs"][str(form["$ref"]).rsplit("/", 1)[1]])
    several = form.get("anyOf") or form.get("oneOf")
    return tuple(f for one in several for f in _forms(one)) if several else (form,)


def _kind(form: Form) -> str:
    kind = str(form.get("type", "value"))
    return kind if kind in ("object", "array") else "value"


def _kept(value: object, forms: tuple[Form, ...]) -> object:
    """Return a value as far as one of the forms has its kind; None where none has."""
    if not forms:
        return value  # the form knows no such field: its fault says so
    plain = [f for form in forms for f in _forms(form)]
    kind = "object" if isinstance(value, dict) else "array" if isinstance(value, list) else "value"
    fitting = [f for f in plain if _kind(f) == kind or not f]
    if not fitting:
        return None
    if isinstance(value, dict):
        found = {
            key: _kept(entry, inner) if (inner := _fields(fitting, key)) else entry for key, entry in value.items()
        }
        return {key: entry for key, entry in found.items() if entry is not None}
    if isinstance(value, list):
        inner = tuple(f["items"] for f in fitting if isinstance(f.get("items"), Mapping))
        return [{} if (kept := _kept(entry, inner)) is None else kept for entry in value]
    return value


def _fields(forms: list[Form], key: str) -> tuple[Form, ...]:
    return tuple(f["properties"][key] for f in forms if key in f.get("properties", {}))
