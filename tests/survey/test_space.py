"""Faces folded up along joins, loops closed, tilts, frames; and what does not change when the input is turned about."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from tests.said import said

from snugbay.base import Run, Stopped
from snugbay.job import Face, Join, Part, Reading, ReadingKind
from snugbay.job.outlines import rectangle
from snugbay.job.shorthands import Expanded, dormer_cheek, knee_wall_run, niche_box, rim_joist_row
from snugbay.survey import AdjustedFace, Survey, SurveyOptions, adjust
from snugbay.survey.network import groups, lay_out
from snugbay.survey.practice import bare_face, diagonals, outline, random_face, read, sides
from snugbay.survey.results import free_covariance

OPTIONS = SurveyOptions()
W, H, D = 0.9, 1.2, 0.6


def corner(face: AdjustedFace, name: str) -> np.ndarray:
    assert face.frame is not None
    x, y = face.point(name)
    f = face.frame
    return np.array(f.origin) + x * np.array(f.ex) + y * np.array(f.ey)


def box(**more: float) -> Expanded:
    return niche_box(
        id="N", width=W, height=H, depth=D, warm="i", cold="e", more={k.replace("_", " "): v for k, v in more.items()}
    )


def test_a_box_folds_up_into_a_box() -> None:
    found = adjust(box().faces, box().joins, OPTIONS, Run()).value
    ends = [corner(f, c) for f in found.faces for c in f.corners]
    middle = (np.min(ends, axis=0) + np.max(ends, axis=0)) / 2
    reach = {"N-back": D / 2, "N-left": W / 2, "N-right": W / 2, "N-top": H / 2, "N-bottom": H / 2}
    for face in found.faces:
        frame = face.frame
        assert frame is not None
        ex, ey, normal = (np.array(v) for v in (frame.ex, frame.ey, frame.normal))
        assert np.cross(ex, ey) == pytest.approx(normal)
        own = np.mean([corner(face, c) for c in face.corners], axis=0)
        # boards go on the outside, so every normal points away from the middle
        assert (own - middle) @ normal == pytest.approx(reach[face.id])
    up = {f.id: f.frame.normal[2] for f in found.faces if f.frame is not None}
    assert up["N-top"] == pytest.approx(1.0)
    assert up["N-bottom"] == pytest.approx(-1.0)
    assert up["N-back"] == pytest.approx(0.0, abs=1e-9)
    for join in box().joins:
        a, b = found.face(join.a), found.face(join.b)
        assert corner(a, join.edge_a[0]) == pytest.approx(corner(b, join.edge_b[1]), abs=1e-9)
        assert corner(a, join.edge_a[1]) == pytest.approx(corner(b, join.edge_b[0]), abs=1e-9)


def test_a_length_read_once_does_not_check_itself() -> None:
    """Width, height and depth are each one reading; the joins hand them on, and nothing checks width or height."""
    found = adjust(box().faces, box().joins, OPTIONS, Run()).value
    back = found.face("N-back")
    taped = {r.reading.name: r.redundancy for r in back.readings if r.reading.instrument == "tape"}
    assert set(taped) == {"A-B", "D-A"}
    assert max(taped.values()) < 0.01
    assert sum(u.face == "N-back" for u in found.unchecked) == 1


def test_a_wrong_depth_on_one_side_is_found_through_the_box() -> None:
    """Depths read on both sides, top and bottom diagonals: one depth 40 mm out has no redundancy on its own face."""
    more = {
        "back_B-C": H, "back_C-D": W, "back_A-C": math.hypot(W, H), "left_C-D": D, "left_A-C": math.hypot(D, H),
        "right_A-B": D + 0.04, "right_C-D": D, "right_A-C": math.hypot(D, H), "top_A-C": math.hypot(W, D),
        "bottom_A-C": math.hypot(W, D), "bottom_B-C": D, "top_B-C": D,
    }  # fmt: skip
    expanded = box(**more)
    found = adjust(expanded.faces, expanded.joins, OPTIONS, Run()).value
    tapes = [s for s in found.suspects if "square" not in s.readings[0]]
    assert [(s.face, s.readings) for s in tapes] == [("N-right", ("A-B",))]
    assert tapes[0].error == pytest.approx(0.04, abs=0.003)


def test_the_loop_of_a_room_closes_and_a_wrong_corner_is_told() -> None:
    """A floor and four walls whose base lengths are all read; one corner of the room is stated 8 degrees wrong."""
    floor = replace(bare_face("floor", 4), part=Part.FLOOR, tilt=0.0, readings=rectangle(
        4.0, 3.0, by_eye=False, more={"B-C": 3.0, "C-D": 4.0, "A-C": 5.0, "B-D": 5.0}).readings)  # fmt: skip
    walls, joins = [], []
    edges = (("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"))
    for k, (edge, length) in enumerate(zip(edges, (4.0, 3.0, 4.0, 3.0), strict=True)):
        shape = rectangle(length, 2.0, by_eye=False, more={"B-C": 2.0, "C-D": length, "A-C": math.hypot(length, 2.0)})
        walls.append(replace(bare_face(f"W{k}", 4), readings=shape.readings))
        joins.append(Join("floor", edge, f"W{k}", ("A", "B"), math.pi / 2, name=f"foot {k}"))
        joins.append(Join(f"W{k}", ("D", "A"), f"W{(k + 1) % 4}", ("B", "C"), math.pi / 2, name=f"corner {k}"))
    whole = adjust([floor, *walls], joins, OPTIONS, Run()).value
    assert max(j.closing_error for j in whole.joins) < 1e-6
    assert sum(said(j).count("the loop over") for j in whole.joins) == len(joins) - len(walls)
    crooked = [replace(j, opening=j.opening + math.radians(8.0)) if j.name == "corner 1" else j for j in joins]
    outcome = adjust([floor, *walls], crooked, OPTIONS, Run())
    told = [said(f) for f in outcome.findings if f.code == "survey.loop"]
    assert told
    assert any("corner 1" in text or "at this join" in text for text in told)
    # the angle is set aside, the rest of the room closes
    assert outcome.value.face("floor").area == pytest.approx(12.0, abs=1e-3)
    suspect = outcome.value.suspects[0]
    assert suspect.readings == ("angle of corner 1",)
    assert math.degrees(suspect.error) == pytest.approx(8.0, abs=0.5)
    assert math.degrees(suspect.should_read[0][1]) == pytest.approx(90.0, abs=0.5)


def test_edges_of_a_join_that_disagree_are_told() -> None:
    run = knee_wall_run(
        id="K", length=4.0, height=1.2, floor=1.0, warm="i", cold="e", more={"floor C-D": 4.05, "floor A-B": 4.0}
    )
    found = adjust(run.faces, run.joins, OPTIONS, Run()).value
    assert found.suspects
    assert any("C-D" in s.readings for s in found.suspects)


def test_faces_no_join_reaches_are_set_apart() -> None:
    row = rim_joist_row(id="R", widths=[(0.37, 5)], height=0.24, warm="i", cold="o")
    found = adjust(row.faces, row.joins, OPTIONS, Run()).value
    spans = sorted((corner(f, "A")[0], corner(f, "B")[0]) for f in found.faces)
    assert all(b[0] - a[1] > 0.4 for a, b in itertools.pairwise(spans))


def test_a_plumb_reading_turns_the_face() -> None:
    """A cheek's front edge leans 3 degrees clockwise; its frame keeps y up, so the edge leans in space too."""
    lean = math.radians(3.0)
    cheek = dormer_cheek(
        id="D", front=1.0, top=1.5, rake=math.hypot(1.0, 1.5), warm="i", cold="o", more={"A-C lean": lean}
    ).faces[0]
    sure = replace(cheek, readings=tuple(replace(r, sigma=1e-4) if r.value == lean else r for r in cheek.readings))
    face = adjust([sure], (), OPTIONS, Run()).value.faces[0]
    a, c = face.point("A"), face.point("C")
    assert math.atan2(c[0] - a[0], c[1] - a[1]) == pytest.approx(lean, abs=1e-4)
    edge = corner(face, "C") - corner(face, "A")
    assert math.asin(edge[2] / np.linalg.norm(edge)) == pytest.approx(math.pi / 2 - lean, abs=1e-4)


