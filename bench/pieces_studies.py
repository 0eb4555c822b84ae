"""Studies of the pieces at full size: rows, corners, boxes, fit, way in, putting in, speed. Run by hand:

    python -m bench.pieces_studies rows|corners|boxes|fit|way|put|speed [count] [seed]

Each prints its figures; none is a test.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from math import radians
from typing import Any

import hypothesis
import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
from tests.pieces.carrying import sampled_pass
from tests.pieces.fitting import share_that_goes_in
from tests.pieces.judging import THICK, cut_sigma_of, shares
from tests.pieces.rooms import Array, Corners, adjusted, box_faces, face, job_of, names, room, survey_of, wall
from tests.pieces.test_boxes import (
    PRISM,
    SKEW,
    boarded,
    boards_of,
    most_shared,
    prism_case,
    random_box,
    skew_box_case,
    ungapped,
    wedges,
)
from tests.pieces.test_fit import CUT, SHAPES, bows, one_face
from tests.pieces.test_way_in import random_case, works

from snugbay.base import Run, SnugbayError
from snugbay.job import Access, Framing, Job, Notch, Part
from snugbay.pieces import BoardChoice, Fitting, make_pieces, pieces_that_go_in, prove_in_solids
from snugbay.pieces.going_in import NO_WAY
from snugbay.pieces.putting_in import as_manifold, frames_of
from snugbay.pieces.rates import typical
from snugbay.pieces.wayin import can_pass
from snugbay.survey import JoinCheck, Survey


def corners(count: int, seed: int) -> None:
    """Random boxes: greatest overlap of two pieces, and what the boards, grown by their gaps, leave of the shell."""
    rng = np.random.default_rng(seed)
    worst, left, pieces_made, failed = 0.0, 0.0, 0, 0
    start = time.time()
    for k in range(count):
        inside = k % 2 == 0
        faces, layers, shell = random_box(rng, inside)
        job, survey = room(faces)
        try:
            pieces, solids = boarded(job, survey, layers)
        except SnugbayError as error:
            failed += 1
            print(error)
            continue
        pieces_made += len(pieces)
        worst = max(worst, most_shared(solids))
        frames = frames_of(survey, pieces)
        filled = sum(as_manifold(ungapped(p), frames[p.face]).volume() for p in pieces) * 1e-9
        left = max(left, abs(shell - filled - wedges(pieces)) - 0.2 * wedges(pieces))
    print(f"{count} boxes, {pieces_made} pieces, {failed} refused, {time.time() - start:.0f} s")
    print(f"greatest overlap {worst:.2f} mm3, most volume unaccounted for {left * 1e6:.2f} cm3")


def boxes(count: int, seed: int) -> None:
    """Random convex boxes, and prisms with inner and outer corners, one to three layers: the tests' cases, many."""
    skips = list(HealthCheck)
    deep = settings(
        max_examples=count, deadline=None, database=None, phases=[Phase.generate], suppress_health_check=skips
    )
    for name, case, strategies in (("skew boxes", skew_box_case, SKEW), ("prisms", prism_case, PRISM)):
        start = time.process_time()
        faults: list[str] = []
        done: list[int] = []
        hypothesis.seed(seed)(deep(given(**strategies)(_kept(case, done, faults))))()
        spent = time.process_time() - start
        print(f"{name}: {len(done)} cases, {len(faults)} faults, {spent:.0f} s of processor", flush=True)
        for fault in faults[:20]:
            print("   ", fault, flush=True)


def _kept(case: Callable[..., None], done: list[int], faults: list[str]) -> Callable[..., None]:
    """The case, its faults kept instead of raised."""

    def kept(**drawn: Any) -> None:
        try:
            case(**drawn)
        except (AssertionError, SnugbayError) as error:
            faults.append(f"{type(error).__name__}: {str(error)[:120]} for {drawn}")
        done.append(1)

    return kept


def fit(count: int, seed: int) -> None:
    """Said and seen probability that a piece goes in."""
    for name, points in SHAPES.items():
        for sigma in (0.002, 0.004, 0.008):
            piece, made = one_face(points, sigma, list(range(len(points))))
            covariance = np.array(made.covariance)

            def hole(
                rng: np.random.Generator, points: list[tuple[float, float]] = points, covariance: Array = covariance
            ) -> tuple[Array, Array]:
                draw = rng.multivariate_normal(np.zeros(len(covariance)), covariance).reshape(-1, 2)
                return np.array(points) + draw, bows(np.array(points) + draw, rng)

            seen = share_that_goes_in(hole, np.array(piece.outline), [True] * len(points), CUT, count, seed)
            gap = piece.edges[0].gap * 1000
            print(f"{name:9s} sigma {sigma * 1000:.0f} mm: gap {gap:5.1f} mm, said {piece.fits:.3f}, seen {seen:.3f}")


