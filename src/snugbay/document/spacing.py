"""Spaces: from the document's models to faces, joins, hosts and zones."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from snugbay.base import InputError, Problems, Said, SnugbayError, Told, facts
from snugbay.base.facts import Angle, Count, Listed, Name
from snugbay.document.expanding import more_of
from snugbay.document.fabric import common_of
from snugbay.document.fields import Written
from snugbay.document.heights import UPRIGHT, Height
from snugbay.document.ledger import Ledger
from snugbay.document.models import AccessDoc
from snugbay.document.spaces import PutDoc, SpaceBase
from snugbay.document.taping import precision, taped
from snugbay.job import Layer, Units, Zone, ZoneKind
from snugbay.job.outlines import Taped
from snugbay.job.shorthands import Common
from snugbay.job.space import Kind, Put, Space, SpaceMade, expand_space, kind_of
from snugbay.job.space import Number as KindNumber
from snugbay.job.space.kinds import OPEN
from snugbay.job.space.put import BOXES, PASSING, size
from snugbay.survey.instruments import instrument
from snugbay.tape import Length, parse_angle, parse_length, tape_for

TEN = 10.0
"""A number so many times off the usual of its kind is asked about. [-]"""
PLYWOOD = (Layer("plywood", 0.01905),)
"""What a box is made of unless said (assumption)."""
_SIZES: Mapping[str, tuple[float, float]] = {
    "hatch": (0.559, 0.762),
    "skylight": (0.55, 0.98),
    "window": (0.8, 0.6),
    "door": (0.76, 1.98),
    "pipe": (0.1, 0.1),
    "duct": (0.15, 0.15),
    "chimney": (0.5, 0.5),
}
"""Usual sizes, width and height, of what is put in without one (assumption). [m]"""


@dataclass(frozen=True)
class Spaced:
    """A space of the document and what it came to."""

    number: int
    space: Space
    made: SpaceMade


def space_id(doc: SpaceBase, docs: Sequence[SpaceBase]) -> str:
    """Return the id of a space: as written, or its kind's name, numbered where there are several."""
    return own_id([{"id": d.id, "kind": d.kind} for d in docs], next(n for n, d in enumerate(docs) if d is doc))


def own_id(spaces: Sequence[Mapping[str, Any]], number: int) -> str:
    """Return the id of a space by its number, from plain data: see `space_id`."""
    one = spaces[number]
    if one.get("id") is not None:
        return str(one["id"])
    name = str(one.get("kind", "")).replace(" ", "-")
    alike = [n for n, d in enumerate(spaces) if d.get("id") is None and d.get("kind") == one.get("kind")]
    return name if len(alike) == 1 else f"{name}-{alike.index(number) + 1}"


def face_ids(doc: SpaceBase) -> tuple[str, ...]:
    """Return the ids that a space gives to its faces, and those of its boxes."""
    return (*doc.names.values(), *(p.id for p in doc.put if p.id is not None))


def space_zones(docs: Sequence[SpaceBase], zones: tuple[Zone, ...]) -> tuple[Zone, ...]:
    """Return the inside, outside and ground zones that spaces need and nobody wrote."""
    have = {z.kind for z in zones}
    ids = {z.id for z in zones}
    behind = {b for d in docs for b in (*d.behind.values(), *(e.behind for e in kind_of(d.kind).all_edges))}
    wanted = [(ZoneKind.INSIDE, "inside", "Rooms"), (ZoneKind.OUTSIDE, "outside", "Outdoors")]
    wanted += [(ZoneKind.GROUND, "ground", "Ground")] if "ground" in behind else []
    return tuple(
        Zone(i, title, kind, height=2.4) for kind, i, title in wanted if docs and kind not in have and i not in ids
    )


