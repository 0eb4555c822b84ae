"""Hot things beside the opening that a box stands in: whatever insulates the box comes near them, by whichever way."""

from __future__ import annotations

from shapely.geometry import Point, Polygon, box

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, Name
from snugbay.job import Hole, Job, Opening
from snugbay.survey.hot import kept_clear
from snugbay.survey.untied import untied
from snugbay.survey.values import Survey

THICKEST = 0.1
"""Insulation outside a box is seldom thicker (assumption). [m]"""


def _shape(hole: Hole) -> Polygon:
    if hole.round:
        return Point(hole.x, hole.y).buffer(max(hole.width, hole.height) / 2)
    w, h = hole.width / 2, hole.height / 2
    return box(hole.x - w, hole.y - h, hole.x + w, hole.y + h)


def _boxed(job: Job, survey: Survey) -> list[tuple[str, str, Opening]]:
    """Return box, face and opening of all boxes that stand, or may stand, in one."""
    tied = [
        (host.root.removesuffix("-back"), host.face, o)
        for host in job.hosts
        for o in job.face(host.face).openings
        if o.name == host.opening
    ]
    return tied + [(one.box, one.face, one.opening) for one in untied(job, survey)]


def hot_box_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a STOP for a box that stands too near to a hot thing, a warning where its insulation may come too near."""
    found = []
    for name, face_id, opening in _boxed(job, survey):
        hole = box(opening.x, opening.y, opening.x + opening.width, opening.y + opening.height)
        for item in job.face(face_id).holes:
            far, apart = kept_clear(item), float(hole.distance(_shape(item)))
            if far is None or apart >= far + THICKEST:
                continue
            near, clear = apart < far, Length(far)
            room = Length(max(apart - far, 0.0))
            what = (
                Said.of("survey.said.stay-clear", clear=clear)
                if near
                else Said.of("survey.said.room-for", clear=clear, room=room)
            )
            found.append(
                Finding.of(
                    "survey.hot-box",
                    Weight.STOP if near else Weight.WARN,
                    ("faces", face_id, "holes", item.name),
                    box=Name(name),
                    opening=Name(opening.name),
                    face=FaceRef(face_id),
                    apart=Length(apart),
                    item=Name(item.name),
                    what=what,
                )
            )
    return tuple(found)
