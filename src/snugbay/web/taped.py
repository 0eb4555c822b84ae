"""Measure: the readings of a face or shape, in the order in which they are taped."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from snugbay.base import InputError, Where
from snugbay.document.spacing import put_name
from snugbay.job import Job, ReadingKind
from snugbay.job.field_sheets import field_readings
from snugbay.job.outlines import letters, read_key
from snugbay.job.space import kinds
from snugbay.job.space.put import BOXES
from snugbay.web.forms import Field, Spec, field, spec_of, specs
from snugbay.web.opened import Opened, follow
from snugbay.web.texts import Texts

Key = tuple[str, ReadingKind, tuple[str, ...]]
"""Face id, kind and corners of a reading; or the reading's name as its only corner."""

LENGTH, ANGLE, LEAN = ReadingKind.DISTANCE, ReadingKind.ANGLE, ReadingKind.LEAN
ALONG, OFFSET, TWIST = ReadingKind.ALONG, ReadingKind.OFFSET, ReadingKind.TWIST

_OUTLINES: Mapping[str, tuple[tuple[str, ReadingKind, str], ...]] = {
    "rectangle": (
        ("width", LENGTH, "A-B"),
        ("height", LENGTH, "D-A"),
        ("right", LENGTH, "B-C"),
        ("top", LENGTH, "C-D"),
        ("diagonal", LENGTH, "A-C"),
        ("other_diagonal", LENGTH, "B-D"),
    ),
    "triangle": (
        ("bottom", LENGTH, "A-B"),
        ("right", LENGTH, "B-C"),
        ("left", LENGTH, "C-A"),
        ("height", OFFSET, "A-B-C"),
    ),
}
_MODELS = {
    "rectangle": "RectangleDoc",
    "triangle": "TriangleDoc",
    "stations": "StationsDoc",
    "polygon": "PolygonDoc",
    "niche box": "NicheBoxDoc",
    "knee wall": "KneeWallDoc",
    "gable triangle": "GableDoc",
    "rafter slope": "SlopeDoc",
    "dormer cheek": "CheekDoc",
    "rim joist row": "RimDoc",
    "cellar wall": "CellarWallDoc",
}
SHAPES = tuple(_MODELS)[4:]
_SHEETS = {"knee wall": "knee-wall-run"}
_CHEEK = {"front": "front edge", "top": "top edge", "rake": "rake", "back": "back edge"}
_NOT_TAPED = frozenset({"depth", "headroom"})
_ALIASES = {"depth": "depth_of_box", "height-right": "height_right"}
_READING_KINDS = {
    "side": LENGTH,
    "diagonal": LENGTH,
    "angle": ANGLE,
    "square": ANGLE,
    "along": ALONG,
    "offset": OFFSET,
    "plumb": LEAN,
    "level": LEAN,
}


@dataclass(frozen=True)
class Item:
    """A face, a shape or a space of the document.

    Attributes
    ----------
    where : Where
        ``("faces", "K1")``, ``("shapes", "B1")`` or ``("spaces", "0")``: a space without an id goes by its number.
    id, title, shape : str
        Its id, its name for people, its outline, shorthand or kind of space.
    faces : tuple of str
        Ids of the faces that it stands for.
    """

    where: Where
    id: str
    title: str
    shape: str
    faces: tuple[str, ...]

    @property
    def model(self) -> str:
        """Model of the document that holds its readings."""
        if self.where[0] == "spaces":
            return space_model(self.shape)
        return _MODELS.get(self.shape, "")

    @property
    def address(self) -> str:
        """How an address of a page names it: ``faces/K1``."""
        return f"{self.where[0]}/{self.where[1]}"

    @property
    def note(self) -> str:
        """How to stand and look at a space; empty for faces and shapes, whose texts the catalogue has."""
        return kinds()[self.shape].note if self.where[0] == "spaces" and self.shape in kinds() else ""

    @property
    def outline(self) -> Where:
        """Place of its readings."""
        return (*self.where, "outline") if self.where[0] == "faces" else self.where


