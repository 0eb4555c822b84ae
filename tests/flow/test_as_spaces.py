"""Examples told as spaces: a third of the lines, and the same pieces as face by face and join by join."""

from __future__ import annotations

from pathlib import Path

import pytest

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.job import Job
from snugbay.pieces import BoardChoice, Fitting, Piece, pieces_that_go_in
from snugbay.survey import survey
from snugbay.survey.needed import needed
from snugbay.tape import tape_for

BY_FACES = Path(__file__).parent / "documents"
RUN = Run(1, Effort.QUICK)
INCH = 0.0254


def pieces(job: Job, faces: tuple[str, ...]) -> dict[str, Piece]:
    taped = survey(job, RUN).value
    choices = tuple(BoardChoice(f, "polyiso-2in", ((2 * INCH, Fitting.ON_FACE),), 48 * INCH, 96 * INCH) for f in faces)
    made = pieces_that_go_in(job, taped, choices, RUN).value
    return {p.id: p for p in made.pieces}


@pytest.fixture(scope="module")
def cottages() -> tuple[Job, Job]:
    return read((BY_FACES / "ferry-by-faces.toml").read_text()), read(example("ferry-cottage"))


def test_the_cottage_is_told_in_fewer_than_sixty_lines() -> None:
    assert len(example("ferry-cottage").splitlines()) < 60


@pytest.mark.parametrize(
    "faces", [("S1", "G1", "P1"), ("K1", "F1", "B1-back", "B1-left", "B1-top", "B2-back", "B2-top")]
)
def test_the_cottage_as_a_space_has_the_same_pieces_to_the_tapes_mark(
    cottages: tuple[Job, Job], faces: tuple[str, ...]
) -> None:
    old, new = (pieces(job, faces) for job in cottages)
    assert old.keys() == new.keys()
    text = tape_for(cottages[0].units).text
    for name, piece in old.items():
        for p, q in zip(piece.outline, new[name].outline, strict=True):
            for a, b in zip(p, q, strict=True):
                # the same mark, or two figures on either side of a mark's edge and less than half a mark apart
                assert text(a) == text(b) or abs(a - b) < INCH / 32, (name, a, b)


def test_nothing_of_the_cottage_is_a_guess(cottages: tuple[Job, Job]) -> None:
    new = cottages[1]
    assert needed(new, survey(new, RUN).value, [f.id for f in new.faces]) == ()
    assert {f.id for f in cottages[0].faces} == {f.id for f in new.faces}


def test_the_rooms_of_both_are_the_same(cottages: tuple[Job, Job]) -> None:
    old, new = cottages
    assert {z.id: z.kind for z in old.zones} == {z.id: z.kind for z in new.zones}
    assert {(h.face, h.opening, h.root) for h in old.hosts} == {(h.face, h.opening, h.root) for h in new.hosts}
    ends = [{frozenset(((j.a, j.edge_a), (j.b, j.edge_b))) for j in job.joins} for job in cottages]
    assert ends[0] == ends[1]
