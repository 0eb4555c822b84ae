"""What the chosen plan does afterwards: build-ups over three years, spaces by the hour, comfort, corners, carbon."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.weigh.values import Band

MOULD_MODEL = "VTT mould growth model (Ojanen, Viitanen and Peuhkuri 2010)"
METHOD = "heat and moisture by the hour in the spirit of EN 15026"


@dataclass(frozen=True)
class WoodWater:
    """Wood of a build-up in its third year.

    Attributes
    ----------
    name : str
        Of the layer.
    peak_share, limit_share : float
        Highest water content and its limit, share of the dry mass. [-]
    """

    name: str
    peak_share: float
    limit_share: float


@dataclass(frozen=True)
class BuildUpYears:
    """Three years of one build-up, by the hour.

    Attributes
    ----------
    faces : tuple of str
        Faces that are built like this.
    way : str
        Name of the way.
    layers : tuple of str
        Materials, inside to outside.
    verdict : str
        ``"dry"``, ``"watch"`` or ``"wet"``.
    reasons : tuple of str
        Sentences behind it.
    mould_index : float
        Highest of all boundaries, 0 to 6; 3 is seen with the naked eye.
    wood : tuple of WoodWater
        Each layer of wood.
    water_by_year : tuple of float
        Water in the build-up at the end of each year. [kg/m²]
    method, mould_model : str
        What it was reckoned by.
    """

    faces: tuple[str, ...]
    way: str
    layers: tuple[str, ...]
    verdict: str
    reasons: tuple[str, ...]
    mould_index: float
    wood: tuple[WoodWater, ...]
    water_by_year: tuple[float, ...]
    method: str = METHOD
    mould_model: str = MOULD_MODEL


@dataclass(frozen=True)
class SpaceByHour:
    """A buffer space over a mean year, as found and after the work.

    Attributes
    ----------
    zone : str
        Zone id.
    month_before_c, month_after_c : float
        Mean of the coldest month. [°C]
    least_before_c, least_after_c : float
        Coldest hour. [°C]
    frost_before_h, frost_after_h : float
        Hours under 0 °C. [h]
    wet_before_h, wet_after_h : float or None
        Hours with condensation on the roof's inner face; None where the space has no roof face. [h]
    pipes : bool
        Whether water pipes run in it.
    """

    zone: str
    month_before_c: float
    month_after_c: float
    least_before_c: float
    least_after_c: float
    frost_before_h: float
    frost_after_h: float
    wet_before_h: float | None
    wet_after_h: float | None
    pipes: bool


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
    not_run : tuple of str
        Faces whose build-up was not run through the hours, because others came first.
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
    not_run: tuple[str, ...]
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
