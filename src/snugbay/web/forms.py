"""Form fields made from the document's own schema: what a field holds, what may stand in it, what stands in it now."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from snugbay.base import InputError, SnugbayError, Where
from snugbay.document import JobDoc
from snugbay.web.opened import Opened, follow, step_into
from snugbay.web.pointer import as_text, pointer
from snugbay.web.texts import Texts

_TEXTUAL = {
    "length": "length",
    "angle": "angle",
    "temperature": "temperature",
    "thermal resistance": "resistance",
}


@dataclass(frozen=True)
class Spec:
    """What a field of the document holds.

    Attributes
    ----------
    model, name : str
        Model of the document and name of the field in it.
    kind : str
        length, angle, temperature, resistance, text, number, whole, yes-no, choice, many (of choices), list, table.
    choices : tuple of str
        What may be chosen.
    required : bool
        True where it has no default.
    """

    model: str
    name: str
    kind: str
    choices: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True)
class Field:
    """A field on the page.

    Attributes
    ----------
    at : str
        Its place in the document, as one text.
    id : str
        Its id on the page.
    label, help : str
        For people.
    spec : Spec
        What it holds.
    value : str
        What stands in it.
    chosen : tuple of str
        What is chosen, for fields of many choices.
    faults : tuple of SnugbayError
        What is wrong with it.
    options : tuple of (value, label)
        Choices with their names for people.
    """

    at: str
    id: str
    label: str
    help: str
    spec: Spec
    value: str
    chosen: tuple[str, ...] = ()
    faults: tuple[SnugbayError, ...] = ()
    options: tuple[tuple[str, str], ...] = ()


@cache
def _schema() -> Mapping[str, Any]:
    made: Mapping[str, Any] = JobDoc.model_json_schema()
    return made


def _definition(model: str) -> Mapping[str, Any]:
    if model == "JobDoc":
        return _schema()
    found: Mapping[str, Any] = _schema()["$defs"][model]
    return found


def _resolved(schema: Mapping[str, Any]) -> Mapping[str, Any]:
    """Follow references and drop the alternative of saying nothing."""
    while True:
        if "$ref" in schema:
            schema = _schema()["$defs"][schema["$ref"].rsplit("/", 1)[1]]
            continue
        parts = [p for p in schema.get("anyOf", ()) if p.get("type") != "null"]
        if len(parts) == 1:
            schema = parts[0]
            continue
        return schema


def _kind(schema: Mapping[str, Any]) -> tuple[str, tuple[str, ...]]:
    whole = _resolved(schema)
    if whole.get("title") in _TEXTUAL:
        return _TEXTUAL[whole["title"]], ()
    if "enum" in whole:
        return "choice", tuple(str(v) for v in whole["enum"])
    kind = str(whole.get("type", "table"))
    if kind == "array":
        inner_kind, choices = _kind(whole.get("items", {}))
        return ("many", choices) if inner_kind == "choice" else ("list", ())
    names = {"string": "text", "number": "number", "integer": "whole", "boolean": "yes-no"}
    return names.get(kind, "table"), ()


@cache
def specs(model: str) -> tuple[Spec, ...]:
    """Return what a model's fields hold, in the model's order; constants (``shape``) are left out."""
    definition = _definition(model)
    required = set(definition.get("required", ()))
    found = []
    for name, schema in definition["properties"].items():
        if "const" in schema:
            continue
        kind, choices = _kind(schema)
        found.append(Spec(model, name, kind, choices, name in required))
    return tuple(found)


def spec_of(model: str, name: str) -> Spec:
    """Return what one field holds."""
    return next(s for s in specs(model) if s.name == name)


def page_id(at: str) -> str:
    """Return an id for a place that is safe in HTML and in selectors."""
    return "f" + re.sub(r"[^A-Za-z0-9]", lambda m: f"_{ord(m[0]):x}_", at)


def field(opened: Opened, texts: Texts, where: Where, spec: Spec, label: str = "") -> Field:
    """Return a field as it stands in a document."""
    value = follow(opened.data, where)
    at = pointer(where)
    key = f"field.{spec.model}.{spec.name}"
    text = label or texts(key if texts.has(key) else f"field.{spec.name}")
    help_key = f"help.{spec.model}.{spec.name}"
    help_text = texts(help_key) if texts.has(help_key) else ""
    chosen = tuple(str(v) for v in value) if isinstance(value, list) else ()
    options = tuple((c, _choice(texts, spec, c)) for c in spec.choices)
    faults = opened.faults_at(where)
    shown = ", ".join(chosen) if spec.kind == "list" else as_text(value)
    return Field(at, page_id(at), text, help_text, spec, shown, chosen, faults, options)


def _choice(texts: Texts, spec: Spec, value: str) -> str:
    for key in (f"choice.{spec.model}.{spec.name}.{value}", f"choice.{spec.name}.{value}"):
        if texts.has(key):
            return texts(key)
    return value


def with_options(made: Field, options: Sequence[tuple[str, str]]) -> Field:
    """Return the field as a choice between what the job or the tables hold."""
    return replace(made, spec=replace(made.spec, kind="choice"), options=tuple(options))


def read_value(spec: Spec, text: str) -> object:
    """Return what a form field's text means in the document; None where it is empty.

    What cannot be read stays as it was typed: the document keeps it and the reader says what is wrong with it.
    """
    text = text.strip()
    if not text:
        return None
    if spec.kind == "yes-no":
        return {"yes": True, "no": False}.get(text, text)
    if spec.kind in ("number", "whole", "length", "angle", "temperature", "resistance"):
        return _number(text, whole_only=spec.kind not in ("number",))
    if spec.kind in ("list", "many"):
        return [part.strip() for part in text.split(",") if part.strip()]
    return text


def _number(text: str, *, whole_only: bool) -> object:
    if re.fullmatch(r"-?(0|[1-9]\d{0,14})", text):
        return int(text)
    if not whole_only and re.fullmatch(r"-?\d{1,15}([.,]\d{1,12})?", text):
        return float(text.replace(",", "."))
    return text


def spec_at(data: Mapping[str, Any], where: Where) -> Spec:
    """Return what the field at a place holds, by the schema and by the shapes that the document names.

    Raises
    ------
    InputError
        If the document can have no such field.
    """
    schema: Mapping[str, Any] = _schema()
    node: object = data
    model = "JobDoc"
    for step in where:
        schema, model, name = _step_schema(_resolved(schema), node, str(step), model, where)
        node = step_into(node, step)
    kind, choices = _kind(schema)
    if model == "More":
        several = isinstance(node, list)
        kind = "list" if several else "angle" if _angular(name) else "length"
    return Spec(model, name, kind, choices)


def _step_schema(
    schema: Mapping[str, Any], node: object, step: str, model: str, where: Where
) -> tuple[Mapping[str, Any], str, str]:
    if "oneOf" in schema:
        by = schema.get("discriminator", {})
        shape = node.get(by.get("propertyName")) if isinstance(node, Mapping) else None
        reference = by.get("mapping", {}).get(shape)
        if reference is None:
            what = "The shape of this face, or the kind of this space, is not known."
            raise InputError(what, where=where, code="web.field")
        schema = _resolved({"$ref": reference})
    if schema.get("type") == "array":
        return schema.get("items", {}), model, step
    properties = schema.get("properties", {})
    if step in properties and "const" not in properties[step]:
        return properties[step], str(schema.get("title", model)), step
    if isinstance(schema.get("additionalProperties"), Mapping):
        return schema["additionalProperties"], "More", step
    raise InputError(f"A job has no field called {step!r} there.", where=where, code="web.field")


def _angular(key: str) -> bool:
    return key.startswith("angle ") or key.endswith(" lean") or key.rsplit(" ", maxsplit=1)[-1].count("-") == 2
