"""Which readings can be used: foil and bare metal, sun, unsteady hours, small differences, slips."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import Finding, Weight
from snugbay.job import Face, Job, Temperature, TemperatureKind, ZoneKind
from snugbay.physics.insitu import apparent_temperature, check_infrared, infrared_uncertainty, reread
from snugbay.prove.tables import figure, words
from snugbay.weigh import AS_FOUND, Weighing

Kind = TemperatureKind
SURFACES = (Kind.SURFACE_INFRARED, Kind.SURFACE_CONTACT)
AIRS = {Kind.ROOM_AIR: ZoneKind.INSIDE, Kind.BUFFER_AIR: ZoneKind.BUFFER, Kind.OUTDOOR_AIR: ZoneKind.OUTSIDE}
STAGES = ("before", "after")


@dataclass(frozen=True)
class Air:
    """Temperature of a zone in one set: mean and standard deviation. [°C, K]"""

    mean: float
    sigma: float
    guessed: bool = False


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
        True where the set is named after the wind.
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


def _aside(code: str, number: int, text: str) -> Finding:
    return Finding(f"prove.{code}", text, Weight.WARN, ("temperatures", number))


def _impossible(t: Temperature) -> str:
    """Say what is impossible in a reading by itself; empty where nothing is."""
    if not (math.isfinite(t.value) and math.isfinite(t.sigma)):
        return "is not a number"
    if not 0.0 < t.sigma <= figure("readings", "limits", "widest_sigma") and t.kind is not Kind.HEAT_FLUX:
        return f"is only known to {t.sigma:g} K"
    if t.kind is Kind.HEAT_FLUX:
        return "" if t.sigma > 0 else "has no spread"
    low, high = figure("readings", "limits", "coldest_c"), figure("readings", "limits", "hottest_c")
    if not low <= t.value <= high:
        return f"of {t.value:.1f} °C cannot be right here"
    if t.kind is Kind.SURFACE_INFRARED and not (0.0 < t.emissivity <= 1.0 and 0.0 < t.meter_emissivity <= 1.0):
        return "has an emissivity outside 0 to 1"
    if t.reflected_c is not None and not low <= t.reflected_c <= high:
        return "has a reflected temperature that cannot be right"
    return ""


def _zone_of(job: Job, t: Temperature) -> str | None:
    """Zone of an air reading: as named, else the only one of its kind."""
    kind = AIRS[t.kind]
    own = [z.id for z in job.zones if z.kind is kind]
    if t.zone:
        return t.zone if t.zone in own else None
    return own[0] if len(own) == 1 or (own and kind is not ZoneKind.BUFFER) else None


def _airs(job: Job, findings: list[Finding]) -> dict[tuple[str, str, str], Air]:
    values: dict[tuple[str, str, str], list[Temperature]] = {}
    for number, t in enumerate(job.temperatures):
        if t.kind not in AIRS:
            continue
        bad = _impossible(t)
        zone = _zone_of(job, t)
        if bad:
            findings.append(_aside("reading-impossible", number, f"Reading {number} {bad}: set aside."))
        elif t.when not in STAGES:
            findings.append(_aside("reading-when", number, f"Reading {number} is neither before nor after the work."))
        elif t.sun:
            findings.append(
                _aside("sun", number, f"Reading {number}: a thermometer in the sun does not show the air; set aside.")
            )
        elif zone is None:
            text = f"Reading {number}: it is not clear which space's air this is ({t.zone or 'no space named'})."
            findings.append(_aside("reading-zone", number, text))
        else:
            values.setdefault((t.when, t.set, zone), []).append(t)
    stray = figure("readings", "errors", "air_k")
    out = {}
    for key, own in values.items():
        weight = [1.0 / t.sigma**2 for t in own]
        mean = sum(w * t.value for w, t in zip(weight, own, strict=True)) / sum(weight)
        out[key] = Air(mean, math.sqrt(1.0 / sum(weight) + stray**2))
        span = max(t.value for t in own) - min(t.value for t in own)
        if span > 4.0 * math.hypot(stray, max(t.sigma for t in own)):
            text = (
                f"Readings of the air in {key[2]} taken together ({key[1] or key[0]}) are {span:.1f} K apart: name "
                "evenings apart, or read again. They are not used."
            )
            findings.append(Finding("prove.airs-apart", text, Weight.WARN, ("temperatures",)))
            del out[key]
    return out


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
    if t.kind is not Kind.SURFACE_INFRARED or _has(t.spot, "patch"):
        return None
    low = check_infrared(t.emissivity) if t.emissivity < figure("readings", "limits", "least_emissivity") else ()
    if low:
        return _aside("bright", number, f"Reading {number} on {face.id}: {low[0].text} It is set aside.")
    if foil_seen(weighing, face, t) or face.substrate == "metal":
        text = (
            f"Reading {number} on {face.id}: the surface is foil or bare metal, and the meter shows the room in it. "
            "Stick on a patch of tape, let it settle, read that and write it so (middle, tape). Set aside."
        )
        return _aside("bright", number, text)
    return None


def _unsteady(face: Face, t: Temperature, number: int) -> Finding | None:
    if t.sun:
        return _aside("sun", number, f"Reading {number} on {face.id}: the sun was on it. Read after dark. Set aside.")
    heavy = face.substrate == "masonry" or any(_has(k.material, "masonry") for k in face.layers)
    least = figure("readings", "limits", "steady_hours_masonry" if heavy else "steady_hours")
    if not t.steady_hours >= least:
        text = (
            f"Reading {number} on {face.id}: only {t.steady_hours:g} h of steady heating before it, {least:g} h are "
            "wanted. Set aside."
        )
        return _aside("unsteady", number, text)
    return None


def _flat(job: Job, face: Face, number: int) -> Finding | None:
    kinds = {z.id: z.kind for z in job.zones}
    if kinds[face.cold] is ZoneKind.GROUND:
        text = (
            f"Reading {number} on {face.id}: a face in the ground answers to the ground of months ago; a surface "
            "reading cannot give its resistance. Set aside."
        )
        return _aside("ground", number, text)
    if face.warm == face.cold:
        return _aside("one-zone", number, f"Reading {number}: {face.id} has the same space on both sides. Set aside.")
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
    elsewhere : frozenset of int
        Numbers of readings that belong to a plate series and are judged there.
    """
    findings: list[Finding] = []
    airs = _airs(job, findings)
    spots: list[Spot] = []
    told: set[tuple[str, str, str]] = set()
    for number, t in enumerate(job.temperatures):
        if t.kind in AIRS or number in elsewhere:
            continue
        made = _spot(job, weighing, airs, guess, (number, t), findings, told)
        if made is not None:
            spots.append(made)
    return Screened(airs, tuple(spots), tuple(findings))


