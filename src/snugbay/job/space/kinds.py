"""Kinds of spaces, each one data file: its polygon, its numbers, what its faces usually are."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Any

from snugbay.base import DataError, UnknownName
from snugbay.job.space.formula import names_in
from snugbay.job.surfaces import Framing, Layer, Part

SELF, OPEN = "self", "open"
"""What may lie behind a face besides a zone: the space's own zone, or nothing that closes it."""


@dataclass(frozen=True)
class Number:
    """One number of a kind.

    Attributes
    ----------
    name, title : str
        Field and command-line key; in words, with where it is read.
    guess : float
        Taken where nobody says. [m, rad or pieces]
    sigma : float
        Standard deviation of the guess. [same]
    least, most : float
        Beyond these it cannot be. [same]
    usual : (float, float)
        Ten times beyond these it is asked about. [same]
    main : bool
        True where there is no default: the person must say it.
    unit : str
        ``"length"``, ``"angle"`` or ``"count"``.
    reads : str
        Name of the edge or angle that it is the reading of; empty where it only places things.
    why : str
        Where the guess comes from.
    """

    name: str
    title: str
    guess: float
    sigma: float
    least: float
    most: float
    usual: tuple[float, float]
    main: bool = False
    unit: str = "length"
    reads: str = ""
    why: str = ""


@dataclass(frozen=True)
class Edge:
    """One face of a kind: an edge of its polygon, or one of its two ends.

    Attributes
    ----------
    name : str
        ``"knee wall"``.
    part : Part
        What part of the house it is.
    behind : str
        Zone behind it: ``"inside"``, ``"outside"``, ``"ground"``, ``"open"`` where nothing closes it.
    across : str
        What its size across is called: ``"height"``, ``"depth"``, ``"length"``.
    layers, framing, substrate, depth, headroom, vent_space
        As of a face; headroom and depth are sums of the kind's numbers, empty for the usual.
    partition : Edge or None
        What the face is where the rooms lie behind it and not the weather.
    hot_edge : str
        Open face that is a chimney: boards keep off the edge towards it.
    """

    name: str
    part: Part
    behind: str
    across: str = "length"
    layers: tuple[Layer, ...] = ()
    framing: Framing | None = None
    substrate: str = "wood"
    depth: str = ""
    headroom: str = ""
    vent_space: bool = False
    hot_edge: str = ""
    partition: Edge | None = None


@dataclass(frozen=True)
class Kind:
    """One kind of space.

    Attributes
    ----------
    name, title, note : str
        ``"eaves"``; for people; what to think of.
    plan : bool
        True for a plan with a height, False for a profile drawn out along a length.
    outside : bool
        True where the fitter stands outside the body.
    zone : str
        ``"buffer"``: the space is a zone of its own; ``"inside"``: it is part of the rooms; ``"loft"``: the body stands
        in a cold space.
    air_changes : float
        Of the zone as found. [1/h]
    may_come_inside, pipes : bool
        As of a zone.
    numbers : tuple of Number
        In the order asked.
    corners : tuple of (name, across, up)
        Of the polygon, as sums.
    edges : tuple of Edge
        From each corner to the next.
    ends : (Edge, Edge)
        Near and far end.
    drawn : str
        Sum for how far the polygon is drawn out.
    along : str
        What that size is called: ``"length"``, ``"height"``.
    skews : (str, str)
        Sums for the ends' skew; empty for square.
    way_in : tuple of str
        Faces that a hatch is usually in.
    counts : str
        Number that says how many equal ones there are; empty for one.
    """

    name: str
    title: str
    note: str
    plan: bool
    outside: bool
    zone: str
    air_changes: float
    may_come_inside: bool
    pipes: bool
    numbers: tuple[Number, ...]
    corners: tuple[tuple[str, str, str], ...]
    edges: tuple[Edge, ...]
    ends: tuple[Edge, Edge]
    drawn: str
    along: str
    skews: tuple[str, str] = ("", "")
    way_in: tuple[str, ...] = ()
    counts: str = ""
    look_round: tuple[str, ...] = field(default=())

    def number(self, name: str) -> Number:
        """Return a number by its name; raise `UnknownName` otherwise."""
        for number in self.numbers:
            if number.name == name:
                return number
        raise UnknownName(
            f"{self.title} has no number {name!r}.", hint="Numbers: " + ", ".join(n.name for n in self.numbers) + "."
        )

    @property
    def all_edges(self) -> tuple[Edge, ...]:
        """Edges of the polygon, then the two ends."""
        return (*self.edges, *self.ends)


