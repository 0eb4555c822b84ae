"""The air either side of a face in each set of readings: as read, or by the plan's heat balance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from snugbay.base import Finding, Weight
from snugbay.job import Face, Job, Temperature, ZoneKind
from snugbay.prove.single import AIRS, STAGES, aside, impossible, other_unit
from snugbay.prove.tables import figure
from snugbay.prove.wording import diff, temp

Key = tuple[str, str, str]
"""When, set, zone."""


@dataclass(frozen=True)
class Air:
    """Temperature of a zone in one set: mean and standard deviation. [°C, K]"""

    mean: float
    sigma: float
    guessed: bool = False


@dataclass
class Airs:
    """Airs of all sets, and what is said while they are gathered."""

    job: Job
    guess: Mapping[tuple[str, str], tuple[float, float]]
    known: dict[Key, Air] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    told: set[Key] = field(default_factory=set)

    def say(self, code: str, text: str, weight: Weight = Weight.WARN) -> None:
        """Note something about readings together."""
        self.findings.append(Finding(f"prove.{code}", text, weight, ("temperatures",)))

    def of_kind(self, when: str, name: str, kind: ZoneKind) -> Air | None:
        """Return the air of the first zone of a kind that was read in a set."""
        own = [self.known.get((when, name, z.id)) for z in self.job.zones if z.kind is kind]
        return next((a for a in own if a is not None), None)

    def both(self, face: Face, t: Temperature) -> tuple[Air, Air] | None:
        """Return the airs either side of a face in the set of a reading; None where one is missing."""
        found = [self._one((t.when, t.set, zone)) for zone in (face.warm, face.cold)]
        return None if found[0] is None or found[1] is None else (found[0], found[1])

    def _one(self, key: Key) -> Air | None:
        when, name, zone = key
        if key not in self.known and (when, zone) in self.guess:
            made = self._balanced(key, self.guess[when, zone])
            if made is not None:
                self.known[key] = made
                units = self.job.units
                self.say(
                    "air-guessed",
                    f"Nobody read the air in {zone} ({name or when}): the heat balance takes it as "
                    f"{temp(made.mean, units)} give or take {diff(made.sigma, units)}, which widens the answer.",
                    Weight.NOTE,
                )
        if key not in self.known and key not in self.told:
            self.told.add(key)
            self.say(
                "air-missing",
                f"No usable air temperature of {zone} was read with the others ({name or when}): they say nothing.",
            )
        return self.known.get(key)

    def _balanced(self, key: Key, place: tuple[float, float]) -> Air | None:
        """Air of a space from those of room and outdoors."""
        room, out = (self.of_kind(key[0], key[1], k) for k in (ZoneKind.INSIDE, ZoneKind.OUTSIDE))
        if room is None or out is None:
            return None
        share, spread = place
        mean = out.mean + share * (room.mean - out.mean)
        errors = (share * room.sigma, (1 - share) * out.sigma, spread * (room.mean - out.mean))
        return Air(mean, math.sqrt(sum(e**2 for e in errors)), True)


def _zone_of(job: Job, t: Temperature) -> str | None:
    """Zone of an air reading: as named, else the only one of its kind."""
    kind = AIRS[t.kind]
    own = [z.id for z in job.zones if z.kind is kind]
    if t.zone:
        return t.zone if t.zone in own else None
    return own[0] if len(own) == 1 or (own and kind is not ZoneKind.BUFFER) else None


def _fault(job: Job, number: int, t: Temperature, zone: str | None) -> Finding | None:
    bad = impossible(t, job.units)
    if bad:
        return aside("reading-impossible", number, f"Reading {number} {bad}")
    if t.when not in STAGES:
        return aside("reading-when", number, f"Reading {number} is neither before nor after the work.")
    if t.sun:
        return aside("sun", number, f"Reading {number}: a thermometer in the sun does not show the air; set aside.")
    if zone is None:
        text = f"Reading {number}: it is not clear which space's air this is ({t.zone or 'no space named'})."
        return aside("reading-zone", number, text)
    return None


def gathered(
    job: Job,
    guess: Mapping[tuple[str, str], tuple[float, float]],
    skip: frozenset[tuple[str, str]],
    left_out: Mapping[int, Finding],
    design_c: float,
) -> Airs:
    """Gather the air temperatures of all sets.

    Parameters
    ----------
    job : Job
        With its readings.
    guess : Mapping of (when, zone) to (float, float)
        Place of each buffer space's air between outdoors (0) and the rooms (1) by the heat balance, and its standard
        deviation, for sets where nobody read it.
    skip : frozenset of (when, set)
        Sets that need no air: plates with both surfaces.
    left_out : Mapping of int to Finding
        Readings that are set aside for another reason.
    design_c : float
        Outdoor temperature on a design day; far below it a reading is asked about. [°C]
    """
    out = Airs(job, guess)
    values: dict[Key, list[Temperature]] = {}
    for number, t in enumerate(job.temperatures):
        if t.kind not in AIRS or number in left_out:
            continue
        zone = _zone_of(job, t)
        fault = _fault(job, number, t, zone)
        if fault is not None:
            out.findings.append(fault)
        elif zone is not None and (t.when, t.set) not in skip:
            values.setdefault((t.when, t.set, zone), []).append(t)
    for key, own in values.items():
        air = _mean(own)
        if air is None:
            span = max(t.value for t in own) - min(t.value for t in own)
            out.say(
                "airs-apart",
                f"Readings of the air in {key[2]} taken together ({key[1] or key[0]}) are {diff(span, job.units)} "
                "apart: name evenings apart, or read again. They are not used.",
            )
        else:
            out.known[key] = air
    for key in [k for k in out.known if _kind(job, k[2]) is ZoneKind.BUFFER]:
        _check_space(out, key)
    _check_outdoors(out, design_c)
    return out


def _kind(job: Job, zone: str) -> ZoneKind:
    return next(z.kind for z in job.zones if z.id == zone)


def _mean(own: Sequence[Temperature]) -> Air | None:
    """Mean of one zone's readings; None where they are further apart than thermometers are."""
    stray = figure("readings", "errors", "air_k")
    weight = [1.0 / t.sigma**2 for t in own]
    mean = sum(w * t.value for w, t in zip(weight, own, strict=True)) / sum(weight)
    span = max(t.value for t in own) - min(t.value for t in own)
    if span > 4.0 * math.hypot(stray, max(t.sigma for t in own)):
        return None
    return Air(mean, math.sqrt(1.0 / sum(weight) + stray**2))