def _spot(
    job: Job,
    weighing: Weighing,
    airs: dict[tuple[str, str, str], Air],
    guess: Mapping[tuple[str, str], tuple[float, float]],
    numbered: tuple[int, Temperature],
    findings: list[Finding],
    told: set[tuple[str, str, str]],
) -> Spot | None:
    number, t = numbered
    bad = _impossible(t)
    face = next((f for f in job.faces if f.id == t.face), None)
    if bad or t.when not in STAGES or t.side not in ("warm", "cold"):
        why = bad or "is neither before nor after the work, or on neither side of the face"
        findings.append(_aside("reading-impossible", number, f"Reading {number} {why}: set aside."))
        return None
    if face is None:
        text = (
            f"Reading {number} names {f'face {t.face!r}, which the job has not' if t.face else 'no face'}: set aside."
        )
        findings.append(_aside("reading-face", number, text))
        return None
    fault = _flat(job, face, number) or _unsteady(face, t, number) or _bright(weighing, face, t, number)
    if fault is not None:
        findings.append(fault)
        return None
    pair = _both_airs(job, airs, guess, face, t, findings, told)
    if pair is None:
        return None
    warm, cold = pair
    least = figure("readings", "limits", "least_difference_k")
    if not warm.mean - cold.mean >= least:
        text = (
            f"Reading {number} on {face.id}: only {warm.mean - cold.mean:.1f} K between its two sides; {least:.0f} K "
            "are wanted. Set aside."
        )
        findings.append(_aside("mild", number, text))
        return None
    windy = _has(t.set, "windy")
    if t.kind is Kind.HEAT_FLUX:
        return _plate(t, number, face, findings, windy=windy)
    near = warm if t.side == "warm" else cold
    value, sigma = _temperature_of(t, near.mean if t.reflected_c is None else t.reflected_c)
    slack = figure("readings", "limits", "beyond_sigmas") * math.hypot(sigma, max(warm.sigma, cold.sigma))
    if not cold.mean - slack <= value <= warm.mean + slack:
        text = (
            f"Reading {number} on {face.id}: {value:.1f} °C does not lie between the airs either side "
            f"({cold.mean:.1f} and {warm.mean:.1f} °C): sun, a heater, or the meter misled. Set aside."
        )
        findings.append(_aside("beyond", number, text))
        return None
    return Spot(number, face.id, t.spot, t.side, t.set, t.when, value, sigma, False, windy)