@lru_cache(maxsize=1)
def kinds() -> Mapping[str, Kind]:
    """Return all kinds by name, in the order in which a person is asked.

    Raises
    ------
    DataError
        If a data file is damaged.
    """
    folder = files("snugbay").joinpath("data", "spaces")
    found = [
        _kind(tomllib.loads(entry.read_text(encoding="utf-8")), entry.name)
        for entry in sorted(folder.iterdir(), key=lambda e: e.name)
        if entry.name.endswith(".toml")
    ]
    return {kind.name: kind for _, kind in sorted(found, key=lambda f: f[0])}


def kind_names() -> tuple[str, ...]:
    """Return the names of all kinds."""
    return tuple(kinds())


def kind_of(name: str) -> Kind:
    """Return a kind by its name, ``"crawl space"`` or ``"crawl-space"``; raise `UnknownName` otherwise."""
    plain = " ".join(name.lower().replace("-", " ").replace("_", " ").split())
    if plain in kinds():
        return kinds()[plain]
    near = difflib.get_close_matches(plain, kinds(), n=3, cutoff=0.5) or kinds()
    raise UnknownName(f"There is no kind of space {name!r}.", hint="Kinds: " + ", ".join(near) + ".")


def _kind(data: Mapping[str, Any], file: str) -> tuple[int, Kind]:
    try:
        kind = _made(data)
    except (KeyError, ValueError, TypeError) as error:
        raise DataError(f"The kind in {file} cannot be read: {error!r}.") from None
    known = {n.name for n in kind.numbers}
    sums = [s for c in kind.corners for s in c[1:]] + [kind.drawn, *(s for s in kind.skews if s)]
    sums += [s for e in kind.all_edges for s in (e.depth, e.headroom) if s]
    strangers = sorted({n for s in sums for n in names_in(s)} - known)
    if strangers:
        raise DataError(f"The kind in {file} uses the unknown number {strangers[0]!r}.")
    if len(kind.corners) != len(kind.edges):
        raise DataError(f"The kind in {file} has {len(kind.corners)} corners and {len(kind.edges)} edges.")
    return int(data["order"]), kind


def _made(data: Mapping[str, Any]) -> Kind:
    skews = data.get("skews", ["", ""])
    near, far = (_edge(e) for e in data["ends"])
    return Kind(
        name=data["kind"],
        title=data["title"],
        note=data["note"],
        plan=data["form"] == "plan",
        outside=data.get("outside", False),
        zone=data["zone"],
        air_changes=float(data.get("air_changes", 0.0)),
        may_come_inside=data.get("may_come_inside", False),
        pipes=data.get("pipes", False),
        numbers=tuple(_number(name, row) for name, row in data["numbers"].items()),
        corners=tuple((c["name"], str(c["at"][0]), str(c["at"][1])) for c in data["corners"]),
        edges=tuple(_edge(e) for e in data["edges"]),
        ends=(near, far),
        drawn=str(data["drawn"]),
        along=data["along"],
        skews=(skews[0], skews[1]),
        way_in=tuple(data.get("way_in", ())),
        counts=data.get("counts", ""),
        look_round=tuple(data.get("look_round", ())),
    )


def _number(name: str, row: Mapping[str, Any]) -> Number:
    low, high = row["usual"]
    return Number(
        name,
        row["title"],
        float(row["guess"]),
        float(row["sigma"]),
        float(row["least"]),
        float(row["most"]),
        (float(low), float(high)),
        row.get("main", False),
        row.get("unit", "length"),
        row.get("reads", ""),
        row.get("why", ""),
    )


def _edge(row: Mapping[str, Any]) -> Edge:
    framing = row.get("framing")
    return Edge(
        row["name"],
        Part(row["part"]),
        row["behind"],
        row.get("across", "length"),
        tuple(
            Layer(x["material"], float(x.get("thickness", 0.0)), x.get("between_framing", False))
            for x in row.get("layers", ())
        ),
        Framing(
            float(framing["spacing"]),
            float(framing["width"]),
            float(framing["depth"]),
            framing.get("direction", "up"),
            float(framing.get("first", framing["spacing"] / 2)),
        )
        if framing
        else None,
        row.get("substrate", "wood"),
        str(row.get("depth", "")),
        str(row.get("headroom", "")),
        row.get("vent_space", False),
        row.get("hot_edge", ""),
        _edge({**row, **row["partition"], "partition": None}) if row.get("partition") else None,
    )
