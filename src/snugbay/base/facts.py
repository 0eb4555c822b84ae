"""Facts: what a sentence is about, as typed quantities in SI; the words stand in a table and are put to it at the edge.

Each kind has a field of its own name, so that a kept fact is read back as the kind that it was.

A fact says what kind of figure it is, so that whoever writes it down knows how: a `Length` on the job's tape, a
`Temperature` in its degrees, `Money` in its currency. A `Said` is a code and its facts; it may be a fact of another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Union

if TYPE_CHECKING:
    from snugbay.base.errors import SnugbayError


@dataclass(frozen=True)
class Length:
    """A length that a tape reads. [m]"""

    m: float


@dataclass(frozen=True)
class LongLength:
    """A long length that no single tape reads: of joints, of cuts, of pipe, a height above the sea. [m]"""

    long_m: float


@dataclass(frozen=True)
class Distance:
    """A distance on the map. [m]"""

    map_m: float


@dataclass(frozen=True)
class Area:
    """An area. [m²]"""

    m2: float


@dataclass(frozen=True)
class Volume:
    """A volume. [m³]"""

    m3: float


@dataclass(frozen=True)
class Angle:
    """An angle. [rad]"""

    rad: float


@dataclass(frozen=True)
class Temperature:
    """A temperature. [°C]"""

    c: float


@dataclass(frozen=True)
class TemperatureDifference:
    """A difference of temperatures. [K]"""

    k: float


@dataclass(frozen=True)
class Resistance:
    """A thermal resistance. [m²·K/W]"""

    m2k_w: float


@dataclass(frozen=True)
class Mass:
    """A mass. [kg]"""

    kg: float


@dataclass(frozen=True)
class MassPerArea:
    """A mass on an area. [kg/m²]"""

    kg_m2: float


@dataclass(frozen=True)
class Energy:
    """An amount of energy. [kWh]"""

    kwh: float


@dataclass(frozen=True)
class HeatFlux:
    """Heat through an area. [W/m²]"""

    w_m2: float


@dataclass(frozen=True)
class Speed:
    """A speed of wind. [m/s]"""

    m_s: float


@dataclass(frozen=True)
class Pressure:
    """A pressure. [Pa]"""

    pa: float


@dataclass(frozen=True)
class Money:
    """An amount of the job's money."""

    amount: float


@dataclass(frozen=True)
class Hours:
    """Time that work takes. [h]"""

    work_h: float


@dataclass(frozen=True)
class Span:
    """Time that goes by: hours of frost, hours between rows of a logger. [h]"""

    span_h: float


@dataclass(frozen=True)
class Days:
    """Whole or part days."""

    d: float


@dataclass(frozen=True)
class Years:
    """Years."""

    y: float


@dataclass(frozen=True)
class Share:
    """A share of a whole, or a chance, 0 to 1. [-]"""

    share: float


@dataclass(frozen=True)
class Number:
    """A bare figure without a unit. [-]"""

    value: float


@dataclass(frozen=True)
class Count:
    """How many there are; a template's words may follow it: ``{n:entry|entries}``."""

    n: int


@dataclass(frozen=True)
class Month:
    """A month, 1 to 12."""

    number: int


@dataclass(frozen=True)
class FaceRef:
    """A face of the job, by its id."""

    face: str


@dataclass(frozen=True)
class ReadingRef:
    """A reading as it is named in the job: ``A-C``."""

    reading: str


@dataclass(frozen=True)
class PieceRef:
    """A piece, by the label that is written on it."""

    piece: str


@dataclass(frozen=True)
class RowRef:
    """A row of the log or of the readings: ``Reading 3``, ``Entry 4``."""

    row: int
    of: str = "reading"


@dataclass(frozen=True)
class Name:
    """What the user, a catalogue or the document calls a thing: written as it is, in every language."""

    text: str


