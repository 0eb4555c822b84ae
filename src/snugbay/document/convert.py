"""From the document's models to the job's values; all faults are collected and reported together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeVar

import tomlkit

from snugbay.base import InputError, Problems, Said, SnugbayError
from snugbay.base.facts import Hours, Length, LongLength, Share
from snugbay.document import expanding, surfaces
from snugbay.document.afterwards import learned_rates, logger_of, temperature_of
from snugbay.document.heights import LOW_SPACE, Height, headrooms, zone_heights
from snugbay.document.ledger import Ledger
from snugbay.document.models import (
    AccessDoc,
    JobDoc,
    StockDoc,
    WishesDoc,
    YouDoc,
)
from snugbay.document.place import place_of
from snugbay.document.shapes import NicheBoxDoc
from snugbay.document.spacing import Spaced, face_ids, space_id, space_zones, spaced, usual_access
from snugbay.document.worklog import log_of
from snugbay.job import (
    Access,
    Face,
    FuelUsed,
    Hazard,
    Host,
    Job,
    Join,
    Offcut,
    PriceOverride,
    SheetStock,
    Stock,
    Tool,
    Units,
    Wishes,
    You,
    Zone,
    ZoneKind,
)
from snugbay.job.runs import edges_between
from snugbay.job.shorthands import Expanded
from snugbay.materials import Rates, board

T = TypeVar("T")
SMALLEST_WAY_IN = 0.1
"""Below this it is a slip of the pen. [m]"""
WIDEST_WAY_IN, HIGHEST_BEHIND = 6.0, 12.0
"""The gate of a barn, and its ridge: beyond these it is a slip of the pen or of the unit. [m]"""
HIGHEST_SILL, THICKEST_WALL = 3.0, 1.5
"""Beyond these it is a slip of the pen. [m]"""
USUAL_WALL = 0.1
"""Thickness of the wall round the way in where nobody said: studs and a lining (assumption). [m]"""
_WORTH = {"USD": "us", "GBP": "uk", "EUR": "eu"}


class _Faults:
    """Collects errors so that all are reported together; ``lost`` are faces and shapes that could not be made."""

    def __init__(self) -> None:
        self.errors: list[SnugbayError] = []
        self.lost: list[str] = []

    def tried(self, call: Callable[[], T], *where: str | int) -> T | None:
        """Return the call's result; keep its error and return None otherwise."""
        try:
            return call()
        except Problems as many:
            self.errors.extend(e.at(*where) for e in many.errors)
        except SnugbayError as error:
            self.errors.append(error.at(*where))
        return None

    def report(self) -> None:
        """Raise what was collected, if anything."""
        if len(self.errors) == 1:
            raise self.errors[0]
        if self.errors:
            raise Problems(self.errors)


def to_job(doc: JobDoc) -> Job:
    """Turn a document into a job.

    Raises
    ------
    InputError
        (`Problems` where there are several) with the place of each fault.
    """
    ledger, faults = Ledger(), _Faults()
    currency = ledger.take(
        doc.place.currency, "USD" if doc.units == "ft-in" else "EUR", "place.currency", "by the job's units"
    )
    place = faults.tried(lambda: place_of(doc.place, currency, ledger), "place")
    zones = faults.tried(lambda: _all_zones(doc, ledger), "zones") or ()
    stock = faults.tried(lambda: _stock(doc.stock), "stock")
    ledger.note(
        "instrument",
        Said.of("default.tape", fixed=Length(0.0015), share=Share(0.0002)),
        "where none is named; assumption",
    )
    made = _surfaces(doc, zones, ledger, faults) if zones else _Surfaces((), (), (), ())
    zones = (*zones, *(s.made.zone for s in made.spaces if s.made.zone is not None))
    log = log_of(doc.log)
    temperatures = tuple(temperature_of(t) for t in doc.temperatures)
    loggers = tuple(x for n, d in enumerate(doc.loggers) if (x := faults.tried(partial(logger_of, d), "loggers", n)))
    learned = faults.tried(lambda: learned_rates(doc.learned, doc.stock.prices, ledger), "learned") or ()
    _check_names(doc, made.faces, zones, faults)
    access = faults.tried(lambda: _access(doc.access or usual_access(made.spaces, ledger), ledger), "access")
    faults.report()
    if place is None or stock is None or access is None:  # pragma: no cover - report() has raised
        raise InputError("The job cannot be read.")
    seen = tuple(doc.look_round.seen)
    unseen = tuple(h.value for h in Hazard if h not in seen and h not in doc.look_round.not_there)
    stock = replace(stock, prices=(*stock.prices, *learned))
    return Job(
        name=doc.name,
        title=doc.title or doc.name,
        units=Units(doc.units),
        place=place,
        zones=zones,
        access=access,
        faces=made.faces,
        joins=made.joins,
        hosts=made.hosts,
        stock=stock,
        you=_you(doc.you, currency, ledger, stock),
        wishes=_wishes(doc.wishes, ledger),
        hazards=seen,
        log=log,
        temperatures=temperatures,
        fuel_used=tuple(FuelUsed(f.from_day, f.to_day, f.kwh, f.hot_water) for f in doc.fuel_used),
        loggers=loggers,
        defaults=ledger.used,
        unseen=unseen,
        own_ways=tuple(_own_way_text(w) for w in doc.own_ways),
    )


