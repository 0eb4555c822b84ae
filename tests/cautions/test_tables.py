"""Gates and rules: complete, sourced, and each trigger exists."""

from snugbay.base import Weight
from snugbay.cautions.tables import gates, rules
from snugbay.cautions.triggers import TRIGGERS
from snugbay.job import Hazard, HotThing
from snugbay.materials import source_titles
from snugbay.survey.hot import clearances


def test_every_hazard_of_the_look_round_is_a_gate() -> None:
    assert {g.trigger for g in gates()} == {h.value for h in Hazard}
    assert len(gates()) == len(Hazard)


def test_every_gate_says_who_clears_it() -> None:
    assert all(g.clears for g in gates())


def test_every_rule_has_its_trigger_and_every_trigger_a_rule() -> None:
    assert {r.trigger for r in rules()} == set(TRIGGERS)


def test_every_row_has_a_source_and_its_status() -> None:
    titles = source_titles()
    for row in (*gates(), *rules()):
        assert row.source
        assert row.status
        for part in row.source.split(","):
            ident = part.strip()
            if ident.startswith("S") and ident[1:].isdigit():
                assert ident in titles, ident


def test_codes_are_unique() -> None:
    codes = [r.code for r in (*gates(), *rules())]
    assert len(codes) == len(set(codes))


def test_what_can_kill_stops_the_work() -> None:
    """Second entry by hand of the weights that matter most (trade safety sheet, section 1)."""
    weights = {r.code: r.weight for r in (*gates(), *rules())}
    for code in ("gate-vermiculite", "gate-knob-and-tube-wiring", "gate-gas-smell", "gate-flue-or-chimney", "spray-kit",
                 "pipes-frost", "no-go-headroom"):  # fmt: skip
        assert weights[code] is Weight.STOP


def test_the_gates_name_the_distances_of_the_table() -> None:
    """What the flue's gate and the lamps' gate say is what boards keep."""
    text = {g.trigger: g.text for g in gates()}
    inches = {thing: f"{row.clear / 0.0254:.0f} in" for thing, row in clearances().items()}
    flue = text["flue or chimney"]
    assert f"{inches[HotThing.FACTORY_FLUE]} for a factory-made" in flue
    assert f"{inches[HotThing.TYPE_B_VENT]} for a double-wall gas vent" in flue
    assert f"{inches[HotThing.SINGLE_WALL]} for a single-wall" in flue
    assert f"{inches[HotThing.MASONRY]} from masonry" in flue
    assert f"{inches[HotThing.LIGHT]} clear" in text["recessed lights not rated for contact"]
