"""Three years of a build-up by the hour: does the wood stay dry, does mould grow, does water gather.

A `Case` is all that decides it: layers, the airs on both sides, the air that leaks through. Equal cases share one
judgement (`judged`), whoever asks: the chosen plan, the second best, the frontier and both sides of a tipping point.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, Run, Said, SnugbayError, Stopped, Told, Weight
from snugbay.base.facts import Name, as_fact, names, told_all
from snugbay.job import Fuel, Month, Place, ZoneKind
from snugbay.materials import material
from snugbay.physics import buffer, climate, moisture, transient
from snugbay.ways import Option
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import films, vented
from snugbay.ways.found import Ground
from snugbay.ways.moisture import path_layers
from snugbay.ways.surroundings import place_climate
from snugbay.weigh.afterwards import METHOD, MOULD_MODEL, BuildUpYears, NotRun, WoodWater
from snugbay.weigh.spaces import FaceState, air_flows, network_of

Floats = NDArray[np.float64]

STACK_PA_K = 0.11
"""Half the stack of a room five metres high, per kelvin: ½·ρ·g·h/T. [Pa/K]"""

LEAK = {"sealed": 0.007, "open": 0.02, "loose": 0.2}
"""Room air that leaves its water in a build-up, by how it is joined. [m³/(m²·h·Pa)] Sealed: envelopes of 3 m³/(m²·h)
at 50 Pa (practice of infiltration sources in EN 15026 calculations: 0.004, 0.007, 0.010 for 1, 3, 5; from memory).
Not sealed: twice the worst of these; loose boards: room air gets behind them (assumptions)."""

ROUND_SHARE = 0.05
"""Shares of rooms' warmth and rooms' damp in a space are taken in such steps, on the unsafe side. [-]"""

ROUND_M = 0.001
"""Layers are told apart by so much. [m]"""

STILL_AIR_M = 0.025
"""A deeper layer of air resists no more than one of this depth. [m] (ISO 6946 table of air layers)"""

STEPS = transient.Steps(temp=2.0, humidity=0.05)
"""Four times the usual step; wood and mould move by less than a twentieth of their limits (asserted)."""

_NO_FUEL = Fuel("", 0.0, 1.0, 0.0)

WORST_FIRST = {"wet": 0, "watch": 1, "dry": 2}


@dataclass(frozen=True)
class SpaceAir:
    """Air on the cold side of a face, as shares of the airs that make it.

    Attributes
    ----------
    rooms, ground : float
        Weight of the rooms' and the ground's temperature; the rest is outdoors'. [-]
    damp : float
        Share of air that comes out of the rooms. [-]
    """

    rooms: float = 0.0
    ground: float = 0.0
    damp: float = 0.0


OUTDOORS = SpaceAir()


@dataclass(frozen=True)
class Case:
    """All that decides over three years of a build-up.

    Attributes
    ----------
    layers : tuple of (str, float)
        Materials, inside to outside, and thicknesses. [m]
    weather : bool
        Whether the outer face stands in the wind; else behind a ventilated gap or in a space.
    tightness : str
        Key of `LEAK`.
    beyond : SpaceAir
        Air on the cold side.
    climate : str
        Bundled place, or empty.
    months : tuple of Month
        Twelve months, or empty.
    setpoint_c : float
        Of the rooms. [°C]
    humidity_class : int
        Of the rooms.
    film : float
        Surface resistance of the inner face, of what is built in before it too. [m²·K/W]
    """

    layers: tuple[tuple[str, float], ...]
    weather: bool
    tightness: str
    beyond: SpaceAir
    climate: str
    months: tuple[Month, ...]
    setpoint_c: float
    humidity_class: int
    film: float = 0.13

    @property
    def key(self) -> str:
        """Digest of all of it."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]


