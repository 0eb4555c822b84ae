"""What the hours say of a choice: its build-ups over three years, its spaces over a year."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding, Told

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
    liquid : float
        Water that stands free at the wettest hour of the third year. [kg/m²]
    method, mould_model : str
        What it was reckoned by.
    """

    faces: tuple[str, ...]
    way: str
    layers: tuple[str, ...]
    verdict: str
    reasons: tuple[Told, ...]
    mould_index: float
    wood: tuple[WoodWater, ...]
    water_by_year: tuple[float, ...]
    liquid: float = 0.0
    method: str = METHOD
    mould_model: str = MOULD_MODEL


@dataclass(frozen=True)
class NotRun:
    """Faces with a way that the hours say nothing of.

    Attributes
    ----------
    faces : tuple of str
        Face ids.
    way : str
        Name of the way.
    why : str
        In words.
    """

    faces: tuple[str, ...]
    way: str
    why: Told


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
class ByHour:
    """What the hours say of a choice.

    Attributes
    ----------
    build_ups : tuple of BuildUpYears
        Wettest first.
    not_run : tuple of NotRun
        The other faces with work, and why the hours say nothing of them.
    spaces : tuple of SpaceByHour
        Buffer spaces that stay outside the line.
    findings : tuple of Finding
        What the user must know.
    """

    build_ups: tuple[BuildUpYears, ...] = ()
    not_run: tuple[NotRun, ...] = ()
    spaces: tuple[SpaceByHour, ...] = ()
    findings: tuple[Finding, ...] = ()