def _check_outdoors(airs: Airs, design_c: float) -> None:
    """Ask about nights that are far colder than a design day here: the unit may have been left out."""
    beyond, units = figure("readings", "limits", "below_design_k"), airs.job.units
    for (when, name, zone), air in airs.known.items():
        if _kind(airs.job, zone) is ZoneKind.OUTSIDE and air.mean < design_c - beyond:
            airs.say(
                "outdoor-odd",
                f"Outdoors it read {temp(air.mean, units)} ({name or when}), {diff(design_c - air.mean, units, 0)} "
                f"colder than a design day of this place.{other_unit(air.mean, units, design_c - beyond, 30.0)} "
                "If it is wrong, so is what follows from it.",
            )


def _check_space(airs: Airs, key: Key) -> None:
    """Set aside the air of a space that is not between outdoors and the rooms."""
    when, name, zone = key
    room, out = (airs.of_kind(when, name, k) for k in (ZoneKind.INSIDE, ZoneKind.OUTSIDE))
    own, units = airs.known[key], airs.job.units
    if room is None or out is None:
        return
    slack = figure("readings", "limits", "space_beyond_k")
    if min(room.mean, out.mean) - slack <= own.mean <= max(room.mean, out.mean) + slack:
        return
    hint = other_unit(own.mean, units, min(room.mean, out.mean), max(room.mean, out.mean))
    airs.say(
        "space-odd",
        f"The air in {zone} ({name or when}) reads {temp(own.mean, units)}, not between outdoors "
        f"({temp(out.mean, units)}) and the rooms ({temp(room.mean, units)}).{hint} It is not used.",
    )
    del airs.known[key]
    airs.guess = {k: v for k, v in airs.guess.items() if k != (when, zone)}