@dataclass(frozen=True)
class Judged:
    """What three years show.

    Attributes
    ----------
    key : str
        Of the case.
    verdict : str
        ``"dry"``, ``"watch"``, ``"wet"``; ``"unknown"`` where it could not be reckoned.
    reasons : tuple of str
        Sentences behind it.
    mould_index : float
        Highest, 0 to 6.
    wood : tuple of WoodWater
        Each layer of wood.
    water_by_year : tuple of float
        At the end of each year. [kg/m²]
    liquid : tuple of two floats
        Water that stands free at the wettest and driest hour of the last year. [kg/m²]
    """

    key: str
    verdict: str
    reasons: tuple[Told, ...]
    mould_index: float = 0.0
    wood: tuple[WoodWater, ...] = ()
    water_by_year: tuple[float, ...] = ()
    liquid: tuple[float, float] = (0.0, 0.0)


def space_airs(base: Ground, options: Iterable[Option], inside: tuple[str, ...]) -> dict[str, SpaceAir]:
    """Air of every buffer space outside the line once a plan is done, from the steady balance of heat and of air.

    Parameters
    ----------
    base : Ground
        The job, measured.
    options : iterable of Option
        What is chosen, one for each face; faces that are left out stay as found.
    inside : tuple of str
        Spaces brought inside the line.

    Notes
    -----
    Shares are rounded to `ROUND_SHARE`, warmth down and damp up, so that plans alike share their judgements.
    """
    state = {i: FaceState(k.heat, k.leak, k.r.total) for i, k in base.loads.faces.items()}
    state |= {o.face: FaceState(o.heat_after, o.leak_after, o.r_typical) for o in options}
    net = network_of(base, state, inside)
    zones = [z.id for z in base.job.zones if z.kind is ZoneKind.BUFFER and z.id not in inside]
    held = [z for z in ("inside", "outside", "ground") if z in net.zones]
    by = {h: buffer.steady(net, {z: float(z == h) for z in held}).temperatures for h in held}
    out = {}
    for zone in zones:
        if zone not in net.zones:
            continue
        room, fresh = air_flows(base, zone, state, inside)
        warm, earth = (float(by[h][zone]) if h in by else 0.0 for h in ("inside", "ground"))
        shares = space_shares(*(np.array(v) for v in (warm, earth, room / (room + fresh))))
        out[zone] = SpaceAir(*(round(float(s), 2) for s in shares))
    return out


def space_shares(warm: Floats, earth: Floats, damp: Floats) -> tuple[Floats, Floats, Floats]:
    """Round the shares of rooms' and ground's warmth down and that of rooms' damp up, to `ROUND_SHARE`."""
    down = [np.floor(s / ROUND_SHARE + 1e-9) * ROUND_SHARE for s in (warm, earth)]
    return down[0], down[1], np.ceil(damp / ROUND_SHARE - 1e-9) * ROUND_SHARE


def case_of(base: Ground, option: Option, inside: tuple[str, ...], airs: Mapping[str, SpaceAir]) -> Case | str:
    """Return what decides over a way on its face, or why there is nothing to judge.

    Parameters
    ----------
    base : Ground
        The job, measured.
    option : Option
        The way on the face.
    inside : tuple of str
        Spaces brought inside the line.
    airs : mapping of str to SpaceAir
        Of the buffer spaces, `space_airs`.

    Returns
    -------
    Case or str
        A sentence where the hours say nothing: nothing is added, or no warm damp air gets at it, or it lies in soil.
    """
    kinds = zone_kinds(base.job)
    face = base.by_id[option.face]
    warm, cold = face.face.warm, face.face.cold
    if not option.layers:
        return "nothing is added that could hold water back"
    if ZoneKind.GROUND in (kinds[warm], kinds[cold]):
        return "it lies against the soil, which the hours do not cover: keep water out of the wall first"
    if not (kinds[warm] is ZoneKind.INSIDE or warm in inside):
        return "both its sides are cold: no room air stands against it"
    if cold in inside or kinds[cold] is ZoneKind.INSIDE:
        return "both its sides are warm"
    rows = path_layers(base, face, option.layers)
    weather = kinds[cold] is ZoneKind.OUTSIDE and not vented(face, kinds, option.layers)
    place = base.job.place
    return Case(
        tuple((k.material, round(round(k.thickness / ROUND_M) * ROUND_M, 4)) for k in rows),
        weather,
        "sealed" if option.air_barrier else "loose" if option.group == "boards" else "open",
        airs.get(cold, OUTDOORS),
        place.climate,
        place.months,
        place.setpoint_c,
        place.humidity_class,
        round(films(face, kinds, option.layers)[0], 2),
    )