@dataclass(frozen=True)
class State:
    """What the survey says about one reading.

    Attributes
    ----------
    kind : str
        empty, fault, suspect, unchecked, checked, waiting.
    text : str
        For people.
    """

    kind: str
    text: str


@dataclass(frozen=True)
class Row:
    """One reading: its field, what it is, what the survey says.

    Attributes
    ----------
    field : Field
        To type it in.
    key : Key or None
        Which reading of the survey it is.
    check : bool
        True where the shape could do without it, and a slip shows by it.
    note : str
        Where to pull the tape.
    state : State
        What the survey says.
    optional : bool
        True where a usual value stands in for it.
    """

    field: Field
    key: Key | None
    check: bool
    note: str
    state: State
    optional: bool = False


def space_model(kind: str) -> str:
    """Return the model of the document that holds a kind of space; empty for a kind that there is not."""
    return "".join(word.capitalize() for word in kind.split()) + "SpaceDoc" if kind in kinds() else ""


def taped_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    """Yield every reading of an item in the order in which it is taped, before the survey has said anything."""
    if item.where[0] == "spaces":
        yield from _space_rows(item, opened, texts)
    elif item.shape in _OUTLINES:
        yield from _outline_rows(item, opened, texts)
    elif item.shape == "stations":
        yield from _station_rows(item, opened, texts)
    elif item.shape == "polygon":
        yield from _polygon_rows(item, opened, texts)
    elif item.shape in SHAPES:
        yield from _shape_rows(item, opened, texts)


def _row(opened: Opened, texts: Texts, where: Where, spec: Spec, label: str, **more: Any) -> Row:
    made = field(opened, texts, where, spec, label)
    return Row(
        made,
        more.get("key"),
        more.get("check", False),
        more.get("note", ""),
        State("empty", ""),
        more.get("optional", False),
    )


def _outline_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    for name, kind, corners in _OUTLINES[item.shape]:
        spec = spec_of(item.model, name)
        yield _row(
            opened,
            texts,
            (*item.outline, name),
            spec,
            texts(f"reading.{item.shape}.{name}"),
            key=(item.id, kind, tuple(corners.split("-"))),
            check=not spec.required,
            note=corners if kind is LENGTH else "",
        )


def _station_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    base = spec_of("StationsDoc", "base")
    yield _row(
        opened, texts, (*item.outline, "base"), base, texts("reading.stations.base"), key=(item.id, LENGTH, ("A", "B"))
    )
    stations = follow(opened.data, (*item.outline, "stations"))
    count = len(stations) if isinstance(stations, list) else 0
    for n in range(count):
        corner = letters(2 + count)[1 + count - n]
        for name, kind in (("at", ALONG), ("height", OFFSET)):
            yield _row(
                opened,
                texts,
                (*item.outline, "stations", n, name),
                spec_of("StationDoc", name),
                texts(f"reading.stations.{name}", n=n + 1),
                key=(item.id, kind, ("A", "B", corner)),
            )


def _polygon_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    readings = follow(opened.data, (*item.outline, "readings"))
    corners = follow(opened.data, (*item.outline, "corners"))
    for n, reading in enumerate(readings if isinstance(readings, list) else ()):
        if not isinstance(reading, dict):
            continue
        name = next((k for k in (*_READING_KINDS, "twist") if k in reading), "")
        if not name:
            continue
        angular = name in ("angle", "plumb", "level", "square")
        held = "degrees" if angular else "length"
        label = texts(f"reading.polygon.{name}", edge=reading[name], to=reading.get("to", ""))
        spec = spec_of("ReadingDoc", held)
        where = (*item.outline, "readings", n, held)
        free = name in ("square", "plumb", "level")
        yield _row(opened, texts, where, spec, label, key=_polygon_key(item.id, name, reading, corners), check=free)


def _polygon_key(face: str, name: str, reading: Mapping[str, Any], corners: object) -> Key | None:
    at = str(reading[name])
    if name == "twist":
        return (face, TWIST, (at,))
    if name == "square":
        if not isinstance(corners, list) or at not in corners:
            return None
        n = corners.index(at)
        return (face, ANGLE, (corners[n - 1], at, corners[(n + 1) % len(corners)]))
    names = tuple(at.split("-"))
    if name in ("along", "offset"):
        names = (*names, str(reading.get("to", "")))
    return (face, _READING_KINDS[name], names)


