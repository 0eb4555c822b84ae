"""What else the survey has to say: flat shapes, loops that do not close, tilts that differ, loose interruptions."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.survey import words
from snugbay.survey.charges import suspect_findings
from snugbay.survey.doubts import doubt_findings
from snugbay.survey.fold import Pose
from snugbay.survey.interruptions import interruption_findings
from snugbay.survey.options import SurveyOptions
from snugbay.survey.others import other_findings
from snugbay.survey.results import Group, poses
from snugbay.survey.twist import twist_findings
from snugbay.survey.values import JoinCheck, Survey

TILTED = math.radians(5.0)
"""A face that comes out farther than this from its stated tilt is told. [rad]"""
GAPED = 0.005
"""A loop that closes worse than this is told. [m]"""


def all_findings(result: Survey, done: Sequence[Group], options: SurveyOptions) -> tuple[Finding, ...]:
    """Return the findings of a survey, suspects first."""
    out: list[Finding] = list(doubt_findings(result.doubts))
    for group in done:
        out += suspect_findings(group, options)
    for group in done:
        out += other_findings(group.net, group.verdict.final.state, group.others, options)
        out += flat_findings(group, options)
        out += twist_findings(group, options)
        out += tilt_findings(group, options)
        for face in group.net.faces:
            out += interruption_findings(face, result.face(face.id), options)
    out += loop_findings(result.joins)
    out += unchecked_findings(result)
    if result.freedom and result.chi2 > result.chi2_limit and not result.suspects and not result.doubts:
        text = (
            f"The readings disagree more than their stated precision allows (chi-square {result.chi2:.1f}, limit "
            f"{result.chi2_limit:.1f}), but no single one stands out: the tape may be coarser than stated."
        )
        out.append(Finding("survey.coarse", text, Weight.WARN))
    return tuple(out)


def unchecked_findings(result: Survey) -> tuple[Finding, ...]:
    """Return one note for each face, or one for all faces of which the same is to be said."""
    alike: dict[str, list[str]] = {}
    for u in result.unchecked:
        alike.setdefault(u.text.removeprefix(f"{u.face}: "), []).append(u.face)
    out = []
    for said, faces in alike.items():
        who = words.listed(faces) if len(faces) < 4 else f"{faces[0]} and {len(faces) - 1} others like it"
        out.append(Finding("survey.unchecked", f"{who}: {said}", Weight.NOTE, ("faces", faces[0])))
    return tuple(out)


def flat_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
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
            worst = max(spread.values())
            text = (
                f"{face.id}: corners lie on a line as far as the lengths tell; how far "
                f"{words.listed(list(spread))} stands off it is only known to about {options.format_length(worst)}. "
                "Measure square to the line instead."
            )
            numbers = {"sideways_m": worst}
            out.append(Finding("survey.flat", text, Weight.WARN, ("faces", face.id), numbers=numbers))
    return tuple(out)


def tilt_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return a warning for each face that folds up to another tilt than the one stated."""
    if len(group.net.faces) < 2:
        return ()
    out = []
    for face, pose in zip(group.net.faces, poses(group), strict=True):
        found = tilt_of(pose, overhead=face.overhead)
        if abs(found - face.tilt) > TILTED:
            text = (
                f"{face.id} is stated to tilt {options.format_angle(face.tilt)}, but its joins put it at "
                f"{options.format_angle(found)}. Check the angles of its joins, or its tilt."
            )
            where = ("faces", face.id, "tilt")
            out.append(Finding("survey.tilt", text, Weight.WARN, where, numbers={"tilt_rad": found}))
    return tuple(out)


def tilt_of(pose: Pose, *, overhead: bool) -> float:
    """Return the tilt of a face from level: 0 floor or ceiling, pi/2 plumb, above pi/2 leaning over. [rad]"""
    down = float(pose.turn[2, 2])
    return math.acos(min(1.0, max(-1.0, -down if overhead else down)))


def loop_findings(joins: Sequence[JoinCheck]) -> tuple[Finding, ...]:
    """Return a note for each join that closes a loop badly with the angles as stated."""
    out = []
    for join in joins:
        if join.closing_error > GAPED:
            where = ("joins", join.name)
            numbers = {"closing_m": join.closing_error}
            out.append(Finding("survey.loop", join.text, Weight.NOTE, where, numbers=numbers))
    return tuple(out)