@dataclass(frozen=True)
class Listed:
    """Several facts in a row.

    Attributes
    ----------
    items : tuple of Fact
        In order.
    join : str
        ``"and"``, ``"or"``, ``"comma"``, ``"semicolon"`` or ``"space"``.
    most : int
        That are written out before ``and 3 more``; 0 for all.
    """

    items: tuple[Fact, ...]
    join: str = "and"
    most: int = 0


@dataclass(frozen=True)
class Range:
    """From the least to the greatest of several quantities of one kind."""

    least: Fact
    greatest: Fact


@dataclass(frozen=True)
class Fault:
    """What an error says is wrong, and what to do about it."""

    what: str
    hint: str = ""
    said: Said | None = None
    cure: Said | None = None

    @classmethod
    def of(cls, error: SnugbayError) -> Fault:
        """Return what an error says."""
        return cls(error.what, error.hint, error.said, error.cure)


@dataclass(frozen=True)
class Said:
    """A phrase: the code of its row in the table of words, and its facts by name."""

    code: str
    facts: tuple[tuple[str, Fact | None], ...] = ()

    @classmethod
    def of(cls, code: str, /, **facts: Fact | None) -> Said:
        """Return a phrase; a fact that is None is written as nothing."""
        return cls(code, tuple(sorted(facts.items())))

    def __str__(self) -> str:
        """Return code and facts for those who program: no sentence, and in SI."""
        return f"{self.code}({', '.join(f'{name}={fact}' for name, fact in self.facts)})"


Fact = Union[  # noqa: UP007  forward references
    Length, LongLength, Distance, Area, Volume, Angle, Temperature, TemperatureDifference, Resistance, Mass,
    MassPerArea, Energy, HeatFlux, Speed, Pressure, Money, Hours, Span, Days, Years, Share, Number, Count, Month,
    FaceRef, ReadingRef, PieceRef, RowRef, Name, Listed, Range, Fault, Said,
]  # fmt: skip
"""One thing that a sentence names."""

Told = str | Fact
"""What is told: a fact or a phrase; a bare text is a name, or a sentence without a figure."""

Facts = tuple[tuple[str, Fact | None], ...]
"""Facts by name, in the order of the names."""


def as_fact(told: Told) -> Fact:
    """Return what is told as a fact."""
    return Name(told) if isinstance(told, str) else told


def told_all(told: Iterable[Told], join: str = "space") -> Listed:
    """Return several things that are told, one after the other."""
    return Listed(tuple(as_fact(one) for one in told), join)


def names(texts: Iterable[str], join: str = "and", most: int = 0) -> Listed:
    """Return names in a row."""
    return Listed(tuple(Name(t) for t in texts), join, most)


def faces(ids: Iterable[str], join: str = "and", most: int = 0) -> Listed:
    """Return faces in a row."""
    return Listed(tuple(FaceRef(i) for i in ids), join, most)


def figure(fact: Fact | None) -> float:
    """Return the SI figure of a quantity.

    Raises
    ------
    TypeError
        If the fact has no figure.
    """
    if fact is not None:
        value = getattr(fact, fields(fact)[0].name)
        if isinstance(value, (int, float)):
            return float(value)
    raise TypeError(f"{fact!r} has no figure.")


def plain(fact: Fact | None) -> object:
    """Return a fact as plain values for a file: its kind in words, its figure under the name that says its unit."""
    if fact is None:
        return None
    if isinstance(fact, Said):
        return {"said": fact.code, "facts": {k: plain(v) for k, v in fact.facts}}
    if isinstance(fact, Listed):
        return [plain(i) for i in fact.items]
    if isinstance(fact, Range):
        return {"least": plain(fact.least), "greatest": plain(fact.greatest)}
    if isinstance(fact, Fault):
        return {"kind": "Fault", "what": fact.what, "hint": fact.hint}
    key = fields(fact)[0].name
    return {"kind": type(fact).__name__, key: getattr(fact, key)}


def by_name(facts: Facts) -> Mapping[str, Fact | None]:
    """Return facts as a mapping."""
    return dict(facts)
