"""Read ways from TOML: every field checked, every fault named with its place."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import fields
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any

from snugbay.base import InputError, Problems, SnugbayError, UnknownName
from snugbay.materials import OWN, Item, Rate, Rates, material
from snugbay.pieces import Fitting
from snugbay.tape import FOOT_M, INCH_M, R_SI_PER_R_IP
from snugbay.ways.table import NO_FIGURE, WHOLE, BoardRule, Figure, FillRule, Limits, Product, SharedHours, Way

FT2 = FOOT_M**2
SURFACES = ("floor", "wall", "slope", "ceiling")
NEEDS = ("", "open bays", "closed bays", "framing", "no open bays")

Table = Mapping[str, Any]


class _Reader:
    """One table being read: takes fields off it and complains about what is left."""

    def __init__(self, table: Table, where: tuple[str | int, ...], rates: Rates) -> None:
        self.left = dict(table)
        self.where = where
        self.rates = rates
        self.errors: list[SnugbayError] = []

    def fault(self, key: str, what: str, hint: str = "") -> None:
        self.errors.append(InputError(what, where=(*self.where, key), hint=hint))

    def text(self, key: str, default: str = "", choices: Sequence[str] = ()) -> str:
        value = self.left.pop(key, default)
        if not isinstance(value, str):
            self.fault(key, f"{key} must be text, not {value!r}.")
            return default
        if choices and value not in choices:
            self.fault(key, f"{key} cannot be {value!r}.", "Use one of: " + ", ".join(repr(c) for c in choices) + ".")
            return default
        return value

    def flag(self, key: str, default: bool) -> bool:
        value = self.left.pop(key, default)
        if not isinstance(value, bool):
            self.fault(key, f"{key} must be true or false, not {value!r}.")
            return default
        return value

    def number(self, key: str, default: float | None = None, *, above: float = 0.0) -> float | None:
        value = self.left.pop(key, None)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not value > above:
            self.fault(key, f"{key} must be a number above {above:g}, not {value!r}.")
            return default
        return float(value)

    def texts(self, key: str, default: tuple[str, ...] = (), choices: Sequence[str] = ()) -> tuple[str, ...]:
        value = self.left.pop(key, list(default))
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            self.fault(key, f"{key} must be a list of texts, not {value!r}.")
            return default
        bad = [v for v in value if choices and v not in choices]
        if bad:
            self.fault(key, f"{key} cannot hold {bad[0]!r}.", "Use: " + ", ".join(repr(c) for c in choices) + ".")
            return default
        return tuple(value)

    def figure(self, key: str, default: Figure, scale: float = 1.0) -> Figure:
        value = self.left.pop(key, default)
        if isinstance(value, str):
            try:
                found = self.rates[value]
            except UnknownName as error:
                self.errors.append(error.at(*self.where, key))
                return default
            if scale == 1.0:
                return value
            return (found.low * scale, found.typical * scale, found.high * scale)
        triple = _triple(value)
        if triple is None:
            self.fault(key, f"{key} must be a number, [low, typical, high] or the id of a rate, not {value!r}.")
            return default
        return (triple[0] * scale, triple[1] * scale, triple[2] * scale)

    def table(self, key: str) -> Table | None:
        value = self.left.pop(key, None)
        if value is not None and not isinstance(value, dict):
            self.fault(key, f"{key} must be a table.")
            return None
        return value

    def tables(self, key: str) -> list[Table]:
        value = self.left.pop(key, [])
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault(key, f"{key} must be a list of tables.")
            return []
        return value

    def within(self, table: Table, *steps: str | int) -> _Reader:
        return _Reader(table, (*self.where, *steps), self.rates)

    def done(self, known: Sequence[str]) -> None:
        for key in self.left:
            close = get_close_matches(key, known, n=1)
            self.fault(key, f"There is no field {key!r} here.", f"Did you mean {close[0]!r}?" if close else "")


def _triple(value: object) -> tuple[float, float, float] | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return (float(value),) * 3
    if (
        isinstance(value, (list, tuple))
        and len(value) == 3
        and all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in value)
    ):
        low, typical, high = (float(v) for v in value)
        return (low, typical, high) if low <= typical <= high else None
    return None


_BOARDS = ("layers", "edges", "kept", "thin")
_FILL = (
    "material", "conductivity", "place", "products", "thickness_mm", "kept", "waste_pct", "recovered", "hours_ft2",
    "hours_m2", "minutes_bf", "price_bf", "price_m2", "sprayed", "fills", "pack",
)  # fmt: skip
_LIMITS = tuple(f.name for f in fields(Limits))
_WAY = (
    "id", "title", "group", "boards", "fill", "second", "leak_left", "seals_first", "air_barrier", "labour_factor",
    "gear", "hire", "shared", "minimum", "limits", "first", "after", "cautions",
)  # fmt: skip


def _boards(r: _Reader) -> BoardRule:
    names = r.texts("layers", (), [f.value for f in Fitting])
    if not names:
        r.fault("layers", "layers names where each layer of board lies.", 'Write layers = ["in bays"].')
    rule = BoardRule(
        tuple(Fitting(n) for n in names),
        r.text("edges", "gun foam", ("gun foam", "kit foam", "none")),
        r.figure("kept", "ways.fit.board"),
        r.flag("thin", False),
    )
    r.done(_BOARDS)
    return rule


def _product(r: _Reader) -> Product:
    thickness = r.number("thickness_mm")
    inches = r.number("thickness_in")
    if (thickness is None) == (inches is None):
        r.fault("thickness_mm", "A product has one thickness.", "Write thickness_mm = 89 or thickness_in = 3.5.")
    label = r.number("r_ip")
    si = r.number("r_m2k_w")
    product = Product(
        thickness / 1000 if thickness is not None else (inches or 1.0) * INCH_M,
        label * R_SI_PER_R_IP if label is not None else si,
        r.text("resource"),
        (r.number("per_ft2", 0.0) or 0.0) / FT2 + (r.number("per_m2", 0.0) or 0.0),
        round(r.number("layers", 1.0) or 1.0),
    )
    r.done(("thickness_mm", "thickness_in", "r_ip", "r_m2k_w", "resource", "per_ft2", "per_m2", "layers"))
    return product


def _pack(r: _Reader, way: str) -> Item:
    price = r.figure("price", NO_FIGURE)
    if isinstance(price, str):
        price = (r.rates[price].low, r.rates[price].typical, r.rates[price].high)
    item = Item(
        f"{way}-pack",
        r.text("name", f"pack for {way}"),
        f"{way}-pack",
        r.text("unit", "pack"),
        r.number("covers_m2", 1.0) or 1.0,
        "m2",
        "use",
        Rate(f"{way}-pack", *price, "a pack", "", OWN),
    )
    r.done(("price", "name", "unit", "covers_m2"))
    return item


def _fill(r: _Reader, way: str) -> tuple[FillRule, tuple[Item, ...]]:
    conductivity = r.number("conductivity")
    key = r.text("material")
    if conductivity is None and not key:
        r.fault("material", "A filling insulates by something.", 'Write conductivity = 0.04 or material = "...".')
    elif conductivity is None:
        try:
            material(key)
        except UnknownName as error:
            r.errors.append(error.at(*r.where, "material"))
    items: tuple[Item, ...] = ()
    resource, per_m2 = "", 0.0
    pack = r.table("pack")
    if pack is not None:
        inner = r.within(pack, "pack")
        items = (_pack(inner, way),)
        r.errors += inner.errors
        resource, per_m2 = items[0].id, 1.0
    products = []
    for i, table in enumerate(r.tables("products")):
        inner = r.within(table, "products", i)
        products.append(_product(inner))
        r.errors += inner.errors
    thickness = r.number("thickness_mm")
    if thickness is not None:
        products.append(Product(thickness / 1000, None, resource, per_m2))
    if not products:
        r.fault("products", "A filling has at least one thickness.", "Write thickness_mm = 90.")
    per_foot = r.figure("hours_ft2", NO_FIGURE, 1.0 / FT2)
    rule = FillRule(
        key,
        tuple(products),
        r.text("place", "bays", ("bays", "face", "floor")),
        r.figure("kept", WHOLE),
        r.figure("waste_pct", NO_FIGURE),
        r.figure("recovered", WHOLE),
        r.figure("hours_m2", per_foot),
        r.figure("minutes_bf", NO_FIGURE),
        r.figure("price_bf", NO_FIGURE),
        r.figure("price_m2", NO_FIGURE),
        conductivity,
        r.flag("sprayed", False),
        r.flag("fills", False),
    )
    r.done(_FILL)
    return rule, items


def _limits(r: _Reader) -> Limits:
    plain = Limits()
    limits = Limits(
        r.texts("surfaces", plain.surfaces, SURFACES),
        r.text("needs", plain.needs, NEEDS),
        r.texts("sides", plain.sides, ("warm", "cold")),
        r.flag("hot", plain.hot),
        r.flag("wet", plain.wet),
        r.flag("envelops", plain.envelops),
        r.flag("by_hand", plain.by_hand),
        r.flag("foam", plain.foam),
    )
    r.done(_LIMITS)
    return limits


def _shared(r: _Reader) -> SharedHours:
    shared = SharedHours(r.text("id"), r.text("element", "set-up"), r.figure("hours", NO_FIGURE))
    r.done(("id", "element", "hours"))
    return shared


def _way(r: _Reader, own: bool) -> Way:
    way_id = r.text("id")
    if not way_id or "/" in way_id or way_id == "as-found":
        r.fault("id", f"{way_id!r} cannot be the id of a way.", "Use letters, digits and dashes.")
    boards = fill = second = None
    items: tuple[Item, ...] = ()
    for key in ("boards", "fill", "second", "limits"):
        table = r.table(key)
        inner = r.within(table if table is not None else {}, key)
        if key == "limits":
            limits = _limits(inner)
        elif table is None:
            continue
        elif key == "boards":
            boards = _boards(inner)
        elif key == "fill":
            fill, items = _fill(inner, way_id)
        else:
            second, more = _fill(inner, f"{way_id}-2")
            items += more
        r.errors += inner.errors
    shared = []
    for i, table in enumerate(r.tables("shared")):
        inner = r.within(table, "shared", i)
        shared.append(_shared(inner))
        r.errors += inner.errors
    way = Way(
        id=way_id,
        title=r.text("title", way_id),
        group=r.text("group", way_id),
        boards=boards,
        fill=fill,
        second=second,
        leak_left=r.figure("leak_left", WHOLE),
        seals_first=r.flag("seals_first", False),
        air_barrier=r.text("air_barrier", "no", ("yes", "no", "sealed")),
        labour_factor=r.figure("labour_factor", WHOLE),
        gear=r.texts("gear"),
        hire=r.texts("hire"),
        shared=tuple(shared),
        minimum=r.figure("minimum", NO_FIGURE),
        own=own,
        limits=limits,
        first=r.texts("first"),
        after=r.texts("after"),
        cautions=r.texts("cautions"),
        items=items,
    )
    if boards is None and fill is None and not way.seals_first:
        r.fault("fill", f"The way {way_id!r} puts in nothing.", "Give it a [way.fill] or [way.boards].")
    r.done(_WAY)
    return way


def read_ways(text: str, rates: Rates, *, own: bool, where: tuple[str | int, ...] = ()) -> tuple[Way, ...]:
    """Read ways from TOML text.

    Parameters
    ----------
    text : str
        Tables ``[[way]]``, or the fields of one way.
    rates : Rates
        Rate ids that figures may name.
    own : bool
        True for the user's own ways.
    where : tuple
        Place of the text in the user's file.

    Raises
    ------
    InputError
        If the text is not TOML.
    Problems
        If fields are wrong; every fault is in it.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"The table of a way cannot be read: {error}.", where=where) from error
    listed = isinstance(data.get("way"), list)
    tables = data["way"] if listed else [data]
    errors: list[SnugbayError] = []
    ways = []
    for i, table in enumerate(tables):
        if not isinstance(table, dict):
            errors.append(InputError("A way is a table.", where=(*where, "way", i), hint="Write [[own_ways]] over it."))
            continue
        reader = _Reader(table, (*where, "way", i) if listed else where, rates)
        ways.append(_way(reader, own))
        errors += reader.errors
    if errors:
        raise Problems(errors)
    return tuple(ways)


@cache
def _bundled(rates: Rates) -> tuple[Way, ...]:
    text = files("snugbay").joinpath("data", "ways", "ways.toml").read_text(encoding="utf-8")
    return read_ways(text, rates, own=False)


def all_ways(own_ways: Sequence[str], rates: Rates) -> tuple[Way, ...]:
    """Return the bundled ways and the user's own; an own way with a bundled id takes its place.

    Raises
    ------
    Problems
        If an own way is wrong.
    """
    own: dict[str, Way] = {}
    for i, text in enumerate(own_ways):
        for way in read_ways(text, rates, own=True, where=("own_ways", i)):
            own[way.id] = way
    bundled = tuple(own.pop(w.id, w) for w in _bundled(rates))
    return (*bundled, *own.values())
