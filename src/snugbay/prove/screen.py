"""Which readings can be used: foil and bare metal, sun, unsteady hours, small differences, slips, contradictions."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Name, Number, Span, TemperatureDifference
from snugbay.base.facts import Temperature as Temp
from snugbay.job import Face, Job, Temperature, ZoneKind
from snugbay.physics.insitu import apparent_temperature, check_infrared, infrared_uncertainty, reread
from snugbay.prove.airs import Air, Airs, gathered
from snugbay.prove.sets import looked_over, time_of
from snugbay.prove.single import AIRS, STAGES, Kind, aside, impossible, other_unit
from snugbay.prove.tables import figure, words
from snugbay.weigh import AS_FOUND, Weighing

USUAL_HOURS = Temperature(Kind.ROOM_AIR, 0.0).steady_hours
"""Hours of steady heating that a reading has where none are written. [h]"""


@dataclass(frozen=True)
class Spot:
    """One usable reading of a surface or plate.

    Attributes
    ----------
    number : int
        In the job's list.
    face, spot, side, set : str
        Where, and with which others it was taken.
    when : str
        before or after.
    value, sigma : float
        True surface temperature, emissivity corrected, or heat flux from warm to cold. [°C or W/m²]
    flux : bool
        True for a heat-flux plate.
    windy : bool
        True where the set was read on a windy night.
    """

    number: int
    face: str
    spot: str
    side: str
    set: str
    when: str
    value: float
    sigma: float
    flux: bool = False
    windy: bool = False

    @property
    def middle(self) -> bool:
        """True where the spot stands for the face."""
        return plain_spot(self.spot) in words("readings", "words", "middle")


@dataclass(frozen=True)
class Screened:
    """Readings that can be used.

    Attributes
    ----------
    airs : Mapping of (when, set, zone) to Air
        Air temperatures.
    spots : tuple of Spot
        Surfaces and plates.
    findings : tuple of Finding
        What was set aside, and why.
    """

    airs: Mapping[tuple[str, str, str], Air]
    spots: tuple[Spot, ...]
    findings: tuple[Finding, ...]


def plain_spot(spot: str) -> str:
    """Name of a spot without the words for a patch of tape or paint."""
    patch = words("readings", "words", "patch")
    kept = [w for w in spot.lower().replace(",", " ").split() if w not in (*patch, "on", "of", "a", "the")]
    return " ".join(kept)


def _has(text: str, key: str) -> bool:
    return any(w in text.lower() for w in words("readings", "words", key))


def foil_seen(weighing: Weighing, face: Face, t: Temperature) -> bool:
    """Tell whether the surface read is the foil of a board that the plan puts there."""
    if t.when != "after":
        return _has(_outermost(face, t.side), "foil") or _has(_outermost(face, t.side), "metal")
    way = dict(weighing.plan.ways).get(face.id, AS_FOUND)
    board_side = "warm" if face.board_side == face.warm else "cold"
    if way == AS_FOUND or t.side != board_side:
        return _has(_outermost(face, t.side), "foil") or _has(_outermost(face, t.side), "metal")
    boards = next((o.boards for o in weighing.options if (o.face, o.way) == (face.id, way)), None)
    return boards is not None and _has(boards.material, "foil")


def _outermost(face: Face, side: str) -> str:
    if not face.layers:
        return face.substrate
    return (face.layers[0] if side == "warm" else face.layers[-1]).material


def _bright(weighing: Weighing, face: Face, t: Temperature, number: int) -> Finding | None:
    if t.kind is not Kind.SURFACE_INFRARED:
        return None
    low = check_infrared(t.emissivity) if t.emissivity < figure("readings", "limits", "least_emissivity") else ()
    if low and _has(t.spot, "patch"):
        return aside(Said.of("prove.bright-patch", face=FaceRef(face.id), emissivity=Number(t.emissivity)), number)
    if _has(t.spot, "patch"):
        return None
    if low:
        return aside(Said.of("prove.bright", face=FaceRef(face.id), why=low[0].said), number)
    if foil_seen(weighing, face, t) or face.substrate == "metal":
        return aside(Said.of("prove.bright-foil", face=FaceRef(face.id)), number)
    return None


def hours_wanted(face: Face) -> float:
    """Hours of steady heating before a reading of a face; heavy ones answer slowly. [h]"""
    heavy = face.substrate == "masonry" or any(_has(k.material, "masonry") for k in face.layers)
    return figure("readings", "limits", "steady_hours_masonry" if heavy else "steady_hours")


def _unsteady(face: Face, t: Temperature, number: int) -> Finding | None:
    if t.sun:
        return aside(Said.of("prove.sun", face=FaceRef(face.id)), number)
    least = hours_wanted(face)
    if not t.steady_hours >= least:
        said = Said.of(
            "prove.unsteady",
            face=FaceRef(face.id),
            steady=Span(t.steady_hours),
            unsaid=Said.of("prove.said.taken-unsaid") if t.steady_hours == USUAL_HOURS else None,
            wanted=Span(least),
        )
        return aside(said, number)
    return None


def _flat(job: Job, face: Face, number: int) -> Finding | None:
    kinds = {z.id: z.kind for z in job.zones}
    if kinds[face.cold] is ZoneKind.GROUND:
        return aside(Said.of("prove.ground", face=FaceRef(face.id)), number)
    if face.warm == face.cold:
        return aside(Said.of("prove.one-zone", face=FaceRef(face.id)), number)
    return None


def _temperature_of(t: Temperature, reflected: float) -> tuple[float, float]:
    """True surface temperature and its standard deviation. [°C, K]"""
    if t.kind is Kind.SURFACE_CONTACT:
        return t.value, t.sigma
    true = float(reread(t.value, reflected, t.meter_emissivity, t.emissivity))
    shown = float(apparent_temperature(true, reflected, t.emissivity)) if math.isfinite(true) else math.nan
    sigma = infrared_uncertainty(
        shown, reflected, t.emissivity, meter_k=t.sigma, emissivity_sd=figure("readings", "errors", "emissivity"),
        reflected_k=figure("readings", "errors", "reflected_k"),
    )  # fmt: skip
    return true, float(sigma)


def screen(
    job: Job,
    weighing: Weighing,
    guess: Mapping[tuple[str, str], tuple[float, float]],
    design_c: float,
    elsewhere: frozenset[int] = frozenset(),
) -> Screened:
    """Sort the job's readings into those that can be used and findings about the rest.

    Parameters
    ----------
    job : Job
        With its readings.
    weighing : Weighing
        For what surface the plan puts where.
    guess : Mapping of (when, zone) to (float, float)
        Place of each buffer space's air between outdoors (0) and the rooms (1) by the heat balance, and its standard
        deviation, for sets where nobody read it.
    design_c : float
        Outdoor temperature on a design day. [°C]
    elsewhere : frozenset of int
        Numbers of readings that belong to a plate series and are judged there.
    """
    sets = looked_over(job, elsewhere)
    with_spots = {(t.when, t.set) for n, t in enumerate(job.temperatures) if n not in elsewhere and t.kind not in AIRS}
    plates = {(job.temperatures[n].when, job.temperatures[n].set) for n in elsewhere}
    airs = gathered(job, guess, frozenset(plates - with_spots), sets.left_out, design_c)
    spots: list[Spot] = []
    for number, t in enumerate(job.temperatures):
        if number in sets.left_out and number not in elsewhere:
            if sets.left_out[number].said not in {f.said for f in airs.findings}:  # one line for a whole set
                airs.findings.append(sets.left_out[number])
        elif t.kind not in AIRS and number not in elsewhere:
            made = _spot(weighing, airs, number, t, windy=(t.when, t.set) in sets.windy)
            if isinstance(made, Spot):
                spots.append(made)
                _by_day(airs, t)
            elif made is not None:
                airs.findings.append(made)
    return Screened(airs.known, tuple(spots), tuple(airs.findings))


def _by_day(airs: Airs, t: Temperature) -> None:
    """Note once for a set that it was read by day: the sun may have been on the roof without anybody seeing it."""
    at = time_of(t.time)
    first, last = (figure("readings", "limits", f"day_{k}_hour") for k in ("first", "last"))
    if at is None or not first <= at.hour + at.minute / 60.0 <= last:
        return
    said = Said.of("prove.by-day", set=Name(t.set or t.when), time=Name(f"{at:%H:%M}"))
    if said not in {f.said for f in airs.findings}:
        airs.say(said, Weight.NOTE)


def _spot(weighing: Weighing, airs: Airs, number: int, t: Temperature, *, windy: bool) -> Spot | Finding | None:
    """Return a usable reading of a surface or plate, or why it is none; None where its air is missing."""
    bad = impossible(t, airs.job.units)
    if bad is not None:
        return aside(bad, number)
    if t.when not in STAGES or t.side not in ("warm", "cold"):
        return aside(Said.of("prove.reading-when-or-side"), number)
    face = next((f for f in airs.job.faces if f.id == t.face), None)
    if face is None:
        unknown = Said.of("prove.said.unknown-face", face=Name(t.face)) if t.face else Said.of("prove.said.no-face")
        return aside(Said.of("prove.reading-face", what=unknown), number)
    fault = _flat(airs.job, face, number) or _unsteady(face, t, number) or _bright(weighing, face, t, number)
    if fault is not None:
        return fault
    pair = airs.both(face, t)
    if pair is None:
        return None
    fault = _too_near(face, pair, number)
    if fault is not None:
        return fault
    if t.kind is Kind.HEAT_FLUX:
        return _plate(t, number, face, windy=windy)
    return _surface(face, pair, number, t, airs, windy=windy)


def _too_near(face: Face, pair: tuple[Air, Air], number: int) -> Finding | None:
    """Finding where the two sides are too near each other, or the wrong way round."""
    apart = pair[0].mean - pair[1].mean
    least = figure("readings", "limits", "least_difference_k")
    if apart >= least:
        return None
    if apart <= -least:
        warmer = TemperatureDifference(-apart)
        return aside(Said.of("prove.swapped", face=FaceRef(face.id), warmer=warmer), number)
    said = Said.of(
        "prove.mild",
        face=FaceRef(face.id),
        apart=TemperatureDifference(apart),
        wanted=TemperatureDifference(least),
    )
    return aside(said, number)


def _surface(
    face: Face, pair: tuple[Air, Air], number: int, t: Temperature, airs: Airs, *, windy: bool
) -> Spot | Finding:
    warm, cold = pair
    units = airs.job.units
    near = warm if t.side == "warm" else cold
    value, sigma = _temperature_of(t, near.mean if t.reflected_c is None else t.reflected_c)
    if not (math.isfinite(value) and math.isfinite(sigma)):
        face_, eps = FaceRef(face.id), Number(t.emissivity)
        return aside(Said.of("prove.beyond-emissivity", face=face_, emissivity=eps, read=Temp(t.value)), number)
    slack = figure("readings", "limits", "beyond_sigmas") * math.hypot(sigma, max(warm.sigma, cold.sigma))
    if not cold.mean - slack <= value <= warm.mean + slack:
        said = Said.of(
            "prove.beyond",
            face=FaceRef(face.id),
            read=Temp(value),
            cold=Temp(cold.mean),
            warm=Temp(warm.mean),
            unit=other_unit(t.value, units, cold.mean, warm.mean),
        )
        return aside(said, number)
    return Spot(number, face.id, t.spot, t.side, t.set, t.when, value, sigma, False, windy)


def _plate(t: Temperature, number: int, face: Face, *, windy: bool) -> Spot | Finding:
    if t.value <= 0:
        return aside(Said.of("prove.plate-inward", face=FaceRef(face.id)), number)
    return Spot(number, face.id, t.spot, t.side, t.set, t.when, t.value, t.sigma, True, windy)


def of_face(screened: Screened, face: str) -> Sequence[Spot]:
    """Usable readings of one face."""
    return tuple(s for s in screened.spots if s.face == face)