def spaced(
    doc: SpaceBase, number: int, docs: Sequence[SpaceBase], zones: tuple[Zone, ...], ledger: Ledger, units: Units
) -> Spaced:
    """Return one space of the document and what it came to.

    Parameters
    ----------
    doc, number, docs
        The space, its place among all.
    zones : tuple of Zone
        Written and implied; the spaces' own are added by their ids.
    ledger : Ledger
        List of defaults.
    units : Units
        Of bare numbers, and of what is listed.

    Raises
    ------
    InputError
        (`Problems` where there are several) at the number or thing that cannot be.
    """
    kind = kind_of(doc.kind)
    own = space_id(doc, docs)
    where = f"spaces.{own}"
    exact = precision(doc.instrument)
    numbers = _numbers(doc, kind, exact.instrument, units)
    zone, behind, warm = _zones(doc, kind, own, docs, zones)
    space = Space(
        id=own,
        title=doc.title or kind.title,
        kind=kind,
        numbers=numbers,
        readings=_readings(doc.readings, exact.instrument, "in" if units is Units.FT_IN else "mm"),
        zone=zone,
        behind=behind,
        warm=warm,
        names=doc.names,
        puts=_puts(doc, kind, own, ledger, units),
        precision=exact,
        volume=doc.volume_m3,
        air_changes=doc.air_changes,
        may_come_inside=doc.may_come_inside,
        pipes=doc.pipes,
        storage=doc.storage,
    )
    try:
        made = expand_space(space)
    except InputError as error:
        raise error.in_units(units.value, error.currency) from None
    for guessed, value in made.guessed:
        ledger.note(f"{where}.{guessed.name}", as_shown(guessed, value), guessed.why or "assumption: read it")
    if made.unread:
        some = Listed(
            tuple(Said.of("default.unread", name=Name(name), value=facts.Length(value)) for name, value in made.unread),
            "semicolon",
        )
        ledger.note(f"{where}.readings", some, "not read: a wide guess until it is, by the kind's shape")
    ledger.note(f"{where}.build-up", "the kind's usual layers and framing", "assumption; [[changes]] overrides a face")
    return Spaced(number, space, made)


def usual_access(spaces: Sequence[Spaced], ledger: Ledger) -> AccessDoc:
    """Return the way in where nobody wrote one: the smallest hatch in a space, else a usual hatch or a door."""
    cold = [s for s in spaces if s.made.zone is not None]
    hatches = [(s, p) for s in cold for p in s.space.puts if p.what in ("hatch", "door")]
    depths = [_reach(s.made) for s in cold]
    run = min(depths) if depths else 2.5
    if hatches:
        first = min((p for _, p in hatches), key=lambda p: size(p.width) * size(p.height))
        wide, high, sill = size(first.width), size(first.height), first.up
        why = f"the {first.what} {first.id}"
    elif cold:
        (wide, high), sill, why = _SIZES["hatch"], 0.0, "a usual hatch, assumption"
    else:
        (wide, high), sill, why = (0.8, 2.0), 0.0, "a door, assumption"
    taken = Said.of("default.way-in", width=facts.Length(wide), height=facts.Length(high), run=facts.Length(run))
    ledger.note("access", taken, why)
    tall = min((s.made.zone.height for s in cold if s.made.zone is not None), default=2.2)
    return AccessDoc(
        width=_metres(wide),
        height=_metres(high),
        clear_run=_metres(run),
        clear_height=_metres(max(tall, min(high + sill, tall))),
        sill=_metres(sill),
    )


def _metres(value: float) -> Length:
    return parse_length(f"{value:.4f} m", "mm")


def _reach(made: SpaceMade) -> float:
    """Return the straight way across a space: the shorter of its two level sizes. [m]"""
    places = list(made.solid.at.values())
    spans = [max(p[a] for p in places) - min(p[a] for p in places) for a in (0, 1)]
    return max(min(spans), 0.3)


def as_shown(number: KindNumber, value: float) -> Told:
    """Return a number of a kind as it was understood."""
    if number.unit == "angle":
        return Angle(value)
    return Count(round(value)) if number.unit == "count" else facts.Length(value)


def shown(number: KindNumber, value: float, units: Units) -> str:
    """Return a number of a kind as it was understood, in the job's units: ``14' 0"``, ``45 degrees``, ``30``."""
    if number.unit == "angle":
        return f"{math.degrees(value):.0f} degrees"
    return f"{value:.0f}" if number.unit == "count" else tape_for(units).text(value)


def _numbers(doc: SpaceBase, kind: Kind, tool: str, units: Units) -> dict[str, Taped]:
    out: dict[str, Taped] = {}
    faults: list[SnugbayError] = []
    for number in kind.numbers:
        raw: Any = getattr(doc, number.name)
        if raw is None:
            continue
        read = _taken(raw, number, tool)
        fault = number_fault(number, read.value, units, sure=number.name in doc.sure)
        if fault is not None:
            faults.append(fault)
        out[number.name] = read
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise Problems(faults)
    return out


