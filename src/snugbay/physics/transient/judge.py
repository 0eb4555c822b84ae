"""Three years of a build-up: does the wood stay dry, does mould grow, does water gather."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import Finding, InputError, OutOfRange, Run, Said, Stopped, Weight
from snugbay.base.facts import Listed, MassPerArea, Name, Number, Share, Span
from snugbay.physics.moisture.air import saturation_pressure
from snugbay.physics.moisture.judge import LIMIT_RUNS_OFF
from snugbay.physics.transient.buildup import BuildUp, HygroLayer
from snugbay.physics.transient.hygro import HygroMaterial, MouldClass
from snugbay.physics.transient.march import Conditions, HygroResult, Steps, simulate
from snugbay.physics.transient.mould import VISIBLE, mould_index

Floats = NDArray[np.float64]

YEAR = 8760
"""Hours of a year."""

OCTOBER = 6552
"""First hour of October in a year that begins in January."""

WATCH_SHARE = 0.9
"""Share of the wood's limit from which it is to be watched; an assumption."""

GATHERS, GATHERS_KG = 0.02, 0.05
"""Growth of all water from the second to the third year that counts as gathering: share, and kg/m². Both must be
passed; assumptions (practice asks for a total that does not grow over the years)."""

DRIES_KG = 0.02
"""Water beyond saturation that may be left at the driest hour of the last year. [kg/m²] An assumption."""

WATCH_LIQUID_KG = 0.2
"""Water beyond saturation from which it may run on smooth faces. [kg/m²] ISO 13788, from memory."""

SEVERITY = (MouldClass.RESISTANT, MouldClass.MEDIUM, MouldClass.SENSITIVE, MouldClass.VERY)


class Verdict(StrEnum):
    """What three years show."""

    DRY = "dry"
    WATCH = "watch"
    WET = "wet"


@dataclass(frozen=True)
class WoodState:
    """A layer of wood over the years.

    Attributes
    ----------
    layer : int
        Number of the layer from inside, sheets left out.
    name : str
    peak_share, peak_share_last : float
        Highest water content of the layer in all years and in the last, share of the dry mass. [-]
    wettest_share : float
        Highest of the wettest third of its thickness in the last year. [-]
    limit_share : float
        Limit for the layer as a whole. [-]
    hours_over : int
        Hours of the last year over the limit.
    """

    layer: int
    name: str
    peak_share: float
    peak_share_last: float
    wettest_share: float
    limit_share: float
    hours_over: int


@dataclass(frozen=True)
class MouldState:
    """A boundary over the years.

    Attributes
    ----------
    boundary : int
        0 the inner face, then before each layer, the number of layers for the outer face.
    name : str
        The materials on both sides.
    mould_class : MouldClass
        The more sensitive of both.
    peak_index : float
        Highest mould index.
    by_year : tuple of float
        Index at the end of each year.
    """

    boundary: int
    name: str
    mould_class: MouldClass
    peak_index: float
    by_year: tuple[float, ...]


@dataclass(frozen=True)
class ThreeYears:
    """Verdict on a build-up.

    Attributes
    ----------
    verdict : Verdict
    reasons : tuple of Said
        Plain sentences behind it.
    wood : tuple of WoodState
    mould : tuple of MouldState
    water_by_year : tuple of float
        Water in the whole build-up at the end of each year. [kg/m²]
    liquid : tuple of two floats
        Water beyond saturation at the wettest and at the driest hour of the last year. [kg/m²]
    balance_error : float
        Of the water, share of what moved. [-]
    findings : tuple of Finding
    """

    verdict: Verdict
    reasons: tuple[Said, ...]
    wood: tuple[WoodState, ...]
    mould: tuple[MouldState, ...]
    water_by_year: tuple[float, ...]
    liquid: tuple[float, float]
    balance_error: float
    findings: tuple[Finding, ...]

    @property
    def worst_mould(self) -> float:
        """Highest mould index of all boundaries."""
        return max((m.peak_index for m in self.mould), default=0.0)

    @property
    def worst_wood(self) -> float:
        """Highest ratio of a wood layer's peak in the last year to its limit. [-]"""
        return max((w.peak_share_last / w.limit_share for w in self.wood), default=0.0)


@dataclass(frozen=True, eq=False)
class HourlyClimate:
    """A year of hours outside, first hour of January first.

    Attributes
    ----------
    temp_c : ndarray, shape (8760,)
        Air. [°C]
    vapour_pressure : ndarray, shape (8760,)
        [Pa]
    temp_surface_c : ndarray or None
        Sol-air temperature for the heat; None for the air's. [°C]
    """

    temp_c: Floats
    vapour_pressure: Floats
    temp_surface_c: Floats | None = None


