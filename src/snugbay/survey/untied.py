"""Boxes that most likely stand in an opening of another face although the document does not tie them to it."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Listed, Name, faces, names
from snugbay.job import Face, Job, Opening, Part
from snugbay.survey.values import Survey

ALIKE = 0.06
"""A box measured outside its boards and the clear opening it stands in differ by this at most (assumption). [m]"""
_SIDES = ("back", "left", "right", "top", "bottom")


@dataclass(frozen=True)
class Untied:
    """A box and an opening that it may stand in.

    Attributes
    ----------
    box : str
        Id of the shorthand.
    faces : tuple of str
        Its faces.
    face : str
        Face of the opening.
    opening : Opening
        As alike in size.
    """

    box: str
    faces: tuple[str, ...]
    face: str
    opening: Opening


def _box(job: Job, back: Face) -> tuple[str, tuple[str, ...]]:
    box = back.id.removesuffix("-back")
    ids = {f"{box}-{side}" for side in _SIDES}
    return box, tuple(f.id for f in job.faces if f.id in ids and f.from_shorthand == back.from_shorthand)


def untied(job: Job, survey: Survey) -> tuple[Untied, ...]:
    """Return, for every box that names no opening, the free openings of its size between the same two zones.

    Parameters
    ----------
    job, survey
        Boxes of the shorthand and the adjusted size of their backs; openings that get a plug are none for boxes.
    """
    tied = {host.root for host in job.hosts}
    filled = {(host.face, host.opening) for host in job.hosts}
    found = []
    for back in job.faces:
        if back.part is not Part.BOX_BACK or not back.from_shorthand or back.id in tied:
            continue
        box, faces = _box(job, back)
        points = survey.face(back.id).points
        width, height = (max(p[a] for p in points) - min(p[a] for p in points) for a in (0, 1))
        for face in job.faces:
            if face.id in faces or {face.warm, face.cold} != {back.warm, back.cold}:
                continue
            for opening in face.openings:
                off = max(abs(opening.width - width), abs(opening.height - height))
                if off <= ALIKE and not opening.plug and (face.id, opening.name) not in filled:
                    found.append(Untied(box, faces, face.id, opening))
    return tuple(found)


def untied_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a warning for each box that nothing ties to an opening of its size."""
    by_box: dict[str, list[Untied]] = {}
    for one in untied(job, survey):
        by_box.setdefault(one.box, []).append(one)
    return tuple(_finding(job, box, ones) for box, ones in by_box.items())


def _finding(job: Job, box: str, ones: list[Untied]) -> Finding:
    stands = tuple(
        Said.of("survey.said.opening-in", opening=Name(one.opening.name), face=FaceRef(one.face)) for one in ones
    )
    lines = names((f'fills = ["{one.face}", "{one.opening.name}"]' for one in ones), "or")
    side = job.face(ones[0].faces[0]).board_side
    others = sorted({one.face for one in ones if job.face(one.face).board_side != side})
    look = (
        Said.of("survey.said.look-at-side", side=Name(job.zone(side).title), others=faces(others)) if others else None
    )
    return Finding.of(
        "survey.untied",
        Weight.WARN,
        ("shapes", box),
        box=Name(box),
        stands=Listed(stands, "comma"),
        lines=lines,
        look=look,
    )