def _own_way_text(table: dict[str, object]) -> str:
    return tomlkit.dumps(table)


def _all_zones(job: JobDoc, ledger: Ledger) -> tuple[Zone, ...]:
    zones: list[Zone] = []
    known = zone_heights(job)
    for number, doc in enumerate(job.zones):
        if doc.id in {z.id for z in zones}:
            raise InputError(f"Two zones are called {doc.id!r}.", where=(number, "id"), hint="Rename one.")
        kind = ZoneKind(doc.kind)
        buffer = kind is ZoneKind.BUFFER
        if buffer and doc.volume_m3 <= 0:
            raise InputError(
                "A buffer space needs its air volume.", where=(number, "volume_m3"), hint="Length x width x height / 2."
            )
        air = doc.air_changes
        if buffer:
            air = ledger.take(air, 3.0, f"zones.{doc.id}.air_changes", "vented eaves, ISO 13789 range", "3 per hour")
        height = float(doc.height) if doc.height is not None else None
        usual = known.get(doc.id, Height(LOW_SPACE, ""))
        zones.append(
            Zone(
                doc.id,
                doc.title or doc.id,
                kind,
                doc.volume_m3,
                air or 0.0,
                doc.may_come_inside,
                doc.pipes,
                doc.storage,
                ledger.take(height, usual.metres, f"zones.{doc.id}.height", usual.why, Length(usual.metres))
                if buffer
                else height or 2.4,
                height is not None,
            )
        )
    zones += space_zones(job.spaces, tuple(zones))
    for kind in (ZoneKind.INSIDE, ZoneKind.OUTSIDE):
        if sum(z.kind is kind for z in zones) != 1:
            raise InputError(f"There must be exactly one zone of kind {kind.value}.", hint='Add kind = "inside" or so.')
    return tuple(zones)


def _access(doc: AccessDoc, ledger: Ledger) -> Access:
    for name in ("width", "height", "clear_run"):
        if float(getattr(doc, name)) < SMALLEST_WAY_IN:
            raise InputError(
                "Nothing passes a way in as small as this.", where=(name,), hint="Give the clear size of the opening."
            )
    for name, most in (("width", WIDEST_WAY_IN), ("height", WIDEST_WAY_IN), ("clear_height", HIGHEST_BEHIND)):
        size = getattr(doc, name)
        if size is not None and float(size) > most:
            raise InputError(
                f"A way in is not {size.written} large.", where=(name,), hint=f"At most {most:g} m: check the unit."
            )
    for name, most in (("sill", HIGHEST_SILL), ("wall_thickness", THICKEST_WALL)):
        given = getattr(doc, name)
        if given is not None and not 0.0 <= float(given) <= most:
            raise InputError(
                f"{given.written} is not possible here.", where=(name,), hint=f"Give a length from 0 to {most:g} m."
            )
    given_sill, given_wall, given_height, carry = (
        None if d is None else float(d) for d in (doc.sill, doc.wall_thickness, doc.clear_height, doc.carry)
    )
    sill = ledger.take(given_sill, 0.0, "access.sill", "level with the floor behind it", Length(0.0))
    upper = float(doc.height) + sill
    wall = ledger.take(given_wall, USUAL_WALL, "access.wall_thickness", "a framed wall, assumption", Length(USUAL_WALL))
    return Access(
        float(doc.width),
        float(doc.height),
        float(doc.clear_run),
        ledger.take(given_height, upper, "access.clear_height", "as high as the opening", "the opening's upper edge"),
        ledger.take(carry, 6.0, "access.carry", "a cutting place near by", LongLength(6.0)),
        doc.cut_inside,
        sill,
        wall,
    )


