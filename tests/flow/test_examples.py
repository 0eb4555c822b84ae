"""The four households planned: what wins differs, and every plan holds together."""

from __future__ import annotations

import json
from functools import cache

import pytest
from shapely.geometry import Polygon

from snugbay.base import Effort, Run
from snugbay.document import EXAMPLES, example, read
from snugbay.document.answers import plan_answer, to_json
from snugbay.flow import JobPlan, whole_job

COTTAGE, OTHERS = pytest.mark.xdist_group("cottage"), pytest.mark.xdist_group("others")
HOUSEHOLDS = [pytest.param(n, marks=COTTAGE if n == "ferry-cottage" else OTHERS) for n in EXAMPLES]


@cache
def planned(name: str) -> JobPlan:
    return whole_job(read(example(name)), Run(seed=1, effort=Effort.QUICK)).value


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_every_example_is_planned(name: str) -> None:
    plan = planned(name)
    assert plan.finished
    assert plan.weighing.gap <= 1e-6
    assert plan.cautions[0].weight.value == "stop"
    assert plan.fitting.steps
    assert plan.buying


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_steps_use_what_is_laid_and_what_the_list_buys(name: str) -> None:
    plan = planned(name)
    listed = {p.item: p for p in plan.buying}
    used: dict[str, float] = {}
    for step in plan.fitting.steps:
        for item, amount in step.uses:
            used[item] = used.get(item, 0.0) + amount
    assert set(used) <= set(listed)
    whole = [s.material for s in plan.sheets.sheets if s.source in ("new", "on hand")]
    for material in set(whole):
        assert used[material] == pytest.approx(whole.count(material))
    for item, amount in used.items():
        assert amount <= (listed[item].units + listed[item].on_hand) * (1 + 1e-6), item


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_pieces_lie_in_their_faces(name: str) -> None:
    """Independent check: no piece sticks out of its face by more than the boards that meet it at corners are thick."""
    plan = planned(name)
    for piece in plan.pieces.pieces:
        face = Polygon(plan.survey.face(piece.face).points)
        corner = max((e.gap for e in piece.edges), default=0.0) + 4 * piece.thickness
        assert Polygon(piece.outline).within(face.buffer(corner, join_style="mitre")), piece.id


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_pieces_of_a_layer_do_not_overlap(name: str) -> None:
    plan = planned(name)
    layers: dict[tuple[str, int], list[Polygon]] = {}
    for piece in plan.pieces.pieces:
        layers.setdefault((piece.face, piece.layer), []).append(Polygon(piece.outline, piece.holes))
    for shapes in layers.values():
        for i, a in enumerate(shapes):
            assert all(a.intersection(b).area < 1e-7 for b in shapes[i + 1 :])


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_the_proof_in_solids_holds(name: str) -> None:
    proof = planned(name).pieces.proof
    assert proof is not None
    assert proof.overlaps == 0
    assert proof.all_pass_the_way_in
    if planned(name).pieces.pieces:
        assert proof.coverage > 0.9


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_every_piece_is_laid_once_and_inside_its_sheet(name: str) -> None:
    plan = planned(name)
    laid = [p.piece for s in plan.sheets.sheets for p in s.placements]
    assert sorted(laid) == sorted(p.id for p in plan.pieces.pieces)
    for sheet in plan.sheets.sheets:
        shapes = [Polygon(p.outline) for p in sheet.placements]
        board = Polygon([(0, 0), (sheet.length, 0), (sheet.length, sheet.width), (0, sheet.width)]).buffer(1e-6)
        assert all(s.within(board) for s in shapes)
        assert all(a.intersection(b).area < 1e-8 for i, a in enumerate(shapes) for b in shapes[i + 1 :])


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_what_is_bought_covers_what_is_laid(name: str) -> None:
    plan = planned(name)
    new: dict[str, int] = {}
    for sheet in plan.sheets.sheets:
        if sheet.source == "new":
            new[sheet.material] = new.get(sheet.material, 0) + 1
    bought = {p.item: p.units for p in plan.buying}
    assert all(bought[key] == count for key, count in new.items())


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_every_piece_is_put_in_once_and_every_guard_is_a_caution(name: str) -> None:
    plan = planned(name)
    steps = plan.fitting.steps
    fitted = [p for s in steps for p in s.pieces]
    assert sorted(fitted) == sorted(p.id for p in plan.pieces.pieces)
    codes = {c.code for c in plan.cautions}
    assert all(set(s.cautions) <= codes for s in steps)
    guarded = {code for s in steps for code in s.cautions}
    assert {c.code for c in plan.cautions if c.weight.value == "stop"} <= guarded
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))


@OTHERS
def test_forty_four_pockets_are_one_step() -> None:
    steps = planned("bakery-rim").fitting.steps
    assert len(steps) < 12
    named = [s.title for s in steps if "R1-01 to R1-22, R2-01 to R2-22" in s.title]
    assert len([t for t in named if not t.endswith("before")]) == 1


@OTHERS
def test_what_wins_differs() -> None:
    ways = {n: {w.split("/")[0] for _, w in planned(n).weighing.plan.ways if w != "as-found"} for n in EXAMPLES}
    assert planned("ferry-cottage").weighing.plan.inside == ("eaves-n",)
    assert all(w.startswith("boards") for w in ways["mill-cellar"])
    assert ways["bakery-rim"] == {"kit"}
    assert len(ways["chapel-dormers"]) > 1


@OTHERS
def test_the_cellar_is_won_by_boards_and_not_by_a_hair() -> None:
    weighing = planned("mill-cellar").weighing
    others = [p.whole_cost for way, p in weighing.single_way if not way.startswith("boards")]
    assert others
    assert weighing.plan.whole_cost < 0.85 * min(others)


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_the_printed_order_is_the_proved_one(name: str) -> None:
    """Boards as the proof's order has them; plugs wait for the end."""
    plan = planned(name)
    proof = plan.pieces.proof
    assert proof is not None
    plugs = {p.id for p in plan.pieces.pieces if p.kind.value == "plug"}
    printed = [label for step in plan.fitting.steps for label in step.pieces]
    assert [label for label in printed if label not in plugs] == [label for label in proof.order if label not in plugs]
    assert printed[len(printed) - len(plugs) :] == [label for label in printed if label in plugs]
    assert all(f in plan.findings for f in proof.findings)


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_a_plan_looks_ahead_and_says_so_in_its_file(name: str) -> None:
    """Three years of what is built, or which faces had nothing to judge; told in plan.json and in the booklet."""
    plan = planned(name)
    ahead = plan.afterwards
    assert ahead is not None
    assert ahead.finished
    assert ahead.build_ups
    written = json.loads(to_json(plan_answer(plan)))["afterwards"]
    assert [b["verdict"] for b in written["build_ups"]] == [b.verdict for b in ahead.build_ups]
    assert "VTT" in written["build_ups"][0]["mould_model"]
    assert {f.code for f in ahead.findings} <= {f.code for f in plan.findings}
