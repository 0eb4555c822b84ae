"""The person who does the work, the way in, the log and the readings of thermometers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from snugbay.base import Finding


class Tool(StrEnum):
    """Cutting tools."""

    KNIFE = "long knife"
    RECIPROCATING = "reciprocating saw"
    JIGSAW = "jigsaw"
    HAND_SAW = "insulation hand saw"
    CIRCULAR = "circular saw"


@dataclass(frozen=True)
class Access:
    """The way in and the cutting place.

    Attributes
    ----------
    width, height : float
        Smallest opening on the way in. [m]
    clear_run : float
        Clear distance straight behind the opening. [m]
    clear_height : float
        Clear height behind the opening. [m]
    carry : float
        Distance from the cutting place to the work. [m]
    cut_inside : bool
        True where boards are cut inside the space.
    sill : float
        Height of the opening's lower edge over the floor behind it. [m]
    wall_thickness : float
        Of the wall or ceiling that the opening passes through, lining to lining. [m]
    """

    width: float
    height: float
    clear_run: float
    clear_height: float
    carry: float = 6.0
    cut_inside: bool = False
    sill: float = 0.0
    wall_thickness: float = 0.0


@dataclass(frozen=True)
class You:
    """The person doing the work.

    Attributes
    ----------
    hour_worth : float
        What an own hour is worth, in the job's currency.
    hands : int
        1 alone, 2 with a helper.
    tools : tuple of Tool
        Tools at hand, best liked first.
    days : float or None
        Working days available; None sets no limit.
    hours_per_day : float
        Working hours in one day.
    skill : str
        ``"first time"``, ``"usual"`` or ``"practised"``.
    sprays : bool
        False where somebody has asthma, allergies or skin trouble: no spray foam by own hand.
    """

    hour_worth: float
    hands: int = 1
    tools: tuple[Tool, ...] = (Tool.KNIFE,)
    days: float | None = None
    hours_per_day: float = 6.0
    skill: str = "usual"
    sprays: bool = True


@dataclass(frozen=True)
class LogEntry:
    """Work done.

    Attributes
    ----------
    hours : float
        Own hours spent.
    element : str
        ``"cutting"``, ``"fitting"``, ``"sealing"``, ``"carrying"``, ``"marking"``, ``"set-up"`` or ``"all"``.
    face : str
        Face id, or empty for the whole job.
    pieces : tuple of str
        Labels of the pieces finished in these hours.
    share_done : float
        Share of the face's work that these hours finished, 0 to 1, where no pieces are named.
    day : str
        Date as written, ISO 8601.
    note : str
        Free text.
    replaces : int or None
        Number of the entry that this one corrects.
    """

    hours: float
    element: str = "all"
    face: str = ""
    pieces: tuple[str, ...] = ()
    share_done: float = 0.0
    day: str = ""
    note: str = ""
    replaces: int | None = None


@dataclass(frozen=True)
class Log:
    """The work log: entries in the order written, and materials used.

    Attributes
    ----------
    entries : tuple of LogEntry
        Entries, numbered from 0.
    used : tuple of (str, float)
        Item id and quantity used so far.
    opened_days_ago : tuple of (str, float)
        Item id and days since it was opened (an opened kit has days to live).
    """

    entries: tuple[LogEntry, ...] = ()
    used: tuple[tuple[str, float], ...] = ()
    opened_days_ago: tuple[tuple[str, float], ...] = ()


class TemperatureKind(StrEnum):
    """What was measured."""

    ROOM_AIR = "room air"
    BUFFER_AIR = "buffer air"
    OUTDOOR_AIR = "outdoor air"
    SURFACE_INFRARED = "surface, infrared"
    SURFACE_CONTACT = "surface, contact"
    HEAT_FLUX = "heat flux plate"


@dataclass(frozen=True)
class Temperature:
    """One reading of a thermometer or a heat-flux plate.

    Attributes
    ----------
    kind : TemperatureKind
        What was measured.
    value : float
        Temperature, or heat flux for a plate. [°C or W/m²]
    when : str
        ``"before"`` or ``"after"`` the work.
    set : str
        Readings taken together share this name (one evening).
    face : str
        Face id for surfaces and plates.
    zone : str
        Zone id for air readings.
    spot : str
        Where on the face: ``"middle"``, or the name of a seam.
    emissivity : float
        Emissivity of the surface read by infrared. [-]
    reflected_c : float or None
        Reflected temperature; None takes the air's. [°C]
    meter_emissivity : float
        Emissivity the meter is set to. [-]
    sigma : float
        Standard deviation. [K or W/m²]
    sun : bool
        True where the sun was or had been on it.
    steady_hours : float
        Hours of steady conditions before the reading.
    time : str
        ISO 8601 time where known.
    side : str
        ``"warm"`` or ``"cold"`` side of the face for surfaces.
    wind : str
        ``"windy"`` or ``"calm"`` where it was noted; it holds for the whole set.
    """

    kind: TemperatureKind
    value: float
    when: str = "before"
    set: str = ""
    face: str = ""
    zone: str = ""
    spot: str = "middle"
    emissivity: float = 0.92
    reflected_c: float | None = None
    meter_emissivity: float = 0.95
    sigma: float = 0.5
    sun: bool = False
    steady_hours: float = 3.0
    time: str = ""
    side: str = "warm"
    wind: str = ""


@dataclass(frozen=True)
class Logger:
    """A logger's file that the job names.

    Attributes
    ----------
    file : str
        Path from the folder of the job document.
    channels : tuple of (str, Temperature)
        Head of each column to be used, and a reading that says what it measured; value and time come from the file.
    dates : str
        ``"day first"`` or ``"month first"`` where the dates could be read either way.
    start, end : str
        First and last time to be used, ISO 8601; empty for all.
    read : bool
        Whether the file was read and its readings are among the job's.
    findings : tuple of Finding
        What was found when it was read.
    """

    file: str
    channels: tuple[tuple[str, Temperature], ...]
    dates: str = ""
    start: str = ""
    end: str = ""
    read: bool = False
    findings: tuple[Finding, ...] = ()
