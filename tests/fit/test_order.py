"""Boards are printed in the order in which the proof found them to go in."""

from dataclasses import replace

from snugbay.fit.order import board_runs, keep_off
from snugbay.job import Hole, HotThing, Units
from snugbay.pieces import Edge, EdgeKind, Piece, PieceKind, PieceSet, Proof
from snugbay.survey.practice import bare_face
from snugbay.tape import tape_for

SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


def piece(label: str, face: str, layer: int, kind: PieceKind = PieceKind.BOARD) -> Piece:
    return Piece(label, face, layer, "polyiso-2in", 0.05, SQUARE, (Edge(EdgeKind.FREE),) * 4, kind=kind)


def proof(order: tuple[str, ...]) -> Proof:
    return Proof(len(order), 0, 1.0, 0.01, True, "", order=order)


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


def test_steps_say_what_to_keep_off_and_nothing_of_what_is_cold() -> None:
    flue = Hole("flue", 1.0, 1.0, 0.2, 0.2, hot=True, hot_thing=HotThing.SINGLE_WALL)
    hot = replace(bare_face("S", 4), holes=(flue, Hole("pipe", 0.3, 0.3, 0.05, 0.05)))
    said = keep_off([bare_face("W", 4), hot], tape_for(Units.FT_IN))
    assert said == 'Hot: S, flue (single-wall flue pipe): keep 6" clear; no foam in that gap.'
    assert keep_off([bare_face("W", 4)], tape_for(Units.FT_IN)) == ""