def indoor_air(temp_out_c: ArrayLike, *, moist: bool = False, hours: int = 24) -> tuple[Floats, Floats]:
    """Indoor climate of a dwelling from the outdoor temperature.

    Parameters
    ----------
    temp_out_c : array_like, shape (n,)
        Outdoor air by the hour. [°C]
    moist : bool
        True for high occupancy: 10 % more humidity.
    hours : int
        Hours over which the outdoor temperature is averaged.

    Returns
    -------
    temp_c, humidity : ndarray, shape (n,)
        20 °C up to 10 °C outside, rising to 25 °C at 20 °C; 30 % up to -10 °C outside, rising to 60 % at 20 °C.

    References
    ----------
    EN 15026:2007 Annex C (normal and high occupancy), from memory.
    """
    out = np.asarray(temp_out_c, float)
    days = np.convolve(np.concatenate([out[-hours + 1 :], out]) if hours > 1 else out, np.ones(hours) / hours, "valid")
    temp = np.interp(days, [10.0, 20.0], [20.0, 25.0])
    humidity = np.interp(days, [-10.0, 20.0], [0.3, 0.6]) + (0.1 if moist else 0.0)
    return np.asarray(temp), np.asarray(humidity)


def judge_three_years(
    build_up: BuildUp,
    climate: HourlyClimate,
    *,
    indoor: tuple[ArrayLike, ArrayLike] | None = None,
    moist: bool = False,
    years: int = 3,
    start_humidity: ArrayLike = 0.8,
    steps: Steps | None = None,
    run: Run | None = None,
) -> ThreeYears:
    """Judge a build-up by the same year three times over, from the first of October.

    Parameters
    ----------
    build_up : BuildUp
        Layers and sheets from inside to outside.
    climate : HourlyClimate
        The year outside; for a buffer space its own hours.
    indoor : (temp_c, humidity) or None
        Hours of the year inside [°C, share], each of length 8760; None for `indoor_air` of the climate.
    moist : bool
        High occupancy, where ``indoor`` is None.
    years : int
        How often the year is run through.
    start_humidity : array_like
        Humidity of the layers at the start, one value or one for each. [-]
    steps : Steps or None
    run : Run or None
        Progress and stop.

    Returns
    -------
    ThreeYears

    Raises
    ------
    Problems, InputError, OutOfRange
        If something cannot be computed.
    Stopped
        If stopped before the end: half the years are no verdict.

    Notes
    -----
    WET: a wood layer as a whole over its limit in the last year; a mould index of 3 or more; water that gathers by more
    than `GATHERS` and `GATHERS_KG` from the second to the third year; in the last year more water beyond saturation
    than may run off (`LIMIT_RUNS_OFF`), or some that does not dry. WATCH: a layer over 90 % of its limit, its wettest
    third over the limit, a mould index of 1 or more, or water over `WATCH_LIQUID_KG` that dries. Else DRY. A humid hour
    alone is no harm. The outer face is the outer air's, whatever is inside of it, and not judged for mould.

    References
    ----------
    EN 15026:2007 (method; water and its drying are judged over the years), ASHRAE 160 (mould index under 3, outer face
    left out), DIN 68800-2 (limits of wood), DIN 4108-3 (run-off), Ojanen, Viitanen and Peuhkuri 2010; from memory.
    """
    conditions = _conditions(climate, indoor, moist, years)
    result = simulate(build_up, conditions, start_humidity=start_humidity, steps=steps, run=run)
    if not result.finished:
        raise Stopped("The three years were stopped half-way; no verdict.")
    wood, mould = tuple(_wood(result)), tuple(_mould(result))
    total = result.total_water
    by_year = tuple(float(total[(k + 1) * YEAR - 1]) for k in range(years))
    last = result.liquid[-YEAR:]
    liquid = (float(last.max()), float(last.min()))
    verdict, reasons = _verdict(wood, mould, by_year, liquid)
    return ThreeYears(
        verdict, tuple(reasons), wood, mould, by_year, liquid, result.balance_error, tuple(_findings(verdict, reasons))
    )  # fmt: skip


def _conditions(
    climate: HourlyClimate, indoor: tuple[ArrayLike, ArrayLike] | None, moist: bool, years: int
) -> Conditions:
    temp_in, humidity_in = indoor_air(climate.temp_c, moist=moist) if indoor is None else indoor
    heat = climate.temp_c if climate.temp_surface_c is None else climate.temp_surface_c
    rows = [np.asarray(a, float) for a in (temp_in, humidity_in, heat, climate.vapour_pressure)]
    if any(a.shape != (YEAR,) for a in rows):
        raise InputError("The year does not have 8760 hours.", where=("climate",), hint="Leave out 29 February.")
    if years < 1:
        raise OutOfRange("No year to run through.", where=("years",))
    rows[3] = np.minimum(rows[3], saturation_pressure(climate.temp_c))
    rolled = [np.roll(a, -OCTOBER) for a in rows]
    t, h, o, v = (np.concatenate([np.tile(a, years), a[:1]]) for a in rolled)
    v = np.minimum(
        v, saturation_pressure(np.append(np.tile(np.roll(climate.temp_c, -OCTOBER), years), climate.temp_c[0]))
    )
    return Conditions(t, h, o, v)


