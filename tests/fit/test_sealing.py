"""Cans by volume against the trade table's own derived rows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.booklet.plan_fixture import PLAN

from snugbay.fit import cans, sealing
from snugbay.materials import Rates
from snugbay.pieces import EdgeKind, PieceSet, Seam
from snugbay.pieces.plug import _note

FOOT = 0.3048
INCH = 0.0254


def seam(kind: EdgeKind, length: float, width: float, depth: float, face: str = "N1") -> Seam:
    return Seam(face, 1, kind, length, width, depth, ("N1-1a", "rafter"), ((0.0, 0.0), (length, 0.0)))


@pytest.mark.parametrize(
    ("row", "width_in", "depth_in"),
    [("gap 0.5 in x 2 in deep", 0.5, 2), ("gap 0.25 in x 2 in deep", 0.25, 2), ("gap 1.0 in x 1 in deep", 1, 1)],
)
def test_one_can_goes_as_far_as_the_table_says(row: str, width_in: float, depth_in: float) -> None:
    """Rates table gun_foam.gap_ft_per_can: 12 US gal x 0.5/0.7/0.9 over the joint's section."""
    rate = Rates()[f"gun_foam.gap_ft_per_can.{row}"]
    joint = seam(EdgeKind.ROUGH, rate.typical * FOOT, width_in * INCH, depth_in * INCH)
    lines = sealing(PieceSet((), (joint,), ()), Rates(), "USD")
    low, typical, high = cans(lines, Rates(), "USD")
    assert typical == pytest.approx(1.0, rel=0.01)
    assert low == pytest.approx(rate.typical / rate.high, rel=0.01)
    assert high == pytest.approx(rate.typical / rate.low, rel=0.01)


def test_narrow_joints_get_sealant_and_seams_get_tape() -> None:
    seams = (
        seam(EdgeKind.ROUGH, 3.0, 0.003, 0.05),
        seam(EdgeKind.SEAM, 3.0, 0.0, 0.05),
        seam(EdgeKind.PLUG, 2, 0, 0.05),
    )
    assert {s.item for s in sealing(PieceSet((), seams, ()), Rates(), "USD")} == {"sealant", "foil-tape", "plug-parts"}


def test_a_gasket_says_no_gap_beside_its_own_thickness() -> None:
    """The play beside a plug's panel is not what the gasket fills: its note says that, in what the tape shows."""
    (line,) = sealing(PieceSet((), (seam(EdgeKind.PLUG, 2.0, 0.0016, 0.0254),), ()), Rates(), "USD")
    assert (line.width, line.depth) == (0.0, 0.0)
    opening = PLAN.job.face("K1").openings[0]
    square = [(0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.0, 0.3)]
    note = _note(PLAN.job, opening, square, square, "all four", "room")
    assert 'Gasket 3/8" on a flat stop, squeezed to 1/4" (33 %;' in note  # 1 - (1/4) / (3/8)


@given(st.lists(st.tuples(st.floats(0.1, 5), st.floats(0.007, 0.03), st.floats(0.02, 0.1)), min_size=1, max_size=12))
def test_no_joint_is_lost(joints: list[tuple[float, float, float]]) -> None:
    seams = tuple(seam(EdgeKind.ROUGH, *j, face=f"F{n % 3}") for n, j in enumerate(joints))
    lines = sealing(PieceSet((), seams, ()), Rates(), "USD")
    assert sum(s.length for s in lines) == pytest.approx(sum(j[0] for j in joints))
    volume = sum(j[0] * j[1] * j[2] for j in joints)
    assert sum(s.length * s.width * s.depth for s in lines) == pytest.approx(volume)
    one = cans(lines, Rates(), "USD")[1]
    both = cans(sealing(PieceSet((), seams + seams, ()), Rates(), "USD"), Rates(), "USD")[1]
    assert both >= one