def test_a_plumb_reading_on_one_wall_tilts_the_wall_beside_it() -> None:
    """Two walls at a right angle: the second one's edge leans 4 degrees in its plane, so the first leans forward."""
    walls, lean = [], math.radians(4.0)
    for k, plumb in enumerate((0.0, lean)):
        shape = rectangle(2.0, 1.0, by_eye=False, more={"B-C": 1.0, "C-D": 2.0, "A-C": math.hypot(2, 1)})
        edge = ("B", "C") if k == 0 else ("A", "D")
        plumbs = tuple(Reading(ReadingKind.LEAN, edge, plumb, math.radians(0.1), name=f"plumb {n}") for n in (1, 2))
        walls.append(replace(bare_face(f"W{k}", 4), readings=shape.readings + plumbs))
    corner_join = Join("W0", ("B", "C"), "W1", ("D", "A"), math.pi / 2)
    assert lay_out(walls, [corner_join], OPTIONS).spatial
    found = adjust(walls, [corner_join], OPTIONS, Run()).value
    first = found.face("W0").frame
    assert first is not None
    assert abs(math.asin(first.normal[2])) == pytest.approx(lean, abs=math.radians(0.1))
    # the stated tilt, known to two degrees, is out by two standard deviations
    assert found.chi2 == pytest.approx((lean / OPTIONS.tilt_sigma) ** 2, rel=0.05)