def _stock(doc: StockDoc) -> Stock:
    sheets, offcuts = [], []
    for number, sheet in enumerate(doc.sheets):
        try:
            row = board(sheet.board)
        except SnugbayError as error:
            raise error.at("sheets", number, "board") from None
        sheets.append(SheetStock(row.key, row.thickness, row.width, row.length, sheet.price, sheet.on_hand))
    for number, piece in enumerate(doc.offcuts):
        try:
            row = board(piece.board)
        except SnugbayError as error:
            raise error.at("offcuts", number, "board") from None
        zones = tuple((float(z[0]), float(z[1]), float(z[2]), float(z[3])) for z in piece.damaged)
        name = piece.name or f"offcut {number + 1}"
        offcuts.append(Offcut(row.key, row.thickness, float(piece.width), float(piece.length), zones, name))
    prices: list[PriceOverride] = []
    for number, price in enumerate(doc.prices):
        if price.item in {p.item for p in prices}:
            raise InputError(
                f"{price.item!r} is priced twice.", where=("prices", number, "item"), hint="Remove one of the two."
            )
        low = price.typical if price.low is None else price.low
        high = price.typical if price.high is None else price.high
        prices.append(PriceOverride(price.item, low, price.typical, high))
    return Stock(tuple(sheets), tuple(offcuts), tuple((o.item, o.amount) for o in doc.on_hand), tuple(prices))


def _you(doc: YouDoc, currency: str, ledger: Ledger, stock: Stock) -> You:
    rates = Rates(tuple((p.item, p.low, p.typical, p.high) for p in stock.prices))
    worth = rates[f"economics.owner_time_value_{_WORTH[currency]}"]
    said = f"{worth.status} ({worth.low:g} to {worth.high:g})"
    if not doc.tools:
        ledger.note("you.tools", "long knife", "cuts foam board without dust")
    return You(
        ledger.take(doc.hour_worth, worth.typical, "you.hour_worth", said, f"{worth.typical:g} {worth.unit}"),
        ledger.take(doc.hands, 1, "you.hands", "working alone"),
        tuple(doc.tools) or (Tool.KNIFE,),
        doc.days,
        ledger.take(doc.hours_per_day, 6.0, "you.hours_per_day", "assumption", Hours(6.0)),
        ledger.take(doc.skill, "usual", "you.skill"),
        ledger.take(doc.sprays, True, "you.sprays", "nobody has asthma, allergies or skin trouble", "yes"),
    )


def _wishes(doc: WishesDoc, ledger: Ledger) -> Wishes:
    usual = Wishes()
    percent = None if doc.discount_percent is None else doc.discount_percent / 100
    growth = None if doc.price_growth_percent is None else doc.price_growth_percent / 100
    return Wishes(
        ledger.take(doc.objective, usual.objective, "wishes.objective", "", usual.objective.value),
        ledger.take(doc.years, usual.years, "wishes.years", "", "20 years of energy"),
        ledger.take(percent, usual.discount, "wishes.discount_percent", "OMB real rate, S56", "3 %"),
        doc.budget,
        doc.hours,
        ledger.take(doc.air_barrier, usual.air_barrier, "wishes.air_barrier", "", "the line must close"),
        ledger.take(doc.foil, usual.foil, "wishes.foil", "foil to the heated side in a cold climate", "to the room"),
        ledger.take(doc.layers, usual.layers, "wishes.layers"),
        doc.target_r.value if doc.target_r else None,
        doc.incentive or 0.0,
        tuple(doc.never),
        ledger.take(growth, usual.price_growth, "wishes.price_growth_percent", "", "0 % real"),
        doc.in_hands or False,
        doc.plug_edges or "",
        float(doc.cover_strips) if doc.cover_strips is not None else 0.0,
    )


@dataclass(frozen=True)
class _Surfaces:
    """Faces, joins, hosts and spaces of a document."""

    faces: tuple[Face, ...]
    joins: tuple[Join, ...]
    hosts: tuple[Host, ...]
    spaces: tuple[Spaced, ...]