def _taken(raw: Length | Written | int, number: KindNumber, tool: str) -> Taped:
    if isinstance(raw, Written):
        return Taped(raw.value, instrument("bevel gauge").sigma(1.0), f"{raw.written}", "bevel gauge", (number.name,))
    if isinstance(raw, int):
        return Taped(float(raw), None, f"{raw}", tool, (number.name,))
    return taped(raw, tool, number.name)


def number_fault(number: KindNumber, value: float, units: Units, *, sure: bool = False) -> InputError | None:
    """Return what is wrong with a number of a kind: it cannot be, or it is so unusual that it is asked about."""
    unit = " mm" if units is Units.MM and number.unit not in {"angle", "count"} else ""

    def say(v: float) -> str:
        return f"{shown(number, v, units)}{unit}"

    text = say(value)
    low, high = number.usual
    usual = f"usual are {say(low)} to {say(high)}"
    if not number.least - 1e-9 <= value <= number.most + 1e-9:
        low_high = f"{say(number.least)} and {say(number.most)}"
        return InputError(
            f"{text} cannot be the {number.title}.", where=(number.name,), hint=f"It lies between {low_high}; {usual}."
        )
    far = number.unit != "angle" and value > 0.0 and (value > TEN * high or value < low / TEN)
    if far and not sure:
        return InputError(
            f"{text} was understood for the {number.title}, ten times off: {usual}.",
            where=(number.name,),
            hint=f'Check the unit. If it is so, write sure = ["{number.name}"].',
        )
    return None


def _zones(
    doc: SpaceBase, kind: Kind, own: str, docs: Sequence[SpaceBase], zones: tuple[Zone, ...]
) -> tuple[str, dict[str, str], dict[str, bool]]:
    """Return the zone the fitter stands in, what lies behind each face, and whether that is the warmer side."""
    by_kind = {z.kind: z.id for z in zones}
    known = {z.id for z in zones} | {space_id(d, docs) for d in docs if kind_of(d.kind).zone != "inside"}
    inside = by_kind.get(ZoneKind.INSIDE, "inside")
    if doc.within is not None and doc.within not in known:
        raise InputError(
            f"There is no zone {doc.within!r}.", where=("within",), hint="Zones: " + ", ".join(sorted(known)) + "."
        )
    zone = doc.within or (inside if kind.zone == "inside" else own)
    plain = {
        "inside": inside,
        "outside": by_kind.get(ZoneKind.OUTSIDE, "outside"),
        "ground": by_kind.get(ZoneKind.GROUND, "ground"),
    }
    behind = {}
    for edge in kind.all_edges:
        given = doc.behind.get(edge.name, edge.behind)
        other = plain.get(given, given)
        if other != OPEN and other not in known:
            raise InputError(
                f"There is no zone {given!r}.",
                where=("behind", edge.name),
                hint='Write "open", or a zone: ' + ", ".join(sorted(known)) + ".",
            )
        if other == zone:
            raise InputError(
                f"The {edge.name} has {given!r} on both sides.",
                where=("behind", edge.name),
                hint='Write what lies behind it, or "open" where nothing closes it.',
            )
        behind[edge.name] = other
    strangers = sorted(set(doc.behind) - {e.name for e in kind.all_edges})
    if strangers:
        raise InputError(
            f"A {kind.name} has no face {strangers[0]!r}.",
            where=("behind", strangers[0]),
            hint="Faces: " + ", ".join(e.name for e in kind.all_edges) + ".",
        )
    return zone, behind, {inside: True}


def _readings(given: Mapping[str, Any], tool: str, unit: str) -> dict[str, tuple[Taped, ...]]:
    """Read what was read of a space: names that begin with "angle" are angles, the rest lengths."""
    out = {}
    for name, raw in given.items():
        each = raw if isinstance(raw, list) else [raw]
        try:
            if not each:
                raise InputError("There is no reading here.", hint="Write what the tape says, or remove the line.")
            if name.startswith("angle "):
                gauge = instrument("bevel gauge")
                out[name] = tuple(
                    Taped(_angle(r), gauge.sigma(1.0), f"{r}", gauge.name, ("readings", name)) for r in each
                )
            else:
                out[name] = tuple(taped(_length(r, unit), tool, "readings", name) for r in each)
        except SnugbayError as error:
            raise error.at("readings", name) from None
    return out


def _angle(raw: Any) -> float:
    value = parse_angle(raw)
    if not math.radians(5) < value < math.radians(355):
        raise InputError("The angle of a corner lies between 5 and 355 degrees.", hint="Gauge the corner again.")
    return value


