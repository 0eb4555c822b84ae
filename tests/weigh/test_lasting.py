"""Three years of a build-up: the verdict of well-known stacks, and what it does not depend on."""

from __future__ import annotations

from dataclasses import replace

import pytest

from snugbay.physics import transient
from snugbay.weigh import lasting
from snugbay.weigh.lasting import OUTDOORS, Case, SpaceAir, judged

PAINTED = (("paint", 0.0), ("gypsum", 0.0125))
STUDS = (("air", 0.089),)
DECK = (("board-sheathing", 0.02), ("slate", 0.006))
BATT = (("mineral-batt", 0.14),)
RIM = (("softwood", 0.038),)


def board(thickness: float, count: int = 1) -> tuple[tuple[str, float], ...]:
    return (("polyiso", thickness),) * count


def case(
    *parts: tuple[tuple[str, float], ...], place: str = "Minneapolis, MN", weather: bool = True, tight: str = "sealed"
) -> Case:
    return Case(tuple(k for p in parts for k in p), weather, tight, OUTDOORS, place, (), 20.0, 3)


@pytest.mark.parametrize("boards", [board(0.05), board(0.1), board(0.1, 2)])
def test_one_layer_of_foil_faced_board_on_a_stud_wall_is_as_dry_as_two(boards: tuple[tuple[str, float], ...]) -> None:
    # what is in the foam between its foils is some 30 g/m² (0.6 kg/m³ at 80 % humidity): dew in its cells is no harm
    found = judged(case(PAINTED, STUDS, boards, tight="open"))
    assert found.verdict == "dry"
    assert found.liquid[0] < 0.05


def test_batts_under_a_vented_deck_are_dry_whether_air_leaks_or_not() -> None:
    # common practice, no source: a batt with outdoor air over it dries to that air
    for tight in ("sealed", "open"):
        assert judged(case(PAINTED, BATT, weather=False, tight=tight)).verdict == "dry"


def test_the_same_batts_hard_against_a_cold_deck_are_wet() -> None:
    # model code R806.5: no fibre alone against an unvented deck in this zone
    assert judged(case(PAINTED, BATT, DECK)).verdict == "wet"


def test_rim_joists_as_the_trade_knows_them() -> None:
    # common practice, no source: foil-faced board sealed at its edges, or two inches of closed-cell foam, is sound;
    # open batts, and boards that room air gets behind, wet the wood
    assert judged(case(board(0.051), RIM)).verdict == "dry"
    assert judged(case((("closed-cell-foam", 0.051),), RIM)).verdict != "wet"
    assert judged(case(BATT, RIM, tight="open")).verdict == "wet"
    assert judged(case(board(0.051), RIM, tight="loose")).verdict == "wet"


def test_a_milder_place_and_a_warmer_space_are_no_wetter() -> None:
    cold = case(PAINTED, BATT, board(0.05), weather=False, tight="open")
    mild = judged(replace(cold, climate="Seattle, WA"))
    warm = judged(replace(cold, beyond=SpaceAir(rooms=0.5)))
    for other in (mild, warm):
        assert other.liquid[0] <= judged(cold).liquid[0]
        assert other.verdict == "dry"


def test_equal_cases_share_a_key_and_a_judgement() -> None:
    one, again = case(PAINTED, STUDS, board(0.05)), case(PAINTED, STUDS, board(0.05))
    assert one.key == again.key
    assert judged(one) is judged(again)
    assert replace(one, tightness="open").key != one.key
    assert replace(one, beyond=SpaceAir(rooms=0.05)).key != one.key
    assert replace(one, setpoint_c=21.0).key != one.key


@pytest.mark.parametrize(
    "stack",
    [case(board(0.051), RIM, tight="open"), case(PAINTED, BATT, DECK, place="Seattle, WA")],
    ids=["rim", "deck"],
)
def test_longer_steps_say_the_same(stack: Case) -> None:
    outside, indoor = lasting._airs(stack)
    found = judged(stack)
    fine = transient.judge_three_years(lasting._build_up(stack), outside, indoor=indoor)
    assert found.verdict == fine.verdict.value
    assert abs(found.mould_index - fine.worst_mould) < 0.15  # a twentieth of 3
    for wood, exact in zip(found.wood, fine.wood, strict=True):
        assert abs(wood.peak_share - exact.peak_share_last) < wood.limit_share / 20


def test_deep_air_resists_no_more_than_an_inch_of_it() -> None:
    # ISO 6946: 0.18 m²·K/W from 25 mm on, level flow of heat
    deep, thin = (lasting._build_up(case(PAINTED, (("air", t),), board(0.05))).layers[1].thickness for t in (0.2, 0.02))
    assert deep / 0.14 == pytest.approx(0.18, abs=0.005)
    assert thin == 0.02


def test_a_lone_board_with_air_on_both_sides_has_nothing_to_trap() -> None:
    found = judged(case(board(0.05), weather=False))
    assert found.verdict == "dry"
    assert found.reasons
    assert found.water_by_year == ()  # nothing had to be run