def _shape_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    sheet = field_readings(_SHEETS.get(item.shape, item.shape.replace(" ", "-")))
    table = follow(opened.data, item.where)
    more = table.get("more", {}) if isinstance(table, Mapping) else {}
    more = more if isinstance(more, dict) else {}
    named = {s.name for s in specs(item.model)}
    floorless = item.shape == "knee wall" and not follow(opened.data, (*item.where, "floor"))
    used = set()
    for ask in sheet.readings:
        name = _ALIASES.get(ask.field, ask.field)
        key = (_face_id(item, ask.face), ask.kind, ask.corners)
        if item.shape == "rim joist row" and name == "widths":
            yield from _pocket_rows(item, opened, texts)
        elif name in named:
            spec = spec_of(item.model, name)
            where, words = (*item.where, name), _capital(ask.text)
            if item.shape == "dormer cheek":
                key = (item.id, LENGTH, (_CHEEK[name],))
            yield _row(opened, texts, where, spec, words, key=key, check=not spec.required, note=_at(ask.key))
            named.discard(name)
        elif "more" in named and not (floorless and ask.face == "floor") and _has_part(item, ask.face):
            stored = _stored_key(more, ask.key, ask.face)
            used.add(stored)
            yield _more_row(item, opened, texts, stored, key, ask.check, _capital(ask.text))
    yield from _other_rows(item, opened, texts, named)
    for stored in more:
        if stored not in used:
            yield _more_row(item, opened, texts, stored, _more_key(item, stored), True, stored)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _other_rows(item: Item, opened: Opened, texts: Texts, named: set[str]) -> Iterator[Row]:
    """Yield what the field sheet does not ask for: the pitch of a slope, the back edge of a cheek."""
    for spec in specs(item.model):
        if spec.name in named - _NOT_TAPED and spec.kind in ("length", "angle"):
            key = (item.id, LENGTH, (_CHEEK[spec.name],)) if item.shape == "dormer cheek" else None
            words = texts(f"reading.{spec.name}")
            yield _row(opened, texts, (*item.where, spec.name), spec, words, key=key, check=not spec.required)


def _has_part(item: Item, face: str) -> bool:
    return not face or not item.faces or f"{item.id}-{face}" in item.faces or item.faces == (item.id,)


def _face_id(item: Item, face: str) -> str:
    if f"{item.id}-{face}" in item.faces:
        return f"{item.id}-{face}"
    return item.id if item.id in item.faces or not item.faces else item.faces[0]


def _at(key: str) -> str:
    return key if "off" not in key and "along" not in key else ""


def _stored_key(more: Mapping[str, Any], key: str, face: str) -> str:
    """Return the key under which a document holds a reading: as asked, without its face, or the other way round."""
    bare = key.removeprefix(f"{face} ") if face else key
    ends = bare.split("-")
    turned = "-".join(reversed(ends)) if " " not in bare else bare
    head = f"{face} " if face else ""
    return next((k for k in (key, bare, f"{head}{turned}", turned) if k in more), key)


def _more_key(item: Item, stored: str) -> Key | None:
    head, _, rest = stored.partition(" ")
    face, bare = (head, rest) if f"{item.id}-{head}" in item.faces else ("", stored)
    try:
        kind, corners = read_key(bare)
    except InputError:
        return None
    return (_face_id(item, face), kind, corners)


def _more_row(item: Item, opened: Opened, texts: Texts, stored: str, key: Key | None, check: bool, label: str) -> Row:
    kind = "angle" if key is not None and key[1] in (ANGLE, LEAN) else "length"
    spec = Spec("More", stored, kind)
    return _row(opened, texts, (*item.where, "more", stored), spec, label, key=key, check=check, note=_at(stored))