def _wood(result: HygroResult) -> list[WoodState]:
    found = []
    for number, layer in enumerate(result.build_up.layers):
        material = layer.material
        if isinstance(material, HygroMaterial) and material.is_wood:
            share = result.layer_water(number) / (layer.thickness * material.density)
            slices = _thirds(result, number) / material.density
            last = share[-YEAR:]
            limit = material.water_limit
            found.append(
                WoodState(
                    number, layer.title, float(share.max()), float(last.max()), float(slices.max()), limit,
                    int((last > limit).sum()),
                )
            )  # fmt: skip
    return found


def _thirds(result: HygroResult, layer: int) -> Floats:
    """Water content of the inner, middle and outer third of a layer in the last year, shape (hours, 3). [kg/m³]"""
    mine = result.cells.layer == layer
    edges = np.concatenate([[0.0], np.cumsum(result.cells.dx[mine])])
    cuts = np.linspace(0, edges[-1], 4)
    overlap = np.minimum(edges[1:, None], cuts[None, 1:]) - np.maximum(edges[:-1, None], cuts[None, :-1])
    return np.asarray(result.water[-YEAR:, mine] @ np.maximum(overlap, 0.0) / (edges[-1] / 3))


def _mould(result: HygroResult) -> list[MouldState]:
    layers = result.build_up.layers
    found = []
    for boundary in range(len(layers)):
        sides = [layers[k] for k in (boundary - 1, boundary) if k >= 0]
        if all(s.enclosed for s in sides):
            continue
        kind = _most_sensitive(sides)
        temp, humidity = result.boundary(boundary)
        index = mould_index(temp, humidity, rates=kind, hours=result.seconds / 3600)
        ends = tuple(float(index[k]) for k in range(YEAR - 1, len(index), YEAR))
        name = " / ".join(layer.title for layer in sides)
        found.append(MouldState(boundary, name, kind, float(index.max()), ends))
    return found


def _most_sensitive(sides: list[HygroLayer]) -> MouldClass:
    kinds = [
        s.material.mould if isinstance(s.material, HygroMaterial) else MouldClass.SENSITIVE
        for s in sides
        if not s.enclosed
    ]
    return max(kinds, key=SEVERITY.index)


def _verdict(
    wood: tuple[WoodState, ...], mould: tuple[MouldState, ...], by_year: tuple[float, ...], liquid: tuple[float, float]
) -> tuple[Verdict, list[Said]]:
    wet: list[Said] = []
    watch: list[Said] = []
    for w in wood:
        if w.peak_share_last > w.limit_share:
            wet.append(
                Said.of(
                    "transient.said.wood-wet",
                    layer=Name(w.name),
                    share=Share(w.peak_share_last),
                    limit=Share(w.limit_share),
                    passed=Span(w.hours_over),
                )
            )
        elif w.peak_share_last > WATCH_SHARE * w.limit_share or w.wettest_share > w.limit_share:
            watch.append(
                Said.of(
                    "transient.said.wood-near",
                    layer=Name(w.name),
                    limit=Share(w.limit_share),
                    share=Share(w.peak_share_last),
                    wettest=Share(w.wettest_share),
                )
            )
    for m in mould:
        text = Said.of("transient.said.mould-index", place=Name(m.name), index=Number(m.peak_index))
        if m.peak_index >= VISIBLE:
            wet.append(text)
        elif m.peak_index >= 1.0:
            watch.append(text)
    if len(by_year) > 1 and by_year[-1] > max(by_year[-2] * (1 + GATHERS), by_year[-2] + GATHERS_KG):
        before, after = MassPerArea(by_year[-2]), MassPerArea(by_year[-1])
        wet.append(Said.of("transient.said.gathers", before=before, after=after))
    most, left = liquid
    if most > LIMIT_RUNS_OFF:
        limit = MassPerArea(LIMIT_RUNS_OFF)
        wet.append(Said.of("transient.said.runs-off", most=MassPerArea(most), limit=limit))
    if left > DRIES_KG:
        wet.append(Said.of("transient.said.does-not-dry", left=MassPerArea(left)))
    elif LIMIT_RUNS_OFF >= most > WATCH_LIQUID_KG:
        watch.append(Said.of("transient.said.stands-free", most=MassPerArea(most)))
    if wet:
        return Verdict.WET, wet + watch
    return (Verdict.WATCH, watch) if watch else (Verdict.DRY, [Said.of("transient.said.dry")])


def _findings(verdict: Verdict, reasons: list[Said]) -> list[Finding]:
    if verdict is Verdict.DRY:
        return []
    told, source = Listed(tuple(reasons), "space"), "EN 15026; VTT mould model"
    if verdict is Verdict.WET:
        return [Finding.of("transient.wet", Weight.STOP, (), source, head=None, reasons=told, method=None)]
    return [Finding.of("transient.watch", Weight.WARN, (), source, head=None, reasons=told, method=None)]