@lru_cache(maxsize=4096)
def judged(case: Case) -> Judged:
    """Run a case through three years.

    Parameters
    ----------
    case : Case
        From `case_of`.

    Returns
    -------
    Judged
        The same for the same case; kept, so that a plan costs only what no other plan had. ``"unknown"`` with the
        reason where a layer has no figures or the march stuck.

    Raises
    ------
    InputError
        If the climate is missing or unknown.

    Notes
    -----
    Rooms at the set-point and the job's humidity class (ISO 13788, monthly means), no sun, no driving rain. The air of
    a space is made of rooms', ground's and outdoor air by its shares. Room air leaks (`LEAK`, driven by the stack) to
    the first tight layer beyond the insulation; where outdoor air follows on the insulation it leaves with that.
    """
    if sum(1 for key, _ in case.layers if key != "paint") < 2 and not _absorbs(case.layers):
        return Judged(case.key, "dry", ("A single layer with air on both sides: there is nothing to trap water.",))
    outside, indoor = _airs(case)
    try:
        years = transient.judge_three_years(_build_up(case), outside, indoor=indoor, steps=STEPS, run=Run())
    except SnugbayError as error:
        return Judged(case.key, "unknown", (error.said or error.what,))
    return Judged(
        case.key,
        years.verdict.value,
        years.reasons,
        years.worst_mould,
        tuple(WoodWater(w.name, w.peak_share_last, w.limit_share) for w in years.wood),
        years.water_by_year,
        years.liquid,
    )


def _absorbs(layers: tuple[tuple[str, float], ...]) -> bool:
    return any(key != "paint" and material(key).kind == "solid" for key, _ in layers)


def _leak_to(keys: list[str]) -> int | None:
    """Layer that leaking room air gets to: the first tight one beyond the insulation, None where it gets out."""
    kinds = [material(k).kind for k in keys]
    for wanted in ({"fibre"}, {"board", "foam"}):
        last = max((i for i, k in enumerate(kinds) if k in wanted), default=None)
        if last is not None:
            return next((i for i in range(last + 1, len(kinds)) if kinds[i] not in ("air", "fibre")), None)
    return len(keys) - 1


def _build_up(case: Case) -> transient.BuildUp:
    """Build-up of the calculation: paint as a sheet, foil faces with their boards, a leak."""
    rows = [
        ("latex-paint" if key == "paint" else key, min(thick, STILL_AIR_M) if key == "air" else thick)
        for key, thick in case.layers
    ]
    outer = transient.OUTSIDE if case.weather else transient.SHELTERED
    made = transient.build_up_of(rows, inner=replace(transient.INSIDE, heat_resistance=case.film), outer=outer)
    solid = [key for key, _ in rows if key not in transient.hygro_sheets()]
    to = _leak_to(solid)
    leak = None if to is None else transient.AirLeak(to, per_kelvin=LEAK[case.tightness] * STACK_PA_K)
    return replace(made, leak=leak)


@cache
def _hours(name: str, months: tuple[Month, ...]) -> climate.HourlyYear:
    return climate.hourly_year(place_climate(Place(name, _NO_FUEL, months)))


