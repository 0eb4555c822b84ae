"""Three years of the chosen build-ups, by the hour: does the wood stay dry, does mould grow, does water gather."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import Effort, Finding, Run, SnugbayError, Stopped, Weight, no_progress
from snugbay.job import ZoneKind, short_list
from snugbay.physics import moisture, transient
from snugbay.physics.climate import MONTH_OF_HOUR, HourlyYear
from snugbay.ways import Option
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import vented
from snugbay.ways.found import Ground
from snugbay.ways.measure import Measured
from snugbay.ways.moisture import PathLayer, path_layers
from snugbay.weigh.afterwards import METHOD, MOULD_MODEL, BuildUpYears, WoodWater
from snugbay.weigh.spaces import SpaceHours

MOST = {Effort.QUICK: 2, Effort.NORMAL: 4, Effort.THOROUGH: 99}
"""Build-ups that are run through the hours."""

SOUND, CARELESS = 0.05, 0.5
"""Room air through a build-up whose joints are sealed, or are not. [m³/(m²·h)] (assumption)"""

WORST_FIRST = {"wet": 0, "watch": 1, "dry": 2}


@dataclass(frozen=True)
class Candidate:
    """A build-up of the plan.

    Attributes
    ----------
    faces : tuple of Measured
        All faces that have it.
    option : Option
        The way.
    rows : tuple of PathLayer
        Inside to outside.
    cold : str
        Zone on its cold side.
    """

    faces: tuple[Measured, ...]
    option: Option
    rows: tuple[PathLayer, ...]
    cold: str

    @property
    def area(self) -> float:
        """Of all its faces. [m²]"""
        return sum(f.area for f in self.faces)


def candidates(base: Ground, done: tuple[Option, ...], inside: tuple[str, ...]) -> tuple[Candidate, ...]:
    """Build-ups of faces that divide warm from cold and get layers, largest peak of the monthly method first.

    A single layer against ventilated air has nothing that could trap water and is left out.
    """
    kinds = zone_kinds(base.job)
    grouped: dict[tuple[object, ...], Candidate] = {}
    for option in done:
        face = base.by_id[option.face]
        warm, cold = face.face.warm, face.face.cold
        heated = kinds[warm] is ZoneKind.INSIDE or warm in inside
        if not option.layers or not heated or cold in inside or kinds[cold] not in (ZoneKind.BUFFER, ZoneKind.OUTSIDE):
            continue
        rows = _without_vent(path_layers(base, face, option.layers), vented(face, kinds, option.layers))
        if len(rows) < 2:
            continue
        key = (tuple((k.material, round(k.thickness, 4)) for k in rows), cold, option.air_barrier)
        old = grouped.get(key)
        grouped[key] = (
            replace(old, faces=(*old.faces, face)) if old is not None else Candidate((face,), option, rows, cold)
        )
    return tuple(sorted(grouped.values(), key=lambda c: (-_peak(base, c), -c.area)))


def _without_vent(rows: list[PathLayer], is_vented: bool) -> tuple[PathLayer, ...]:
    """Leave out a ventilated space on the cold side: it is outdoor air, not a layer."""
    while is_vented and rows and rows[-1].material == "air":
        rows = rows[:-1]
    return tuple(rows)


def _peak(base: Ground, c: Candidate) -> float:
    """Most condensate by the monthly method, to look at the likely worst first. [kg/m²]"""
    te, pe = np.asarray(base.air.outdoor_c), np.asarray(base.air.outdoor_pa)
    pi = np.asarray(moisture.indoor_vapour_pressure(pe, te, base.job.place.humidity_class))
    year = moisture.condensation_year([(k.r, k.sd) for k in c.rows], te, pe, pi, inside_c=base.air.setpoint_c)
    return float(year.peak)


def _build_up(base: Ground, c: Candidate) -> transient.BuildUp:
    """Build-up of the calculation: paint as a sheet, foil faces with their boards, a leak to the outermost layer."""
    face = c.faces[0]
    kinds = zone_kinds(base.job)
    rows = [("latex-paint" if k.material == "paint" else k.material, k.thickness) for k in c.rows]
    weather = kinds[c.cold] is ZoneKind.OUTSIDE and not vented(face, kinds, c.option.layers)
    outer = transient.OUTSIDE if weather else transient.SHELTERED
    made = transient.build_up_of(rows, inner=transient.INSIDE, outer=outer)
    return replace(made, leak=transient.AirLeak(len(made.layers) - 1, SOUND if c.option.air_barrier else CARELESS))


def _climate(
    base: Ground, c: Candidate, year: HourlyYear, air: Mapping[str, SpaceHours]
) -> tuple[transient.HourlyClimate, tuple[np.ndarray, np.ndarray]]:
    room = np.full(8760, base.air.setpoint_c)
    mean = np.asarray(year.monthly_mean(year.t))[MONTH_OF_HOUR]
    vapour = moisture.indoor_vapour_pressure(year.vapour_pa, mean, base.job.place.humidity_class)
    warm = np.maximum(room, mean)
    humidity = np.minimum(np.asarray(vapour) / np.asarray(moisture.saturation_pressure(warm)), 0.95)
    side = air.get(c.cold)
    cold = (year.t, year.vapour_pa) if side is None else (side.temp_c, side.vapour_pa)
    return transient.HourlyClimate(np.asarray(cold[0], float), np.asarray(cold[1], float)), (warm, humidity)


def _unjudged(ids: tuple[str, ...], c: Candidate, error: SnugbayError) -> Finding:
    return Finding(
        "weigh.not-by-hour",
        f"{short_list(list(ids))} with {c.option.title} was not looked at by the hour: {error.what} Its moisture was "
        "judged by months only.",
        Weight.WARN,
        ("faces", ids[0]),
    )


def three_years(
    base: Ground,
    done: tuple[Option, ...],
    inside: tuple[str, ...],
    year: HourlyYear,
    air: Mapping[str, SpaceHours],
    run: Run,
) -> tuple[tuple[BuildUpYears, ...], tuple[str, ...], tuple[Finding, ...]]:
    """Run the chosen build-ups through three years.

    Parameters
    ----------
    base : Ground
        The job, measured.
    done : tuple of Option
        What the plan does.
    inside : tuple of str
        Spaces brought inside the line.
    year : HourlyYear
        Weather.
    air : mapping of str to SpaceHours
        Air of the spaces after the work.
    run : Run
        Effort (how many build-ups), progress, stop.

    Returns
    -------
    tuple of BuildUpYears, tuple of str, tuple of Finding
        Wettest first; faces not run; findings with the face as place.

    Raises
    ------
    Stopped
        If the run was stopped.

    Notes
    -----
    Rooms at the set-point and the job's humidity class (ISO 13788, monthly means), no sun, no driving rain. Room air
    leaks to the inner face of the outermost layer: 0.05 m³/(m²·h) where the way makes the face airtight, else 0.5
    (assumption). Sealed or not, a leak at one spot can wet more.
    """
    found = candidates(base, done, inside)
    most = MOST[run.effort]
    rows, findings = [], []
    for number, c in enumerate(found[:most]):
        if run.stop():
            raise Stopped("The three years were stopped.")
        climate, indoor = _climate(base, c, year, air)
        ids = tuple(f.id for f in c.faces)
        try:
            judged = transient.judge_three_years(
                _build_up(base, c), climate, indoor=indoor, run=replace(run, progress=no_progress)
            )
        except Stopped:
            raise
        except SnugbayError as error:
            findings.append(_unjudged(ids, c, error))
            continue
        rows.append(
            BuildUpYears(
                ids,
                c.option.title,
                tuple(k.material for k in c.rows),
                judged.verdict.value,
                judged.reasons,
                judged.worst_mould,
                tuple(WoodWater(w.name, w.peak_share_last, w.limit_share) for w in judged.wood),
                judged.water_by_year,
            )
        )
        findings += [
            replace(
                f, text=f"{short_list(list(ids))} with {c.option.title}: {f.text} ({METHOD}; {MOULD_MODEL})",
                where=("faces", ids[0]),
            )
            for f in judged.findings
        ]  # fmt: skip
        run.progress("Three years", (number + 1) / min(most, len(found)))
    left = tuple(f.id for c in found[most:] for f in c.faces)
    return tuple(sorted(rows, key=lambda b: (WORST_FIRST[b.verdict], -b.mould_index))), left, tuple(findings)