def way(count: int, seed: int) -> None:
    """Every yes carried out, every second opening deep and over a sill; random motions against every no."""
    rng = np.random.default_rng(seed)
    found: Counter[str] = Counter()
    for number in range(count):
        plate, access = random_case(rng, deep=number % 2 == 1)
        motion = can_pass(*plate, access)
        if motion is not None:
            found["yes"] += 1
            found["false yes"] += not works(plate, access, motion)
            continue
        found["no"] += 1
        less = {n: getattr(access, n) - 0.01 for n in ("width", "height", "clear_run", "clear_height")}
        loose = replace(access, **less)
        opening, space = (loose.width, loose.height), (loose.clear_run, loose.clear_height)
        if sampled_pass(plate, opening, space, 600, rng, sill=loose.sill, deep=loose.wall_thickness):
            kind = "a deep" if loose.wall_thickness else "a thin"
            found[f"no, but a random turning motion passes {kind} opening with 1 cm of play"] += 1
    print(dict(found))


def put(count: int, seed: int) -> None:
    """Random boxes from inside: whether every board of the plan goes in along the order of the proof."""
    rng = np.random.default_rng(seed)
    found: Counter[str] = Counter()
    start = time.process_time()
    for _ in range(count):
        faces, layers, _ = random_box(rng, True)
        job, survey = room(faces)
        choices = boards_of(layers)
        try:
            made = pieces_that_go_in(job, survey, choices, Run()).value
        except SnugbayError:
            found["boxes refused"] += 1
            continue
        proof = prove_in_solids(job, survey, made, Run())
        stuck = {f.text.split()[6] for f in proof.findings if f.code == "pieces.put-in"}
        found["boards"] += len(made.pieces)
        found["cut from the whole"] += len(made.pieces) - len({(p.face, p.layer) for p in made.pieces})
        for piece in made.pieces:
            said = piece.note != NO_WAY
            seen = piece.id not in stuck
            found[f"said to {'go in' if said else 'stick'}, seen to {'go in' if seen else 'stick'}"] += 1
    print(f"{count} boxes, {time.process_time() - start:.0f} s of processor: {dict(found)}")


def speed(count: int, seed: int) -> None:
    """Processor time of the pieces of one face and of the proof."""
    for width, height, layers in ((2.4, 1.2, 1), (4.3, 1.2, 2), (12.0, 2.4, 2)):
        job, survey = room({"W": wall(width, height)}, sigma=0.002)
        job = replace(job, access=Access(0.56, 0.76, 1.5, 1.0))
        choice = BoardChoice("W", "polyiso-2in", ((0.05, Fitting.ON_FACE),) * layers, 1.22, 2.44)
        made = make_pieces(job, survey, (choice,), Run(seed)).value
        start = time.process_time()
        for _ in range(count):
            make_pieces(job, survey, (choice,), Run(seed))
        middle = time.process_time()
        for _ in range(count):
            prove_in_solids(job, survey, made, Run(seed))
        cutting, proof = (middle - start) / count, (time.process_time() - middle) / count
        size = f"{width:g} x {height:g} m, {layers} layers"
        print(f"{size}: {len(made.pieces)} pieces in {cutting * 1000:.1f} ms, proof {proof * 1000:.1f} ms")


def _flat(points: list[tuple[float, float]], sigma: float, **more: Any) -> tuple[Job, Survey]:
    """One face whose edges all meet rough framing."""
    rim = tuple((names(len(points))[k], names(len(points))[(k + 1) % len(points)]) for k in range(len(points)))
    made = face("N", len(points), rough_edges=rim, **more)
    return job_of([made]), survey_of([adjusted("N", [(x, 0.0, y) for x, y in points], sigma)])


def _room(corners: dict[str, Corners], sigma: float, angle: float) -> tuple[Job, Survey]:
    """Faces that meet at corners whose angles are known to so many degrees."""
    job, taped = room(corners, {"F": Part.FLOOR, "S": Part.SLOPE}, sigma)
    known = tuple(JoinCheck(j.a, j.b, "", 0.0, 0.0, None, j.opening, radians(angle)) for j in job.joins)
    return job, replace(taped, joins=known)


def _eaves(long: float, deep: float, high: float, skew: float) -> dict[str, Corners]:
    """A floor, a knee wall, a slope and two gable triangles, seen from inside."""
    a, b, c = (0.0, 0.0, 0.0), (long, skew, 0.0), (long, deep, 0.0)
    d, e, f = (0.0, deep, 0.0), (0.0, deep, high), (long, deep, high)
    return {"F": [a, b, c, d], "K": [d, c, f, e], "S": [b, a, e, f], "L": [a, d, e], "R": [b, f, c]}


