"""What joints are closed with, how much it takes: by money and time for the gap as it is, one reckoning everywhere."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.booklet.plan_fixture import PLAN
from tests.ways.house import job

from snugbay.fit import cans, sealing
from snugbay.job import You
from snugbay.materials import Rates
from snugbay.pieces import EdgeKind, PieceSet, Seam
from snugbay.pieces.plug import _note
from snugbay.ways import Option
from snugbay.ways.joints import Joined, Means, Sealer, sealer
from snugbay.ways.resources import shelf
from snugbay.weigh.counted import bill_of

FOOT = 0.3048
INCH = 0.0254
NOTHING = PieceSet((), (), ())


def seam(kind: EdgeKind, length: float, width: float, depth: float, face: str = "N1") -> Seam:
    return Seam(face, 1, kind, length, width, depth, ("N1-1a", "rafter"), ((0.0, 0.0), (length, 0.0)))


def by(worth: float = 25.0) -> Sealer:
    return sealer(job(you=You(worth)), Rates())


def closed(*seams: Seam, worth: float = 25.0, occupied: bool = False) -> tuple[Joined, ...]:
    return by(worth).close(seams, occupied=occupied)


def done(*joints: Joined) -> tuple[Option, ...]:
    return (Option("N1", "boards", "boards", True, joints=joints),)


@pytest.mark.parametrize(
    ("row", "width_in", "depth_in"),
    [("gap 0.5 in x 2 in deep", 0.5, 2), ("gap 0.25 in x 2 in deep", 0.25, 2), ("gap 1.0 in x 1 in deep", 1, 1)],
)
def test_one_can_goes_as_far_as_the_table_says(row: str, width_in: float, depth_in: float) -> None:
    """Trade table, joints by section: 12 US gal x 0.5/0.7/0.9 over the joint's section (derived by arithmetic)."""
    feet = {"gap 0.5 in x 2 in deep": 162, "gap 0.25 in x 2 in deep": 323, "gap 1.0 in x 1 in deep": 162}[row]
    joint = seam(EdgeKind.ROUGH, feet * FOOT, width_in * INCH, depth_in * INCH)
    low, typical, high = cans(done(*closed(joint)), Rates(), "USD")
    assert typical == pytest.approx(1.0, rel=0.01)
    assert low == pytest.approx(0.7 / 0.9, rel=0.01)
    assert high == pytest.approx(0.7 / 0.5, rel=0.01)


def test_narrow_joints_get_sealant_and_seams_get_tape() -> None:
    joints = closed(seam(EdgeKind.ROUGH, 3.0, 0.003, 0.05), seam(EdgeKind.SEAM, 3.0, 0.0, 0.05))
    gasket = PieceSet((), (seam(EdgeKind.PLUG, 2, 0, 0.05),), ())
    lines = sealing(done(*joints), gasket, Rates(), "USD")
    assert {s.item for s in lines} == {"sealant", "foil-tape", "plug-parts"}


def test_a_hair_of_width_changes_nothing() -> None:
    """A gap of 6.349999 mm got 22 cartridges where 6.35 mm got two cans."""
    for width in (0.25 * INCH, 0.375 * INCH):
        under, over = (closed(seam(EdgeKind.ROUGH, 588 * FOOT, width + d, 0.0508)) for d in (-1e-9, 1e-9))
        assert [j.means for j in under] == [j.means for j in over] == [Means.FOAM]
        assert under[0].amount.typical == pytest.approx(over[0].amount.typical, rel=1e-5)
    assert cans(done(*closed(seam(EdgeKind.ROUGH, 588 * FOOT, 0.25 * INCH, 0.0508))), Rates(), "USD")[1] < 2.0