def test_a_tilt_that_the_joins_contradict_is_told() -> None:
    run = knee_wall_run(id="K", length=4.0, height=1.2, floor=1.0, warm="i", cold="e")
    faces = [replace(f, tilt=0.3) if f.part is Part.FLOOR else f for f in run.faces]
    outcome = adjust(faces, run.joins, OPTIONS, Run())
    finding = next(f for f in outcome.findings if f.code == "survey.tilt")
    assert finding.where == ("faces", "K-floor", "tilt")
    assert finding.figure("tilt") == pytest.approx(0.0, abs=1e-6)


def summary(survey: Survey, face_id: str) -> tuple[np.ndarray, np.ndarray, float]:
    face = survey.face(face_id)
    order = np.argsort([r.reading.name for r in face.readings])
    figures = np.array([[r.adjusted, r.redundancy, r.w] for r in face.readings])[order]
    Q = free_covariance(face)
    spread = {c: Q[2 * i, 2 * i] + Q[2 * i + 1, 2 * i + 1] for i, c in enumerate(face.corners)}
    return figures, np.array([spread[c] for c in sorted(spread)]), face.area


@pytest.mark.parametrize("seed", range(4))
def test_rigid_motions_of_the_input_change_nothing(seed: int) -> None:
    """The true outline turned and moved anyhow before it is read, and another corner named first."""
    rng = np.random.default_rng(seed)
    made = random_face(rng, int(rng.integers(4, 8)), OPTIONS, spare=3, rough=0.2)
    base = summary(adjust([made.face], (), OPTIONS, Run()).value, "P1")
    turn = rng.uniform(0, 2 * np.pi)
    R = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    moved = made.truth @ R.T + rng.uniform(-50, 50, 2)
    what = [(r.kind, r.corners) for r in made.face.readings]
    exact = read(bare_face("P1", len(moved)), moved, what, None).face.readings
    noise = [r.value - e for r, e in zip(made.face.readings, made.exact, strict=True)]
    again = tuple(replace(r, value=r.value + n) for r, n in zip(exact, noise, strict=True))
    shift = int(rng.integers(1, len(moved)))
    corners = made.face.corners[shift:] + made.face.corners[:shift]
    for face in (replace(made.face, readings=again), replace(made.face, corners=corners)):
        other = summary(adjust([face], (), OPTIONS, Run()).value, "P1")
        assert other[0] == pytest.approx(base[0], abs=1e-6)
        assert other[1] == pytest.approx(base[1], rel=1e-3, abs=1e-12)
        assert other[2] == pytest.approx(base[2], abs=1e-7)


def shuffled(faces: Sequence[Face], joins: Sequence[Join], rng: np.random.Generator) -> tuple[list[Face], list[Join]]:
    swapped = [
        Join(j.b, j.edge_b, j.a, j.edge_a, j.opening, j.runs_past, j.sigma, j.name) if rng.uniform() < 0.5 else j
        for j in joins
    ]
    return [faces[i] for i in rng.permutation(len(faces))], [swapped[i] for i in rng.permutation(len(swapped))]


def test_the_order_of_faces_and_joins_changes_nothing() -> None:
    rng = np.random.default_rng(1)
    expanded = box(**{"back_B-C": H, "back_A-C": 1.502, "left_A-C": 1.341, "right_A-B": 0.601, "top_A-C": 1.083})
    base = adjust(expanded.faces, expanded.joins, OPTIONS, Run()).value
    faces, joins = shuffled(expanded.faces, expanded.joins, rng)
    other = adjust(faces, joins, OPTIONS, Run()).value
    assert other.chi2 == pytest.approx(base.chi2, rel=1e-6)
    assert other.freedom == base.freedom
    for face in base.faces:
        mine, theirs = summary(base, face.id), summary(other, face.id)
        assert theirs[0] == pytest.approx(mine[0], abs=2e-5)
        assert theirs[2] == pytest.approx(mine[2], abs=1e-7)


def test_the_same_seed_gives_the_same_answer() -> None:
    made = random_face(np.random.default_rng(3), 15, OPTIONS, spare=2, rough=0.4)
    one, two = (adjust([made.face], (), OPTIONS, Run(seed=5)) for _ in range(2))
    assert one == two


def test_groups_are_faces_that_joins_hold_together() -> None:
    faces = [bare_face(n, 4) for n in "abcde"]
    joins = [Join("b", ("A", "B"), "d", ("A", "B"), 1.0), Join("d", ("B", "C"), "e", ("A", "B"), 1.0)]
    assert groups(faces, joins) == ((0,), (1, 3, 4), (2,))


def test_progress_is_reported_and_a_stop_is_heeded() -> None:
    told: list[float] = []
    faces = [
        read(
            bare_face(f"F{k}", 5),
            outline(np.random.default_rng(k), 5),
            sides(bare_face("", 5)) + diagonals(bare_face("", 5)),
            None,
        ).face
        for k in range(3)
    ]
    adjust(faces, (), OPTIONS, Run(progress=lambda _, share: told.append(share)))
    assert told == sorted(told)
    assert told[-1] == 1.0
    with pytest.raises(Stopped):
        adjust(faces, (), OPTIONS, Run(stop=lambda: True))
