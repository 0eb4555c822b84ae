"""A box and the opening that it fills belong together; nothing passes through a face where it is open."""

from __future__ import annotations

import pytest
from tests.said import said
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import InputError, Run, Weight
from snugbay.document import read
from snugbay.flow.checks import check_places
from snugbay.job import Job
from snugbay.pieces import BoardChoice, Fitting, make_pieces, prove_in_solids
from snugbay.survey import survey

COTTAGE = COTTAGE_BY_FACES
TIED = 'fills = ["K1", "bookcase niche"]\n'
HOLE = (
    'holes = [{{ name = "chimney", hot_thing = "masonry chimney", x = "{x}", y = "{y}", width = "8", height = "8" }}]'
)


def cottage(text: str, x: str = "", y: str = "") -> Job:
    """Return the cottage, with a chimney through its knee wall where a place for it is given."""
    if x:
        at = text.index('name = "bookcase niche"')
        start = text.rindex("openings", 0, at)
        text = text[:start] + HOLE.format(x=x, y=y) + "\n" + text[start:]
    return read(text)


def test_a_box_that_is_tied_to_its_opening_is_not_asked_for() -> None:
    assert not [f for f in survey(cottage(COTTAGE), Run()).findings if f.code == "survey.untied"]


def test_a_box_tied_to_no_opening_is_told_with_the_line_to_add() -> None:
    (found,) = (f for f in survey(cottage(COTTAGE.replace(TIED, "")), Run()).findings if f.code == "survey.untied")
    assert found.weight is Weight.WARN
    assert TIED.strip() in said(found)
    assert found.where == ("shapes", "B1")


@pytest.mark.parametrize(("gap_in", "near"), [(0.5, True), (3.5, True), (6.0, False)])
@pytest.mark.parametrize("tied", [True, False])
def test_boards_of_a_box_keep_off_a_chimney_beside_its_opening_tied_or_not(
    gap_in: float, near: bool, tied: bool
) -> None:
    """Bricks ask for 2 in (table of hot things); the box carries 2 in of boards, so that 4 in are needed."""
    plain = cottage(COTTAGE)
    niche = next(o for o in plain.face("K1").openings if o.name == "bookcase niche")
    right = niche.x + niche.width + (gap_in + 4.0) * 0.0254
    text = COTTAGE if tied else COTTAGE.replace(TIED, "")
    job = cottage(text, f"{right * 1000:.1f} mm", f"{(niche.y + niche.height / 2) * 1000:.1f} mm")
    taped = survey(job, Run()).value
    layers = ((0.0508, Fitting.ON_FACE),)
    choices = tuple(BoardChoice(f, "polyiso-2in", layers, 1.2192, 2.4384) for f in ("B1-right", "B1-left"))
    made = make_pieces(job, taped, choices, Run()).value
    found = [
        f
        for f in prove_in_solids(job, taped, made, Run()).findings
        if f.code in ("pieces.hot-near", "pieces.hot-box-near")
    ]
    assert bool(found) is near
    assert all(f.weight is Weight.STOP for f in found)


@pytest.mark.parametrize(("gap_in", "weight"), [(0.5, Weight.STOP), (3.5, Weight.WARN), (8.0, None)])
@pytest.mark.parametrize("tied", [True, False])
def test_a_box_too_near_to_a_chimney_is_told_whatever_insulates_it(
    gap_in: float, weight: Weight | None, tied: bool
) -> None:
    """Wool and sprayed foam have no pieces to be judged; bricks ask for 2 in."""
    niche = next(o for o in cottage(COTTAGE).face("K1").openings if o.name == "bookcase niche")
    right = niche.x + niche.width + (gap_in + 4.0) * 0.0254
    text = COTTAGE if tied else COTTAGE.replace(TIED, "")
    job = cottage(text, f"{right * 1000:.1f} mm", f"{(niche.y + niche.height / 2) * 1000:.1f} mm")
    found = [f for f in survey(job, Run()).findings if f.code == "survey.hot-box" and "Box B1" in said(f)]
    assert [f.weight for f in found] == ([weight] if weight else [])
    assert all(f.figure("apart") == pytest.approx(gap_in * 0.0254, abs=1e-4) for f in found)


@pytest.mark.parametrize(("along", "up", "refused"), [(0.5, 0.5, True), (1.05, 0.5, True), (1.2, 0.5, False)])
def test_a_hole_in_an_opening_is_refused(along: float, up: float, refused: bool) -> None:
    niche = next(o for o in cottage(COTTAGE).face("K1").openings if o.name == "bookcase niche")
    x, y = niche.x + along * niche.width, niche.y + up * niche.height
    job = cottage(COTTAGE, f"{x * 1000:.1f} mm", f"{y * 1000:.1f} mm")
    taped = survey(job, Run())
    if not refused:
        check_places(job, taped.value, taped.findings)
        return
    with pytest.raises(InputError, match="lies in the opening") as caught:
        check_places(job, taped.value, taped.findings)
    assert caught.value.where == ("faces", "K1", "holes", "chimney")