@pytest.mark.parametrize("width_mm", [5.0, 6.0, 7.0, 9.0])
@pytest.mark.parametrize("worth", [0.0, 25.0, 150.0])
def test_a_joint_that_takes_both_gets_what_costs_less(width_mm: float, worth: float) -> None:
    """Foam costs less a metre, sealant takes less time where cured foam has to be trimmed."""
    one = seam(EdgeKind.ROUGH, 10.0, width_mm / 1000, 0.05)
    who = by(worth)
    (amount, minutes), (bead, short) = who._foam(one, covered=True), who._sealant(one)
    foam = amount.typical / who.can[0] * who.can[1] + minutes.typical * worth / 60
    sealant = bead.typical / who.cartridge[0] * who.cartridge[1] + short.typical * worth / 60
    assert who.means(one, covered=True) is (Means.FOAM if foam <= sealant else Means.SEALANT)


@pytest.mark.parametrize(
    ("metres", "bought"),
    [
        (2.4, {"straw-can": 1}),  # 8 ft of gap: no gun and cleaner for 70 USD
        (30.0, {"straw-can": 2}),  # 12 mm x 50 mm: 18 l placed
        (50.0, {"gun-can": 1, "gear-foam-gun": 1}),
        (200.0, {"gun-can": 4, "gear-foam-gun": 1}),
    ],
)
def test_a_gun_is_bought_where_it_pays(metres: float, bought: dict[str, int]) -> None:
    """A straw can gives 14 l (S76), a gun can 45 l; more than two straw cans and a gun is worth it (from memory)."""
    from snugbay.ways.boardtime import joint_needs
    from snugbay.ways.values import Need

    things = shelf(job(), (), Rates())
    (need,) = joint_needs(closed(seam(EdgeKind.ROUGH, metres, 0.012, 0.05)))
    main = things.main(need.item)
    stated = Need(main.id, need.low / main.amount, need.typical / main.amount, need.high / main.amount)
    option = replace(done()[0], needs=(stated,))
    assert {p.item: p.units for p in bill_of((option,), things)} == bought


def test_a_gun_in_the_shed_costs_nothing() -> None:
    from snugbay.ways.values import Need

    j = job()
    own = replace(j, stock=replace(j.stock, on_hand=(("gear-foam-gun", 1.0),)))
    option = replace(done()[0], needs=(Need("gun-can", 0.6, 0.6, 0.6),))
    assert {p.item: p.total for p in bill_of((option,), shelf(own, (), Rates()))} == {"straw-can": 14.0} or {
        p.item: p.total for p in bill_of((option,), shelf(own, (), Rates()))
    } == {"gun-can": 15.0, "gear-foam-gun": 0.0}


def test_a_gasket_says_no_gap_beside_its_own_thickness() -> None:
    """The play beside a plug's panel is not what the gasket fills: its note says that, in what the tape shows."""
    (line,) = sealing((), PieceSet((), (seam(EdgeKind.PLUG, 2.0, 0.0016, 0.0254),), ()), Rates(), "USD")
    assert (line.width, line.depth) == (0.0, 0.0)
    opening = PLAN.job.face("K1").openings[0]
    square = [(0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.0, 0.3)]
    note = _note(PLAN.job, opening, square, square, "all four", "room")
    assert 'Gasket 3/8" on a flat stop, squeezed to 1/4" (33 %;' in note  # 1 - (1/4) / (3/8)


@given(st.lists(st.tuples(st.floats(0.1, 5), st.floats(0.001, 0.03), st.floats(0.02, 0.1)), min_size=1, max_size=12))
def test_no_joint_is_lost(found: list[tuple[float, float, float]]) -> None:
    seams = tuple(seam(EdgeKind.ROUGH, *j, face=f"F{n % 3}") for n, j in enumerate(found))
    lines = sealing(done(*closed(*seams)), NOTHING, Rates(), "USD")
    assert sum(s.length for s in lines) == pytest.approx(sum(j[0] for j in found))
    volume = sum(j[0] * j[1] * j[2] for j in found)
    assert sum(s.length * s.width * s.depth for s in lines) == pytest.approx(volume)
    one = cans(done(*closed(*seams)), Rates(), "USD")[1]
    assert cans(done(*closed(*seams, *seams)), Rates(), "USD")[1] == pytest.approx(2 * one)
