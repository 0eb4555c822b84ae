"""The ways as data: bundled table and the user's own, in one TOML form."""

from __future__ import annotations

from dataclasses import dataclass, field

from snugbay.materials import OWN, Item, Rate, Rates
from snugbay.pieces import Fitting

Figure = str | tuple[float, float, float]
"""A rate id, or low, typical, high."""

NO_FIGURE: Figure = (0.0, 0.0, 0.0)
WHOLE: Figure = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class BoardRule:
    """Boards of a way.

    Attributes
    ----------
    layers : tuple of Fitting
        Where each layer lies, surface first.
    edges : str
        What fills the edges: ``"gun foam"``, ``"kit foam"`` or ``"none"`` (set loose).
    kept : Figure
        Share of the printed resistance that is kept.
    thin : bool
        True where only the thinnest boards are meant (a cover).
    """

    layers: tuple[Fitting, ...]
    edges: str = "gun foam"
    kept: Figure = "ways.fit.board"
    thin: bool = False


@dataclass(frozen=True)
class Product:
    """One thickness of a filling.

    Attributes
    ----------
    thickness : float
        As fitted. [m]
    r : float or None
        Label resistance; None takes thickness over conductivity. [m²·K/W]
    resource : str
        What it uses up.
    per_m2 : float
        Amount of the resource in a square metre, before waste.
    layers : int
        Layers that it goes in; hours are for one.
    """

    thickness: float
    r: float | None
    resource: str
    per_m2: float
    layers: int = 1


@dataclass(frozen=True)
class FillRule:
    """Filling of a way: batts, boards of fibre, blown fibre, sprayed foam.

    Attributes
    ----------
    material : str
        Key in the materials table.
    products : tuple of Product
        Thicknesses to choose from.
    place : str
        ``"bays"`` (between framing), ``"face"`` (over everything) or ``"floor"`` (heaped on a floor).
    kept, waste_pct : Figure
        Share of the resistance kept; waste in percent of what is bought.
    recovered : Figure
        Share of the label amount that ends where it is wanted (yield of foam).
    hours_m2 : Figure
        Own hours a square metre; ``hours_ft2`` in the table is turned into this.
    minutes_bf : Figure
        Own minutes a board-foot placed.
    price_bf, price_m2 : Figure
        Money paid to others. [currency of the job; rate ids are in US dollars]
    conductivity : float or None
        For own materials that the table has not. [W/(m·K)]
    sprayed : bool
        True for two-component foam.
    fills : bool
        True where the bays are filled to their full depth.
    """

    material: str
    products: tuple[Product, ...]
    place: str = "bays"
    kept: Figure = WHOLE
    waste_pct: Figure = NO_FIGURE
    recovered: Figure = WHOLE
    hours_m2: Figure = NO_FIGURE
    minutes_bf: Figure = NO_FIGURE
    price_bf: Figure = NO_FIGURE
    price_m2: Figure = NO_FIGURE
    conductivity: float | None = None
    sprayed: bool = False
    fills: bool = False


@dataclass(frozen=True)
class SharedHours:
    """Hours worked once for the whole job, whichever faces take part.

    Attributes
    ----------
    id : str
        Ways that name the same id share it.
    element : str
        Element of the hours.
    hours : Figure
        [h]
    """

    id: str
    element: str
    hours: Figure


@dataclass(frozen=True)
class Limits:
    """Where a way may go.

    Attributes
    ----------
    surfaces : tuple of str
        floor, wall, slope, ceiling.
    needs : str
        ``"open bays"``, ``"closed bays"``, ``"framing"``, ``"no open bays"`` or ``""``.
    sides : tuple of str
        ``"warm"``, ``"cold"``: the side it is fitted from.
    hot : bool
        True where it may go on a face with a flue or lamp (cut and held clear).
    wet : bool
        True where it may go on damp wood.
    envelops : bool
        True where it wraps wires that run in the bays.
    by_hand : bool
        True where a person must reach the face (working height of the headroom table).
    foam : bool
        True where plastic foam is left that needs a fire cover towards rooms.
    """

    surfaces: tuple[str, ...] = ("floor", "wall", "slope", "ceiling")
    needs: str = ""
    sides: tuple[str, ...] = ("warm", "cold")
    hot: bool = True
    wet: bool = True
    envelops: bool = False
    by_hand: bool = True
    foam: bool = False


@dataclass(frozen=True)
class Way:
    """A way to insulate a face.

    Attributes
    ----------
    id, title : str
        Way id and name for people.
    group : str
        Ways of one group share their luck in the spread: boards, batts, loose, kit, crew, seal.
    boards, fill : rules
        What is put in; a way may have both (filling first).
    second : FillRule or None
        A second filling over the first (flash and batt).
    leak_left : Figure
        Share of the face's leak that is left.
    seals_first : bool
        True where joints are sealed before the filling goes in, if the face has a layer to seal.
    air_barrier : str
        ``"yes"``, ``"no"`` or ``"sealed"`` (only where the face itself has an airtight layer to seal).
    labour_factor : Figure
        On all own hours of the way.
    gear, hire : tuple of str
        Item ids, once for the job.
    shared : tuple of SharedHours
        Once for the job.
    minimum : Figure
        Least charge of a hired crew for the job.
    own : bool
        True where the user added it.
    limits : Limits
        Where it may go.
    first, after, cautions : tuple of str
        What to do before and after; codes of cautions.
    items : tuple of Item
        Things of the user's own that it uses.
    """

    id: str
    title: str
    group: str
    boards: BoardRule | None = None
    fill: FillRule | None = None
    second: FillRule | None = None
    leak_left: Figure = WHOLE
    seals_first: bool = False
    air_barrier: str = "no"
    labour_factor: Figure = WHOLE
    gear: tuple[str, ...] = ()
    hire: tuple[str, ...] = ()
    shared: tuple[SharedHours, ...] = ()
    minimum: Figure = NO_FIGURE
    own: bool = False
    limits: Limits = field(default_factory=Limits)
    first: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()


def figure(value: Figure, rates: Rates) -> Rate:
    """Return a figure as a rate; own figures are marked as such.

    Raises
    ------
    UnknownName
        If a rate id is not in the table.
    """
    if isinstance(value, str):
        return rates[value]
    return Rate("", *value, "", "", OWN)