def _rows() -> list[tuple[str, Job, Survey, tuple[float, float], int]]:
    """The rows, faces and jobs of the study: name, job, survey, sheet, layers."""
    frame = Framing(0.6, 0.045, 0.12, "up", 0.3)
    bar, tall = [(0.0, 0.0), (9.0, 0.0), (9.0, 1.2), (0.0, 1.2)], [(0.0, 0.0), (7.0, 0.0), (7.0, 2.2), (0.0, 2.2)]
    square = [(0.0, 0.0), (3.6, 0.0), (3.6, 2.4), (0.0, 2.4)]
    gable = [(0.0, 0.0), (5.0, 0.0), (2.0, 2.5)]
    leaning = [(0.0, 0.0), (6.0, 0.0), (5.0, 2.2), (1.0, 2.0)]
    step = [(0.0, 0.0), (5.0, 0.0), (5.0, 1.0), (3.0, 1.0), (3.0, 2.2), (0.0, 2.2)]
    shed = [(0.0, 0.0), (4.0, 0.0), (4.2, 2.4), (-0.1, 1.2)]
    notch = (Notch("tie", ("A", "B"), 1.7, 0.1, 0.2, sigma=0.003),)
    narrow, usual = (1.22, 1.3), (1.22, 2.44)
    box = {k: v for k, v in box_faces(3.1, 2.2, 2.3, False).items() if k != "top"}
    return [
        ("row of 7", *_flat(bar, 0.002), narrow, 1),
        ("row of 7, loose tape", *_flat(bar, 0.005), narrow, 1),
        ("row of 4", *_flat(bar, 0.003), usual, 1),
        ("row of 2", *_flat([(0.0, 0.0), (2.0, 0.0), (2.0, 1.1), (0.0, 1.1)], 0.003), narrow, 1),
        ("wall of 12, two layers", *_flat(tall, 0.003), usual, 2),
        ("wall", *_flat(square, 0.002), usual, 1),
        ("wall, two layers", *_flat(square, 0.004), usual, 2),
        ("gable", *_flat(gable, 0.003), usual, 1),
        ("gable, loose tape", *_flat(gable, 0.006), usual, 1),
        ("leaning four-sided", *_flat(leaning, 0.003), usual, 1),
        ("step", *_flat(step, 0.003), usual, 1),
        ("shed wall", *_flat(shed, 0.004), usual, 1),
        ("wall with a tie", *_flat(square, 0.003, notches=notch), usual, 1),
        ("open bays", *_flat([(0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)], 0.003, framing=frame), usual, 0),
        ("eaves", *_room(_eaves(4.2, 1.9, 1.3, 0.0), 0.002, 0.2), usual, 1),
        ("eaves of 7 boards", *_room(_eaves(8.2, 1.9, 1.3, 0.1), 0.003, 0.2), narrow, 1),
        ("skew eaves, two layers", *_room(_eaves(3.0, 1.5, 1.1, 0.2), 0.002, 0.3), usual, 2),
        ("low eaves", *_room(_eaves(4.2, 2.4, 0.9, 0.0), 0.003, 0.5), usual, 1),
        ("box", *_room(box, 0.003, 0.3), usual, 1),
        ("box, guessed angles", *_room(box, 0.002, 2.0), usual, 1),
    ]


def rows(count: int, seed: int) -> None:
    """Said and seen: all boards of rows, faces and jobs go in as cut. The judge is `tests.pieces.judging`."""
    cut = cut_sigma_of(typical("cut_sigma_knife"), THICK)
    for name, job, taped, sheet, layers in _rows():
        lies = ((THICK, Fitting.IN_BAYS),) if not layers else ((THICK, Fitting.ON_FACE),) * layers
        choices = tuple(BoardChoice(f.id, "polyiso-2in", lies, *sheet) for f in job.faces)
        try:
            made = make_pieces(job, taped, choices, Run(seed)).value
        except SnugbayError as error:
            print(f"{name:24s} refused: {error}", flush=True)
            continue
        assert made.promise is not None
        seen, faces = shares(job, taped, made, cut, count, seed)
        off = 100 * (made.promise.all_go_in - seen)
        gap = 1000 * max(e.gap for p in made.pieces for e in p.edges)
        each = ""
        if len(faces) > 1:
            for face_id, share in faces.items():
                own = tuple(c for c in choices if c.face == face_id)
                others = tuple(c for c in choices if c.face != face_id)
                promise = make_pieces(job, taped, own, Run(seed), others).value.promise
                assert promise is not None
                each += f" {face_id} {100 * promise.all_go_in:.1f}/{100 * share:.1f}"
        print(
            f"{name:24s} {len(made.pieces):3d} boards, gap {gap:4.1f} mm: said {100 * made.promise.all_go_in:5.1f} %, "
            f"seen {100 * seen:5.1f} %, said minus seen {off:+.1f};{each}",
            flush=True,
        )


STUDIES = {
    "rows": (rows, 500),
    "corners": (corners, 2000),
    "boxes": (boxes, 2000),
    "fit": (fit, 20000),
    "way": (way, 2000),
    "put": (put, 100),
    "speed": (speed, 10),
}

if __name__ == "__main__":
    study, usual = STUDIES[sys.argv[1]]
    study(int(sys.argv[2]) if len(sys.argv) > 2 else usual, int(sys.argv[3]) if len(sys.argv) > 3 else 1)