def _surfaces(doc: JobDoc, zones: tuple[Zone, ...], ledger: Ledger, faults: _Faults) -> _Surfaces:
    faces: list[Face] = []
    joins: list[Join] = []
    boxes: list[tuple[int, NicheBoxDoc, Expanded]] = []
    unit = "in" if doc.units == "ft-in" else "mm"
    low = headrooms(doc)
    spaces: list[Spaced] = []
    for number, said in enumerate(doc.spaces):
        found = faults.tried(
            partial(spaced, said, number, doc.spaces, zones, ledger, Units(doc.units)), "spaces", number
        )
        if found is not None:
            spaces.append(found)
            faces.extend(found.made.faces)
            joins.extend(found.made.joins)
        else:
            faults.lost += [space_id(said, doc.spaces), *face_ids(said)]
    for number, shape in enumerate(doc.shapes):
        made = faults.tried(partial(expanding.expanded, shape, zones, ledger, unit, low), "shapes", number)
        if made is not None:
            faces.extend(made.faces)
            joins.extend(made.joins)
            if isinstance(shape, NicheBoxDoc):
                boxes.append((number, shape, made))
        else:
            faults.lost.append(shape.id)
    for number, plain in enumerate(doc.faces):
        face = faults.tried(partial(surfaces.face, plain, zones, ledger, low), "faces", number)
        if face is not None:
            faces.append(face)
        else:
            faults.lost.append(plain.id)
    _change(doc, faces, ledger, faults)
    _unique(faces, faults)
    hosts: list[Host] = [host for space in spaces for host in space.made.hosts]
    if not faults.errors:
        known = tuple(faces)
        for number, joined in enumerate(doc.joins):
            join = faults.tried(partial(surfaces.join, joined, known, ledger, number), "joins", number)
            joins.extend([join] if join is not None else [])
        _joined_once(doc, faces, joins, faults)
        for number, shape, made in boxes:
            host = faults.tried(partial(expanding.host, shape, made, known), "shapes", number)
            hosts.extend([host] if host is not None else [])
    rough = surfaces.rough_where_unjoined(tuple(faces), tuple(joins), ledger)
    return _Surfaces(rough, tuple(joins), tuple(hosts), tuple(spaces))


def _joined_once(doc: JobDoc, faces: list[Face], joins: list[Join], faults: _Faults) -> None:
    """Refuse a second join at one edge."""
    seen: set[tuple[str, tuple[str, str]]] = set()
    of = {face.id: face for face in faces}
    written = len(doc.joins)
    for number, join in enumerate(joins):
        own = number - (len(joins) - written)
        for side, end in (("a", (join.a, join.edge_a)), ("b", (join.b, join.edge_b))):
            edges = {(end[0], e) for e in edges_between(of[end[0]], end[1])}
            if edges & seen:
                what = f"Edge {'-'.join(end[1])} of face {end[0]} is joined twice."
                where = ("joins", own, side) if own >= 0 else ("shapes", end[0])
                faults.errors.append(InputError(what, where=where, hint="One of the two joins names the wrong edge."))
            seen |= edges


def _change(doc: JobDoc, faces: list[Face], ledger: Ledger, faults: _Faults) -> None:
    """Lay the user's changes over the faces that shorthands made."""
    for number, change in enumerate(doc.changes):
        at = [i for i, f in enumerate(faces) if f.id == change.face]
        if not at:
            _missing(faults, "face", change.face, {f.id for f in faces}, ("changes", number, "face"))
            continue
        new = faults.tried(partial(surfaces.changed, faces[at[0]], change, ledger), "changes", number)
        if new is not None:
            faces[at[0]] = new


def _unique(faces: list[Face], faults: _Faults) -> None:
    twice = {f.id for f in faces if sum(g.id == f.id for g in faces) > 1}
    for face_id in sorted(twice):
        what = f"Two faces are called {face_id!r}."
        faults.errors.append(InputError(what, where=("faces", face_id), hint="Rename one."))


def _check_names(doc: JobDoc, faces: tuple[Face, ...], zones: tuple[Zone, ...], faults: _Faults) -> None:
    face_ids = {f.id for f in faces}
    zone_ids = {z.id for z in zones}
    if not faces or not zones:
        return
    for number, entry in enumerate(doc.log.entries):
        if entry.face and entry.face not in face_ids:
            _missing(faults, "face", entry.face, face_ids, ("log", "entries", number, "face"))
        if entry.replaces is not None and entry.replaces >= number:
            faults.errors.append(
                InputError(
                    "An entry can only replace an earlier one.",
                    where=("log", "entries", number, "replaces"),
                    hint="Entries are numbered from 0.",
                )
            )
    placed: list[tuple[tuple[str | int, ...], str, str]] = [
        (("temperatures", n), t.face, t.zone) for n, t in enumerate(doc.temperatures)
    ]
    for n, logger in enumerate(doc.loggers):
        placed += [(("loggers", n, "channels", k), c.face, c.zone) for k, c in enumerate(logger.channels)]
    for where, face, zone in placed:
        if face and face not in face_ids:
            _missing(faults, "face", face, face_ids, (*where, "face"))
        if zone and zone not in zone_ids:
            _missing(faults, "zone", zone, zone_ids, (*where, "zone"))


def _missing(faults: _Faults, what: str, name: str, known: set[str], where: tuple[str | int, ...]) -> None:
    if what == "face" and any(name == lost or name.startswith(f"{lost}-") for lost in faults.lost):
        return
    hint = f"{what.capitalize()}s: " + ", ".join(sorted(known)) + "."
    faults.errors.append(InputError(f"There is no {what} {name!r}.", where=where, hint=hint))
