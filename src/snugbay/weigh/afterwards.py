"""What the chosen plan does afterwards: build-ups over three years, spaces by the hour, comfort, corners, carbon."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.weigh.hourly import METHOD, MOULD_MODEL, BuildUpYears, NotRun, SpaceByHour, WoodWater
from snugbay.weigh.values import Band

__all__ = [
    "METHOD",
    "MOULD_MODEL",
    "Afterwards",
    "BuildUpYears",
    "Corners",
    "FaceComfort",
    "NotRun",
    "SealWorth",
    "SpaceByHour",
    "WoodWater",
]


@dataclass(frozen=True)
class FaceComfort:
    """A face seen from the room on a design day.

    Attributes
    ----------
    face : str
        Face id.
    surface_before_c, surface_after_c : float
        Mean temperature of its inner surface. [°C]
    asymmetry_before_k, asymmetry_after_k : float
        Radiant asymmetry one metre in front of its middle. [K]
    displeased_before, displeased_after : float
        Share of people displeased by it (ISO 7730). [-]
    """

    face: str
    surface_before_c: float
    surface_after_c: float
    asymmetry_before_k: float
    asymmetry_after_k: float
    displeased_before: float
    displeased_after: float


@dataclass(frozen=True)
class Corners:
    """What the corners between faces add.

    Attributes
    ----------
    heat_before, heat_after : float
        Sum of psi times length over all faces. [W/K]
    share_after : float
        Of the conductance of all faces after the work. [-]
    least_factor, needed_factor : float or None
        Temperature factor of the coldest corner after the work, and what the months ask against mould. [-]
    coldest : str
        Face with that corner.
    """

    heat_before: float
    heat_after: float
    share_after: float
    least_factor: float | None = None
    needed_factor: float | None = None
    coldest: str = ""


@dataclass(frozen=True)
class SealWorth:
    """What sealing one face brings.

    Attributes
    ----------
    face : str
        Face id.
    area : float
        Effective leakage area that goes. [m²]
    kwh, kwh_low, kwh_high : float
        Heat saved in a year, and with half and double the table's leaks. [kWh]
    money : float
        Saved in a year. [currency]
    """

    face: str
    area: float
    kwh: float
    kwh_low: float
    kwh_high: float
    money: float


@dataclass(frozen=True)
class Afterwards:
    """All of it.

    Attributes
    ----------
    build_ups : tuple of BuildUpYears
        Wettest first.
    not_run : tuple of NotRun
        The other faces with work, and why the hours say nothing of them.
    spaces : tuple of SpaceByHour
        Buffer spaces that stay outside the line.
    comfort : tuple of FaceComfort
        Faces that get work and look into a room.
    corners : Corners
        Corners.
    carbon_kg : Band
        Carbon dioxide saved in a year. [kg]
    cooling_before_kwh, cooling_after_kwh : float
        Heat that a year's warm hours bring in through all faces, sun left out. [kWh]
    findings : tuple of Finding
        What the user must know.
    finished : bool
        False where it was stopped.
    sealing : tuple of SealWorth
        Worth of sealing each face that gets work, most first; part of the plan's saving, not on top of it.
    house_leak : float or None
        Leakage area of the whole house where a blower door measured it. [m²]
    """

    build_ups: tuple[BuildUpYears, ...]
    not_run: tuple[NotRun, ...]
    spaces: tuple[SpaceByHour, ...]
    comfort: tuple[FaceComfort, ...]
    corners: Corners
    carbon_kg: Band
    cooling_before_kwh: float
    cooling_after_kwh: float
    findings: tuple[Finding, ...] = ()
    finished: bool = True
    sealing: tuple[SealWorth, ...] = ()
    house_leak: float | None = None
