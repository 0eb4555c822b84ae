"""Boards are printed in the order in which the proof found them to go in."""

from dataclasses import replace
from typing import Any

from tests.booklet.plan_fixture import PLAN

from snugbay.base import Said
from snugbay.fit import Step, fitting_plan
from snugbay.fit.order import board_runs, keep_off
from snugbay.job import Face, Hole, HotThing, Job, Part, Units
from snugbay.materials import Rates
from snugbay.pieces import Edge, EdgeKind, Piece, PieceKind, PieceSet, Proof
from snugbay.survey.practice import bare_face
from snugbay.tape import tape_for
from snugbay.ways import Option

SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


def piece(label: str, face: str, layer: int, kind: PieceKind = PieceKind.BOARD) -> Piece:
    return Piece(label, face, layer, "polyiso-2in", 0.05, SQUARE, (Edge(EdgeKind.FREE),) * 4, kind=kind)


def proof(order: tuple[str, ...]) -> Proof:
    return Proof(len(order), 0, 1.0, 0.01, True, Said.of("pieces.said.no-gaps"), order=order)


MADE = PieceSet(
    (
        piece("A-1a", "A", 1),
        piece("A-1b", "A", 1),
        piece("A-2a", "A", 2),
        piece("A-1c", "A", 1, PieceKind.PLUG),
        piece("B-1a", "B", 1),
        piece("B-2a", "B", 2),
    ),
    (),
    (),
)


def test_layers_of_two_faces_take_turns_where_the_proof_says_so() -> None:
    """Every second layer swaps who runs past: B's second layer goes in before A's."""
    order = ("A-1b", "A-1a", "B-1a", "B-2a", "A-2a", "A-1c")
    runs = board_runs(replace(MADE, proof=proof(order)))
    assert [(r.face, r.layer) for r in runs] == [("A", 1), ("B", 1), ("B", 2), ("A", 2)]
    assert [p.id for r in runs for p in r.pieces] == list(order[:-1])


def test_without_a_proof_the_pieces_stand_as_they_were_made() -> None:
    assert [p.id for r in board_runs(MADE) for p in r.pieces] == ["A-1a", "A-1b", "A-2a", "B-1a", "B-2a"]


def steps_of(*faces: Face, job: Job = PLAN.job, way: str = "loose-fill/cellulose", **more: Any) -> tuple[Step, ...]:
    """K1 boarded with a plug in its hatch, the other faces filled."""
    made = PieceSet((piece("K1-1a", "K1", 1), piece("K1-1h", "K1", 1, PieceKind.PLUG)), (), ())
    ways = (("K1", "boards"), *((f.id, way) for f in faces))
    filled = tuple(Option(f.id, way, "cellulose", True, **more) for f in faces)
    point = replace(PLAN.weighing.plan, ways=ways)
    weighing = replace(PLAN.weighing, plan=point, options=(*PLAN.weighing.options, *filled), face_hours=())
    return fitting_plan(job, weighing, made, (), Rates()).steps


def test_a_plug_goes_in_after_the_last_step_behind_it() -> None:
    titles = [s.title for s in steps_of(PLAN.job.face("N4"))]
    plug = next(i for i, t in enumerate(titles) if t.endswith(": plug"))
    assert plug > next(i for i, t in enumerate(titles) if "cellulose" in t)
    assert titles[plug + 1 :] == ["Check the work and clear up"]


def test_no_crawl_boards_on_joists_that_are_overhead() -> None:
    lying = "\n".join(s.text for s in steps_of())
    assert "over two or more joists" in lying
    floor = replace(PLAN.job.face("K1"), id="F1", part=Part.FLOOR, overhead=True, openings=(), holes=(), notches=())
    below = "\n".join(s.text for s in steps_of(floor, job=replace(PLAN.job, faces=(*PLAN.job.faces, floor))))
    assert "joists" not in below
    assert "on the ground" in below


def test_instructions_that_come_together_are_sentences() -> None:
    text = next(s.text for s in steps_of(PLAN.job.face("N4"), first=("dams at hatches", "helper at the hopper"))
                if s.title.startswith("N4") and s.title.endswith("before"))  # fmt: skip
    assert text == "Dams at hatches. Helper at the hopper."


def test_steps_say_what_to_keep_off_and_nothing_of_what_is_cold() -> None:
    flue = Hole("flue", 1.0, 1.0, 0.2, 0.2, hot=True, hot_thing=HotThing.SINGLE_WALL)
    hot = replace(bare_face("S", 4), holes=(flue, Hole("pipe", 0.3, 0.3, 0.05, 0.05)))
    said = keep_off([bare_face("W", 4), hot], tape_for(Units.FT_IN))
    assert said == 'Hot: S, flue (single-wall flue pipe): keep 6" clear; no foam in that gap.'
    assert keep_off([bare_face("W", 4)], tape_for(Units.FT_IN)) == ""
