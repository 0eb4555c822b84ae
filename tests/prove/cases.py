"""Jobs for the tests of room prove, surveyed and weighed once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.job import Job, LogEntry, Temperature, TemperatureKind
from snugbay.pieces import PieceSet, make_pieces
from snugbay.survey import Survey, survey
from snugbay.weigh import Weighing, weigh

RUN = Run(seed=1, effort=Effort.QUICK)
Weighed = tuple[Job, Survey, Weighing, PieceSet]


def _weighed(job: Job) -> Weighed:
    taped = survey(job, RUN).value
    plan = weigh(job, taped, RUN).value
    return job, taped, plan, make_pieces(job, taped, plan.boards, RUN).value


@cache
def mill() -> Weighed:
    """The long plain cellar wall: boards, few cuts."""
    return _weighed(read(example("mill-cellar")))


@cache
def boxes() -> Weighed:
    """The cottage whose niche boxes must get 2 in boards on their cold side."""
    job = read(example("ferry-cottage"))
    faces = tuple(replace(f, must="boards-on-face/polyiso-2in") if f.id.startswith("B") else f for f in job.faces)
    return _weighed(replace(job, faces=faces, wishes=replace(job.wishes, budget=None), you=replace(job.you, days=None)))


def logged(job: Job, *entries: LogEntry) -> Job:
    return replace(job, log=replace(job.log, entries=entries))


def celsius(f: float) -> float:
    return (f - 32.0) / 1.8


def evening(
    when: str, surface_c: float, space_c: float, *, face: str = "B1-back", name: str = "", outdoor_c: float = -12.8
) -> tuple[Temperature, ...]:
    """Room at 20 °C, eaves, outdoors, and three readings of a face's middle."""
    k = TemperatureKind
    return (
        Temperature(k.ROOM_AIR, 20.0, when, name),
        Temperature(k.BUFFER_AIR, space_c, when, name, zone="eaves-n"),
        Temperature(k.OUTDOOR_AIR, outdoor_c, when, name),
        *(
            Temperature(k.SURFACE_INFRARED, surface_c + d, when, name, face, sigma=1.0, reflected_c=20.0)
            for d in (-0.2, 0.0, 0.2)
        ),
    )
