"""The air either side of a face in each set of readings: as read, or by the plan's heat balance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Name, TemperatureDifference
from snugbay.base.facts import Temperature as Temp
from snugbay.job import Face, Job, Temperature, ZoneKind
from snugbay.prove.single import AIRS, STAGES, aside, impossible, other_unit
from snugbay.prove.tables import figure

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

    def say(self, said: Said, weight: Weight = Weight.WARN) -> None:
        """Note something about readings together."""
        self.findings.append(Finding(said.code, weight=weight, where=("temperatures",), facts=said.facts))

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
                self.say(
                    Said.of(
                        "prove.air-guessed",
                        zone=Name(zone),
                        set=Name(name or when),
                        taken=Temp(made.mean),
                        sigma=TemperatureDifference(made.sigma),
                    ),
                    Weight.NOTE,
                )
        if key not in self.known and key not in self.told:
            self.told.add(key)
            self.say(Said.of("prove.air-missing", zone=Name(zone), set=Name(name or when)))
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
    if bad is not None:
        return aside(bad, number)
    if t.when not in STAGES:
        return aside(Said.of("prove.reading-when"), number)
    if t.sun:
        return aside(Said.of("prove.air-sun"), number)
    if zone is None:
        named = Name(t.zone) if t.zone else Said.of("prove.said.no-space-named")
        return aside(Said.of("prove.reading-zone", zone=named), number)
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
            zone_, set_ = Name(key[2]), Name(key[1] or key[0])
            out.say(Said.of("prove.airs-apart", zone=zone_, set=set_, apart=TemperatureDifference(span)))
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
                Said.of(
                    "prove.outdoor-odd",
                    read=Temp(air.mean),
                    set=Name(name or when),
                    colder=TemperatureDifference(design_c - air.mean),
                    unit=other_unit(air.mean, units, design_c - beyond, 30.0),
                )
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
        Said.of(
            "prove.space-odd",
            zone=Name(zone),
            set=Name(name or when),
            read=Temp(own.mean),
            outdoors=Temp(out.mean),
            rooms=Temp(room.mean),
            unit=hint,
        )
    )
    del airs.known[key]
    airs.guess = {k: v for k, v in airs.guess.items() if k != (when, zone)}