def _length(raw: Any, unit: str) -> Length:
    length = parse_length(raw, unit)
    if not 0.0 < float(length) < 100.0:
        raise InputError(f"{length.written} is no length of a house.", hint="Check number and unit.")
    return length


def _puts(doc: SpaceBase, kind: Kind, own: str, ledger: Ledger, units: Units) -> tuple[Put, ...]:
    out: list[Put] = []
    for number, one in enumerate(doc.put):
        try:
            out.append(_put(one, number, doc, kind, own, ledger, units))
        except SnugbayError as error:
            raise error.at("put", number) from None
    return tuple(out)


def put_name(puts: Sequence[Mapping[str, Any]], number: int) -> str:
    """Return the name of a thing that is put into a space: its id, or what it is, numbered where there are several."""
    one = puts[number]
    what = str(one.get("what") or "")
    alike = sum(p.get("what") == one.get("what") and not p.get("id") for p in puts[:number])
    return str(one.get("id") or (f"{what} {alike + 1}" if alike else what))


def _put(one: PutDoc, number: int, doc: SpaceBase, kind: Kind, own: str, ledger: Ledger, units: Units) -> Put:
    name = put_name([{"id": d.id, "what": d.what} for d in doc.put], number)
    if sum(d.id == name for d in doc.put) > 1:
        raise InputError(f"Two things are called {name!r}.", where=("id",), hint="Rename one.")
    where = f"spaces.{own}.{name}"
    usual = _SIZES.get(one.what)
    if usual is None and (one.width is None or one.height is None or one.depth_of_box is None):
        missing = next(f for f in ("width", "height", "depth_of_box") if getattr(one, f) is None)
        raise InputError(f"A {one.what} needs its {missing}.", where=(missing,), hint="Measure the box on its outside.")
    if usual is not None and one.depth_of_box is not None:
        raise InputError(
            f"A {one.what} has no depth of a box.", where=("depth_of_box",), hint="Remove it, or put in a niche."
        )
    on = one.on or (kind.way_in[0] if kind.way_in else "")
    if not on:
        raise InputError(
            f"It is not said which face the {one.what} is in.",
            where=("on",),
            hint="Faces: " + ", ".join(e.name for e in kind.all_edges) + ".",
        )
    exact = precision(one.instrument or doc.instrument)
    tool = exact.instrument
    wide, high = usual or (0.0, 0.0)
    width = ledger.take(one.width, None, f"{where}.width", "", facts.Length(wide)) if usual else one.width
    tall = one.width if one.height is None and one.what in PASSING else one.height
    height = ledger.take(tall, None, f"{where}.height", "", facts.Length(high)) if usual else tall
    box = one.what in BOXES
    common = common_of(one, ledger, where, usual=_low(doc, kind)) if box else Common()
    return Put(
        what=one.what,
        id=name,
        title=one.title or name,
        face=on,
        at=float(one.at),
        up=0.0 if one.up is None else float(one.up),
        width=taped(width, tool, "width") if width is not None else wide,
        height=taped(height, tool, "height") if height is not None else high,
        depth=taped(one.depth_of_box, tool, "depth_of_box") if one.depth_of_box is not None else None,
        plug=one.plug if one.plug is not None else one.what == "hatch",
        round=one.round if one.round is not None else (one.what in ("pipe", "duct") and one.height is None),
        hot=one.is_hot or one.what == "chimney",
        hot_thing=one.hot_thing,
        on_label=float(one.keep_clear) if one.keep_clear is not None else None,
        more=more_of(one.more, tool, "in" if units is Units.FT_IN else "mm"),
        precision=exact,
        common=common if common.layers or not box else _plywood(common, ledger, where),
    )


def _low(doc: SpaceBase, kind: Kind) -> Height:
    """Return the working height in front of a box: half the height of the space."""
    tall = next((n.guess for n in kind.numbers if n.name == "height"), None)
    said = getattr(doc, "height", None)
    half = (float(said) if said is not None else tall or 2.0 * UPRIGHT.metres) / 2.0
    return Height(half, "half the height") if half < UPRIGHT.metres else UPRIGHT


def _plywood(common: Common, ledger: Ledger, where: str) -> Common:
    ledger.note(f"{where}.layers", Said.of("default.plywood", thick=facts.Length(0.01905)), "assumption")
    return replace(common, layers=PLYWOOD)
