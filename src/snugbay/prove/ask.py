"""What to read, where and when, so that the thermometer can judge."""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Sequence

from snugbay.job import Job, Temperature, TemperatureKind, ZoneKind, short_list
from snugbay.physics.insitu import LEAST_DIFFERENCE_K
from snugbay.prove.screen import hours_wanted
from snugbay.prove.sets import winds
from snugbay.prove.values import ToRead
from snugbay.prove.wording import diff
from snugbay.ways.surroundings import Surroundings
from snugbay.weigh import AS_FOUND, Weighing

WINDY = 'one windy night, marked as windy (wind = "windy")'


def cold_months(air: Surroundings) -> str:
    """Months whose mean is cold enough by the least difference, in words."""
    cold = [air.setpoint_c - t >= LEAST_DIFFERENCE_K for t in air.outdoor_c]
    if not any(cold):
        return "on the coldest nights (no month here is cold enough on the mean)"
    if all(cold):
        return "in any month"
    first = next(i for i in range(12) if cold[i] and not cold[i - 1])
    last = next(i for i in ((first + k) % 12 for k in range(12)) if not cold[(i + 1) % 12])
    return f"between {calendar.month_name[first + 1]} and {calendar.month_name[last + 1]}"


def line_faces(job: Job) -> tuple[str, ...]:
    """Faces between two zones of which a thermometer can judge the resistance: those that meet no soil."""
    kinds = {z.id: z.kind for z in job.zones}
    return tuple(f.id for f in job.faces if f.warm != f.cold and kinds[f.cold] is not ZoneKind.GROUND)


def judged_faces(job: Job, weighing: Weighing) -> tuple[str, ...]:
    """Faces that the plan works on; every face of the line where it works on none."""
    apart = set(line_faces(job))
    own = tuple(f for f, w in weighing.plan.ways if w != AS_FOUND and f in apart)
    return own or tuple(f for f in weighing.plan.line if f in apart)


def to_read(
    job: Job, wanted: Sequence[str], air: Surroundings, judged: Iterable[tuple[str, str]] = ()
) -> tuple[ToRead, ...]:
    """Say which readings are still wanted.

    Parameters
    ----------
    job : Job
        With the readings it has.
    wanted : sequence of str
        Faces to judge.
    air : Surroundings
        Climate, for when.
    judged : iterable of (str, str)
        Face and stage for which a usable reading was found.
    """
    when = (
        f"{cold_months(air)}, {diff(LEAST_DIFFERENCE_K, job.units, 0)} or more between room and outdoors, after dark, "
        f"heating steady for {_steady_hours(job, wanted):.0f} h"
    )
    out: list[ToRead] = []
    known = set(judged)
    begun = bool(job.log.entries) or any(t.when == "after" for t in job.temperatures)
    for stage in ("before", "after"):
        own = [t for t in job.temperatures if t.when == stage]
        if stage == "before" and begun:
            continue
        moment = f"{stage} the work: {when}"
        out.extend(_airs(job, wanted, own, moment))
        faces = [f for f in wanted if (f, stage) not in known]
        if faces:
            out.append(
                ToRead(
                    "surface temperature, three spots",
                    "middle of " + short_list(faces),
                    moment,
                    "gives the resistance; clear of framing, foil and metal only on a patch of tape",
                )
            )
    if job.temperatures and not winds(job.temperatures)[0]:
        out.append(
            ToRead("the same spots again", "the same faces", WINDY, "tells air that goes round from poor resistance")
        )
    seams = [t for t in job.temperatures if t.when == "after" and t.spot != "middle"]
    if not seams:
        out.append(
            ToRead(
                "surface temperature along the seams",
                "corners, joints and edges of the finished faces, each named as a spot",
                f"after the work: {when}; a windy night shows more",
                "the coldest one is the seam to open first",
            )
        )
    return tuple(out)


def _steady_hours(job: Job, wanted: Sequence[str]) -> float:
    """Hours of steady heating that every face to be judged wants; an hour more than the least. [h]"""
    return 1.0 + max((hours_wanted(job.face(f)) for f in wanted), default=2.0)


def _airs(job: Job, wanted: Sequence[str], own: Sequence[Temperature], moment: str) -> list[ToRead]:
    kinds = {z.id: z.kind for z in job.zones}
    have = {t.kind for t in own}
    spaces = [z.id for z in job.zones if z.kind is ZoneKind.BUFFER]
    only = spaces[0] if len(spaces) == 1 else ""
    zones = {t.zone or only for t in own if t.kind is TemperatureKind.BUFFER_AIR}
    touched = {z for f in job.faces if f.id in wanted for z in (f.warm, f.cold)}
    out = []
    if TemperatureKind.ROOM_AIR not in have:
        out.append(ToRead("room air", "a hand from the face, out of draughts", moment, "the warm end of the balance"))
    for zone in job.zones:
        if kinds[zone.id] is ZoneKind.BUFFER and zone.id in touched and zone.id not in zones:
            out.append(
                ToRead("air in the space", zone.title or zone.id, moment, "without it the balance has to guess it")
            )
    if TemperatureKind.OUTDOOR_AIR not in have:
        out.append(ToRead("outdoor air", "in the shade, north side", moment, "the cold end of the balance"))
    return out