def _airs(case: Case) -> tuple[transient.HourlyClimate, tuple[Floats, Floats]]:
    """Hours of the cold side, and of the room: temperature and humidity."""
    year = _hours(case.climate, case.months)
    room = np.full(8760, case.setpoint_c)
    mean = np.asarray(year.monthly_mean(year.t))[climate.MONTH_OF_HOUR]
    vapour = np.asarray(moisture.indoor_vapour_pressure(year.vapour_pa, mean, case.humidity_class))
    warm = np.maximum(room, mean)
    humidity = np.minimum(vapour / np.asarray(moisture.saturation_pressure(warm)), 0.95)
    b = case.beyond
    cold = b.rooms * warm + b.ground * year.t.mean() + (1.0 - b.rooms - b.ground) * year.t
    damp = b.damp * vapour + (1.0 - b.damp) * year.vapour_pa
    return transient.HourlyClimate(cold, damp), (warm, humidity)


def three_years(
    base: Ground, done: tuple[Option, ...], inside: tuple[str, ...], airs: Mapping[str, SpaceAir], run: Run
) -> tuple[tuple[BuildUpYears, ...], tuple[NotRun, ...], tuple[Finding, ...]]:
    """Judge every way of a plan by three years.

    Parameters
    ----------
    base : Ground
        The job, measured.
    done : tuple of Option
        What the plan does.
    inside : tuple of str
        Spaces brought inside the line.
    airs : mapping of str to SpaceAir
        Of the buffer spaces after the work.
    run : Run
        Progress, stop.

    Returns
    -------
    tuple of BuildUpYears, tuple of NotRun, tuple of Finding
        Wettest first; faces that were not, and why; findings with the face as place.

    Raises
    ------
    Stopped
        If the run was stopped.
    """
    cases: dict[tuple[Case, str], list[str]] = {}
    idle: dict[tuple[str, Told], list[str]] = {}
    for option in done:
        case = case_of(base, option, inside, airs)
        if isinstance(case, str):
            idle.setdefault((option.title, case), []).append(option.face)
        else:
            cases.setdefault((case, option.title), []).append(option.face)
    rows, findings = [], []
    for number, ((case, title), faces) in enumerate(cases.items()):
        if run.stop():
            raise Stopped("The three years were stopped.")
        found = judged(case)
        run.progress("Three years", (number + 1) / len(cases))
        if found.verdict == "unknown":
            idle.setdefault((title, found.reasons[0]), []).extend(faces)
            findings.append(_unjudged(tuple(faces), title, found.reasons[0]))
            continue
        rows.append(
            BuildUpYears(
                tuple(faces),
                title,
                tuple(key for key, _ in case.layers),
                found.verdict,
                found.reasons,
                found.mould_index,
                found.wood,
                found.water_by_year,
                found.liquid[0],
            )
        )
        findings += _told(found, tuple(faces), title)
    left = tuple(NotRun(tuple(faces), title, why) for (title, why), faces in idle.items())
    return tuple(sorted(rows, key=lambda b: (WORST_FIRST[b.verdict], -b.mould_index))), left, tuple(findings)


def _told(found: Judged, faces: tuple[str, ...], title: str) -> list[Finding]:
    if found.verdict == "dry":
        return []
    wet = found.verdict == "wet"
    finding = Finding.of("transient.wet" if wet else "transient.watch", Weight.STOP if wet else Weight.WARN)
    return [
        replace(finding, where=("faces", faces[0]), source="EN 15026; VTT mould model").having(
            head=Said.of("weigh.said.build-up", faces=names(faces), title=Name(title)),
            reasons=told_all(found.reasons),
            method=Said.of("weigh.said.by-method", method=Name(METHOD), model=Name(MOULD_MODEL)),
        )
    ]


def _unjudged(faces: tuple[str, ...], title: str, why: Told) -> Finding:
    return Finding.of(
        "weigh.not-by-hour",
        Weight.WARN,
        ("faces", faces[0]),
        what=Said.of("weigh.said.build-up-of", faces=names(faces), title=Name(title)),
        why=as_fact(why),
    )
