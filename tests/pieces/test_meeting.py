"""Which joins are mitred and in which order faces are placed, so that no corner is left hollow."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
from tests.pieces.rooms import box_faces, room
from tests.pieces.test_boxes import boards_of, check, random_box
from tests.said import said

from snugbay.base import Run
from snugbay.job import Job
from snugbay.pieces import make_pieces
from snugbay.pieces.meeting import Meeting, meeting_of
from snugbay.pieces.stack import Slab, slabs
from snugbay.survey import Survey


def met(job: Job, survey: Survey, layers: dict[str, tuple[float, ...]]) -> Meeting:
    stacks: dict[str, tuple[Slab, ...]] = {c.face: slabs(job.face(c.face), c) for c in boards_of(layers)}
    return meeting_of(job, survey, stacks)


def triples(job: Job) -> list[tuple[str, str, str]]:
    pairs = {frozenset((j.a, j.b)) for j in job.joins}
    names = sorted({f for p in pairs for f in p})
    return [
        (a, b, c)
        for i, a in enumerate(names)
        for k, b in enumerate(names[i + 1 :], i + 1)
        for c in names[k + 1 :]
        if {frozenset((a, b)), frozenset((b, c)), frozenset((a, c))} <= pairs
    ]


def test_no_third_face_comes_between_two_that_are_mitred() -> None:
    rng = np.random.default_rng(7)
    mitred = 0
    for k in range(150):
        faces, layers, _ = random_box(rng, k % 2 == 0)
        job, survey = room(faces)
        meeting = met(job, survey, layers)
        at = {f: n for n, f in enumerate(meeting.order)}
        mitred += len(meeting.mitres)
        for triple in triples(job):
            here = [p for p in meeting.mitres if p <= set(triple)]
            assert len(here) in (0, 1, 3)
            for pair in here if len(here) == 1 else ():
                (third,) = set(triple) - pair
                a, b = sorted(at[f] for f in pair)
                assert not a < at[third] < b
    assert mitred >= 4


def test_a_corner_that_would_get_two_mitres_and_a_butt_is_filled() -> None:
    """A box from outside of which 88 cm³ once stayed hollow at one corner; our own mitre gives way."""
    rng = np.random.default_rng(2)
    for k in range(330):
        faces, layers, shell = random_box(rng, k % 2 == 0)
    job, survey = room(faces)
    check(job, survey, layers, shell, False)


def test_two_mitres_that_were_asked_for_beside_a_butt_are_reported() -> None:
    faces = box_faces(1.5, 1.2, 1.0, True)
    job, survey = room(faces)
    asked = {frozenset(("top", "front")), frozenset(("front", "left"))}
    joins = tuple(replace(j, runs_past="mitre" if frozenset((j.a, j.b)) in asked else "") for j in job.joins)
    job = replace(job, joins=joins)
    made = make_pieces(job, survey, boards_of(dict.fromkeys(faces, (0.05,))), Run())
    assert any(f.code == "pieces.corner-void" and "front, left and top" in said(f) for f in made.findings)
    assert all(abs(j.opening - 3 * pi / 2) < 1e-9 for j in job.joins)


def test_wishes_that_part_a_mitre_drop_it_when_it_was_our_own() -> None:
    """The user's order puts a third face between two faces that would be mitred."""
    rng = np.random.default_rng(7)
    for k in range(150):
        faces, layers, _ = random_box(rng, k % 2 == 0)
        job, survey = room(faces)
        for pair in met(job, survey, layers).mitres:
            a, b = sorted(pair)
            third = next((set(t) - pair for t in triples(job) if pair <= set(t)), None)
            if third is None:
                continue
            (c,) = third
            first = {frozenset((a, c)): a if k % 2 == 0 else c, frozenset((b, c)): c if k % 2 == 0 else b}
            joins = tuple(replace(j, runs_past=first.get(frozenset((j.a, j.b)), "")) for j in job.joins)
            meeting = met(replace(job, joins=joins), survey, layers)
            at = meeting.order.index
            assert at(a) < at(c) < at(b)
            assert pair not in meeting.mitres
            return
    raise AssertionError("No box with a mitre was drawn.")
