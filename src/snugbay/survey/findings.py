"""What else the survey has to say: flat shapes, loops that do not close, tilts that differ, loose interruptions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from snugbay.base import Fact, Facts, Finding, Weight
from snugbay.base.facts import Angle, FaceRef, Length, Listed, Number, names
from snugbay.survey.charges import suspect_findings
from snugbay.survey.fold import Pose
from snugbay.survey.interruptions import interruption_findings
from snugbay.survey.options import SurveyOptions
from snugbay.survey.others import other_findings
from snugbay.survey.results import Group, poses
from snugbay.survey.twist import twist_findings
from snugbay.survey.values import JoinCheck, Survey
from snugbay.survey.yielded import yielded_findings

TILTED = math.radians(5.0)
"""A face that comes out farther than this from its stated tilt is told. [rad]"""
GAPED = 0.005
"""A loop that closes worse than this is told. [m]"""


def all_findings(result: Survey, done: Sequence[Group], options: SurveyOptions) -> tuple[Finding, ...]:
    """Return the findings of a survey, suspects first."""
    out: list[Finding] = []
    for group in done:
        out += suspect_findings(group, options)
    for group in done:
        out += yielded_findings(group, options)
    for group in done:
        out += other_findings(group.net, group.verdict.final.state, group.others)
        out += flat_findings(group)
        out += twist_findings(group, options)
        out += tilt_findings(group)
        for face in group.net.faces:
            out += interruption_findings(face, result.face(face.id), options)
    out += loop_findings(result.joins)
    out += unchecked_findings(result)
    if result.freedom and result.chi2 > result.chi2_limit and not result.suspects:
        chi2, limit = Number(result.chi2), Number(result.chi2_limit)
        out.append(Finding.of("survey.coarse", Weight.WARN, (), chi2=chi2, limit=limit))
    return tuple(out)


def unchecked_findings(result: Survey) -> tuple[Finding, ...]:
    """Return one note for each face, or one for all faces of which the same is to be said."""
    notes = (Finding("survey.unchecked", where=("faces", u.face), facts=u.said.facts) for u in result.unchecked)
    alike: dict[Facts, list[Finding]] = {}
    for note in notes:
        alike.setdefault(tuple(fact for fact in note.facts if fact[0] != "face"), []).append(note)
    return tuple(replace(same[0], facts=_with_faces(same)) if len(same) > 1 else same[0] for same in alike.values())


def _with_faces(same: Sequence[Finding]) -> Facts:
    faces = Listed(tuple(face for note in same if (face := note.fact("face")) is not None), "and", 3)
    return tuple((name, faces if name == "face" else fact) for name, fact in same[0].facts)


def flat_findings(group: Group) -> tuple[Finding, ...]:
    """Return a note for each face with corners on a line, which lengths hold only loosely sideways."""
    net, result = group.net, group.verdict.reliability
    out = []
    for f, face in enumerate(net.faces):
        cols = net.free[net.corners_of(f), :2]
        spread: dict[str, float] = {}
        for direction in result.loose.T:
            for c, name in enumerate(face.corners):
                held = cols[c][cols[c] >= 0]
                if held.size and float(np.abs(direction[held]).max()) > 0.3:
                    own = math.sqrt(float(np.trace(result.covariance[np.ix_(held, held)])))
                    spread[name] = max(spread.get(name, 0.0), own)
        if spread:
            facts: dict[str, Fact] = {"corners": names(spread), "sideways": Length(max(spread.values()))}
            out.append(Finding.of("survey.flat", Weight.WARN, ("faces", face.id), face=FaceRef(face.id), **facts))
    return tuple(out)


def tilt_findings(group: Group) -> tuple[Finding, ...]:
    """Return a warning for each face that folds up to another tilt than the one stated."""
    if len(group.net.faces) < 2:
        return ()
    out = []
    for face, pose in zip(group.net.faces, poses(group), strict=True):
        found = tilt_of(pose, overhead=face.overhead)
        if abs(found - face.tilt) > TILTED:
            facts: dict[str, Fact] = {"stated": Angle(face.tilt), "tilt": Angle(found)}
            where = ("faces", face.id, "tilt")
            out.append(Finding.of("survey.tilt", Weight.WARN, where, face=FaceRef(face.id), **facts))
    return tuple(out)


def tilt_of(pose: Pose, *, overhead: bool) -> float:
    """Return the tilt of a face from level: 0 floor or ceiling, pi/2 plumb, above pi/2 leaning over. [rad]"""
    down = float(pose.turn[2, 2])
    return math.acos(min(1.0, max(-1.0, -down if overhead else down)))


def loop_findings(joins: Sequence[JoinCheck]) -> tuple[Finding, ...]:
    """Return a note for each join that closes a loop badly with the angles as stated."""
    return tuple(
        Finding("survey.loop", where=("joins", join.name), facts=join.said.facts)
        for join in joins
        if join.closing_error > GAPED and join.said is not None
    )