def _pocket_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    pockets = follow(opened.data, (*item.where, "pockets"))
    first = 0
    for n, pocket in enumerate(pockets if isinstance(pockets, list) else ()):
        face = item.faces[first] if first < len(item.faces) else item.id
        where = (*item.where, "pockets", n)
        width, count = spec_of("PocketDoc", "width"), spec_of("PocketDoc", "count")
        yield _row(
            opened,
            texts,
            (*where, "width"),
            width,
            texts("reading.pocket.width", n=n + 1),
            key=(face, LENGTH, ("A", "B")),
        )
        yield _row(opened, texts, (*where, "count"), count, texts("reading.pocket.count", n=n + 1))
        held = pocket.get("count", 1) if isinstance(pocket, dict) else 1
        first += held if isinstance(held, int) else 1


# --- spaces --------------------------------------------------------------------------------------------------------

PUT_TAPED = ("at", "up", "width", "height", "depth_of_box")
"""What is taped of a thing that is put into a space, in this order."""
_ON_BOX: Mapping[str, tuple[str, tuple[str, str]]] = {
    "width": ("back", ("A", "B")),
    "height": ("back", ("A", "D")),
    "depth_of_box": ("left", ("A", "B")),
}


def _space_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    """Yield the numbers of a space, every edge, diagonal and angle that can be read, then what is put into it."""
    kind = kinds().get(item.shape)
    if kind is None:
        return
    faces = [f for f in opened.job.faces if f.id in item.faces and f.measures] if opened.job is not None else []
    on = {m.name: (f.id, m.kind, (m.name,)) for f in reversed(faces) for m in f.measures}
    on |= {r.name: (f.id, r.kind, (r.name,)) for f in reversed(faces) for r in f.readings if r.name in on}
    held = follow(opened.data, (*item.where, "readings"))
    read = list(held) if isinstance(held, Mapping) else []
    for number in kind.numbers:
        where, spec = (*item.where, number.name), spec_of(item.model, number.name)
        yield _row(opened, texts, where, spec, _capital(number.title), key=on.get(number.reads),
                   optional=not number.main, note=number.reads if number.reads != number.title else "")  # fmt: skip
    numbered = {n.reads for n in kind.numbers}
    asked = [m.name for f in faces for m in f.measures]
    asked += _angles_of(opened.job, {f.id for f in faces}) if opened.job is not None else []
    names = dict.fromkeys([*(n for n in asked if n not in numbered), *read])
    for name in names:
        angular = name.startswith("angle ")
        several = isinstance(held, Mapping) and isinstance(held.get(name), list)
        spec = Spec("More", name, "list" if several else "angle" if angular else "length")
        spare = angular or " diagonal " in name or " from the " in name
        key = on.get(name)
        yield _row(opened, texts, (*item.where, "readings", name), spec, _capital(name), key=key, check=spare)
    yield from _put_rows(item, opened, texts)


def _angles_of(job: Job, faces: set[str]) -> list[str]:
    return [f"angle {j.name}" for j in job.joins if j.a in faces and j.b in faces and " to " in j.name]


def _put_rows(item: Item, opened: Opened, texts: Texts) -> Iterator[Row]:
    puts = follow(opened.data, (*item.where, "put"))
    tables = [p if isinstance(p, Mapping) else {} for p in puts] if isinstance(puts, list) else []
    for n, put in enumerate(tables):
        name, box = put_name(tables, n), put.get("what") in BOXES
        for spec in (spec_of("PutDoc", taped) for taped in PUT_TAPED):
            if spec.name == "depth_of_box" and not box:
                continue
            part = _ON_BOX.get(spec.name) if box else None
            key = (f"{name}-{part[0]}", LENGTH, part[1]) if part else None
            words = texts("reading.put", name=_capital(name), what=texts(f"reading.put-{spec.name}"))
            needed = spec.required or (box and part is not None)
            yield _row(opened, texts, (*item.where, "put", n, spec.name), spec, words, key=key, optional=not needed)
        more = put.get("more")
        for stored in more if isinstance(more, Mapping) else ():
            words = texts("reading.put", name=_capital(name), what=stored)
            spec = Spec("More", stored, "length")
            yield _row(opened, texts, (*item.where, "put", n, "more", stored), spec, words, check=True)
