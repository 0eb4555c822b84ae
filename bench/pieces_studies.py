"""Studies of the pieces at full size: corners, boxes, fit, way in, putting in, speed. Run by hand:

    python -m bench.pieces_studies corners|boxes|fit|way|put|speed [count] [seed]

Each prints its figures; none is a test.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import hypothesis
import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
from tests.pieces.carrying import sampled_pass
from tests.pieces.fitting import share_that_goes_in
from tests.pieces.rooms import Array, room, wall
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
from snugbay.job import Access
from snugbay.pieces import BoardChoice, Fitting, make_pieces, pieces_that_go_in, prove_in_solids
from snugbay.pieces.going_in import NO_WAY
from snugbay.pieces.putting_in import as_manifold, frames_of
from snugbay.pieces.wayin import can_pass


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


STUDIES = {
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
