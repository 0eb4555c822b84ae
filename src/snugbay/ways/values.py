"""What a way to insulate a face needs and gives."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding, Told
from snugbay.pieces import BoardChoice
from snugbay.ways.buildup import Added
from snugbay.ways.joints import Joined


@dataclass(frozen=True)
class HourElement:
    """One element of the hours: where the time goes.

    Attributes
    ----------
    element : str
        marking, cutting, carrying, fitting, re-trimming, fixing, sealing, prep, placing, clean-up, cover, set-up ...
    low, typical, high : float
        Own hours (one person; a helper's hours are added). [h]
    inside : bool
        True for time spent inside the space (the headroom factor is in the figures).
    note : str
        How it was reckoned: counts times rates.
    assumed : bool
        True where a rate behind it is an assumption or from memory.
    """

    element: str
    low: float
    typical: float
    high: float
    inside: bool = False
    note: str = ""
    assumed: bool = True


@dataclass(frozen=True)
class Need:
    """Something used up on a face, in its selling unit, before rounding to whole units over the whole job.

    Attributes
    ----------
    item : str
        Item id: a board key (``"polyiso-2in"``), ``"kit-600"``, ``"gun-can"``, ``"foil-tape"``, ``"screw"``, ...
    low, typical, high : float
        Amount in selling units (sheets, kits, cans, rolls, bags, each).
    why : str
        For people.
    """

    item: str
    low: float
    typical: float
    high: float
    why: str = ""


@dataclass(frozen=True)
class Option:
    """One way for one face.

    Attributes
    ----------
    face, way, title : str
        Face id, way id, name for people.
    fits : bool
        False where the way is not offered for this face.
    why_not : tuple of Told
        Reasons, in words, where it does not fit.
    r_low, r_typical, r_high : float
        Resistance of the whole face after the work, surface to surface with films. [m²·K/W]
    u_before, u_after : float
        [W/(m²·K)]
    leak_before, leak_after : float
        Effective leakage area at 4 Pa. [m²]
    thickness : float
        Added depth. [m]
    hours : tuple of HourElement
        Own hours, element by element.
    needs : tuple of Need
        Used-up things.
    gear : tuple of str
        Item ids bought once for the whole job.
    charge_low, charge, charge_high : float
        Money paid to others for this face (a hired crew), before any minimum job charge, in the job's currency.
    shared : tuple of str
        Shared job charges it takes part in (``"crew-minimum"``, ``"kit-prep"``): paid or worked once for the job.
    first, after : tuple of str
        What has to be done before and after, in words.
    cover : tuple of str
        The fire cover of its foam, in words: it goes on when everything under it is sealed.
    boards : BoardChoice or None
        For board ways: which boards.
    pieces, cuts : int
        Counts for board ways.
    sprayed : bool
        True where two-component foam is sprayed.
    air_barrier : bool
        True where the way makes the face airtight.
    cautions : tuple of str
        Codes for room cautions.
    findings : tuple of Finding
        What the user must know.
    group : str
        Ways of one group share their luck in the spread: boards, batts, loose, kit, crew, mineral, seal.
    heat_before, heat_low, heat_after, heat_high : float
        Conductance of the whole face, openings and air in it: as found, and after the work at best, typical, at worst.
        [W/K]
    minimum_low, minimum, minimum_high : float
        Least charge of a hired crew for the whole job. [currency]
    shared_hours : tuple of (str, HourElement)
        Hours worked once for the job by all options that name the same id. [h]
    notch_hours : float
        Typical own hours that one notch adds. [h]
    notches : int
        Notches and holes cut for it.
    edges : float
        What the corners with the neighbours add to the conductance after the work, in ``heat_after``. [W/K]
    layers : tuple of Added
        Layers that it adds, surface first, with their label resistances.
    joints : tuple of Joined
        Joints of its boards and what closes them, in ``needs`` too.
    """

    face: str
    way: str
    title: str
    fits: bool
    why_not: tuple[Told, ...] = ()
    r_low: float = 0.0
    r_typical: float = 0.0
    r_high: float = 0.0
    u_before: float = 0.0
    u_after: float = 0.0
    leak_before: float = 0.0
    leak_after: float = 0.0
    thickness: float = 0.0
    hours: tuple[HourElement, ...] = ()
    needs: tuple[Need, ...] = ()
    gear: tuple[str, ...] = ()
    charge_low: float = 0.0
    charge: float = 0.0
    charge_high: float = 0.0
    shared: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    cover: tuple[str, ...] = ()
    boards: BoardChoice | None = None
    pieces: int = 0
    cuts: int = 0
    sprayed: bool = False
    air_barrier: bool = False
    cautions: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    group: str = ""
    heat_before: float = 0.0
    heat_low: float = 0.0
    heat_after: float = 0.0
    heat_high: float = 0.0
    minimum_low: float = 0.0
    minimum: float = 0.0
    minimum_high: float = 0.0
    shared_hours: tuple[tuple[str, HourElement], ...] = ()
    notch_hours: float = 0.0
    notches: int = 0
    edges: float = 0.0
    layers: tuple[Added, ...] = ()
    joints: tuple[Joined, ...] = ()

    @property
    def hours_typical(self) -> float:
        """Sum of the typical hours. [h]"""
        return sum(h.typical for h in self.hours)


@dataclass(frozen=True)
class FaceAsFound:
    """One face as it is now.

    Attributes
    ----------
    face, title : str
        Face id and name.
    warm, cold : str
        Zones it divides.
    area : float
        Net of openings. [m²]
    r_upper, r_lower, r : float
        Limits and mean of the combined method, with films. [m²·K/W]
    u : float
        [W/(m²·K)]
    leak : float
        Effective leakage area at 4 Pa, estimated from joints and parts. [m²]
    temp_warm_c, temp_cold_c : float
        Mean temperatures either side in the coldest month. [°C]
    heat : float
        Heat flow in the coldest month, conduction and air. [W]
    season_kwh : float
        Yearly heat lost from the heated rooms through it, net of the buffer's warming. [kWh]
    surface_factor : float
        Temperature factor of its inner surface, between the airs on its two sides, where air hardly moves
        (0.25 m²·K/W, ISO 13788) or behind what is built in before it. [-]
    warm_surface_c : float
        That surface in the coldest month. [°C]
    """

    face: str
    title: str
    warm: str
    cold: str
    area: float
    r_upper: float
    r_lower: float
    r: float
    u: float
    leak: float
    temp_warm_c: float
    temp_cold_c: float
    heat: float
    season_kwh: float
    surface_factor: float
    warm_surface_c: float


@dataclass(frozen=True)
class AsFound:
    """The house part as it is now: where the heat goes.

    Attributes
    ----------
    faces : tuple of FaceAsFound
        Weakest part first (largest yearly loss).
    zone_temps_c : tuple of (str, float)
        Mean temperature of each zone in the coldest month. [°C]
    zone_design_c : tuple of (str, float)
        On a design day. [°C]
    season_kwh : float
        Yearly loss of the rooms through all of it. [kWh]
    season_cost : float
        In the job's currency.
    season_carbon : float
        [kg]
    climate : str
        Place and source of the climate, with attribution where its licence asks.
    findings : tuple of Finding
        What the user must know.
    """

    faces: tuple[FaceAsFound, ...]
    zone_temps_c: tuple[tuple[str, float], ...]
    zone_design_c: tuple[tuple[str, float], ...]
    season_kwh: float
    season_cost: float
    season_carbon: float
    climate: str
    findings: tuple[Finding, ...] = ()

    @property
    def place(self) -> Finding | None:
        """Which weather is meant: country, station, distance, January; None for months of the user's own."""
        return next((f for f in self.findings if f.code in ("climate.place", "climate.station")), None)


@dataclass(frozen=True)
class WayTitle:
    """A way of the table: id and name for people, whether the user added it."""

    id: str
    title: str
    own: bool = False