def _plate(t: Temperature, number: int, face: Face, findings: list[Finding], *, windy: bool) -> Spot | None:
    if t.value <= 0:
        text = f"Reading {number} on {face.id}: the plate shows heat coming in. Turned round? Set aside."
        findings.append(_aside("plate-turned", number, text))
        return None
    return Spot(number, face.id, t.spot, t.side, t.set, t.when, t.value, t.sigma, True, windy)


def _both_airs(
    job: Job,
    airs: dict[tuple[str, str, str], Air],
    guess: Mapping[tuple[str, str], tuple[float, float]],
    face: Face,
    t: Temperature,
    findings: list[Finding],
    told: set[tuple[str, str, str]],
) -> tuple[Air, Air] | None:
    found: list[Air] = []
    for zone in (face.warm, face.cold):
        key = (t.when, t.set, zone)
        if key not in airs and (t.when, zone) in guess:
            made = _balanced(job, airs, key, guess[t.when, zone])
            if made is not None:
                airs[key] = made
                text = (
                    f"Nobody read the air in {zone} ({t.set or t.when}): the heat balance takes it as "
                    f"{made.mean:.1f} °C give or take {made.sigma:.1f} K, which widens the answer."
                )
                findings.append(Finding("prove.air-guessed", text, Weight.NOTE, ("temperatures",)))
        if key not in airs:
            if key not in told:
                text = f"No air temperature of {zone} was read with the others ({t.set or t.when}): they say nothing."
                findings.append(Finding("prove.air-missing", text, Weight.WARN, ("temperatures",)))
                told.add(key)
            return None
        found.append(airs[key])
    return found[0], found[1]


def _balanced(
    job: Job, airs: Mapping[tuple[str, str, str], Air], key: tuple[str, str, str], place: tuple[float, float]
) -> Air | None:
    """Air of a space from those of room and outdoors."""
    ends = []
    for kind in (ZoneKind.INSIDE, ZoneKind.OUTSIDE):
        own = [airs[key[0], key[1], z.id] for z in job.zones if z.kind is kind and (key[0], key[1], z.id) in airs]
        if not own:
            return None
        ends.append(own[0])
    room, out = ends
    share, spread = place
    mean = out.mean + share * (room.mean - out.mean)
    errors = (share * room.sigma, (1 - share) * out.sigma, spread * (room.mean - out.mean))
    return Air(mean, math.sqrt(sum(e**2 for e in errors)), True)


def of_face(screened: Screened, face: str) -> Sequence[Spot]:
    """Usable readings of one face."""
    return tuple(s for s in screened.spots if s.face == face)
