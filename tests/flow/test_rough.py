"""The rough answer: the full engine on a few numbers, with a spread that shows what is not known yet."""

from __future__ import annotations

import numpy as np
import pytest

from snugbay.base import Effort, InputError, Run
from snugbay.document.read import read_doc
from snugbay.document.starting import asked, start_text, started
from snugbay.flow.rough import RoughAnswer, dangers, drawn_numbers, rough, sized, sizes, unknown
from snugbay.job.space import kind_names, kind_of, kinds
from snugbay.survey import survey
from snugbay.survey.needed import as_if_read
from snugbay.weigh.stage import looked_at

RUN = Run(1, Effort.QUICK)


def answer(kind: str, *words: str) -> RoughAnswer:
    begun = started(asked(kind, words))
    return rough(begun.job, begun.space, RUN, hour_said=any(w.startswith("hour=") for w in words))


@pytest.fixture(scope="module")
def well() -> RoughAnswer:
    return answer("skylight well", "width=28", "depth=40", 'place="Duluth, MN"'.replace('"', ""))


def test_every_way_has_hours_money_saving_and_regret(well: RoughAnswer) -> None:
    assert {"leave it as found"} < {w.name for w in well.ways}
    for way in well.ways:
        for band in (way.hours, way.cash, way.saving):
            assert band.p10 <= band.p50 <= band.p90
        assert 0.0 <= way.regret <= 1.0
    found = next(w for w in well.ways if w.name == "leave it as found")
    assert found.hours.p90 == found.cash.p90 == found.saving.p90 == 0.0


def test_what_to_find_out_is_ranked_and_can_be_found_out(well: RoughAnswer) -> None:
    names = [f.name for f in well.find_out]
    assert {"height", "low"} <= set(names)
    assert not {"winter", "energy", "resistance"} & set(names)
    worth = [f.worth for f in well.find_out]
    assert worth == sorted(worth, reverse=True)
    assert min(worth) >= 0.0


def test_dangers_come_with_who_clears_them(well: RoughAnswer) -> None:
    assert {d.title for d in well.dangers}
    assert all(d.clears and d.text for d in well.dangers)
    assert [d.stop for d in well.dangers] == sorted((d.stop for d in well.dangers), reverse=True)


def test_a_number_that_is_said_narrows_the_answer(well: RoughAnswer) -> None:
    told = answer("skylight well", "width=28", "depth=40", "height=39", "low=20", "place=Duluth, MN")
    name = next(w.name for w in well.ways if w.name not in ("leave it as found", "sealing alone"))
    loose, tight = (next(w for w in a.ways if w.name == name) for a in (well, told))
    assert tight.saving.p90 / tight.saving.p10 < loose.saving.p90 / loose.saving.p10


def test_same_seed_same_answer(well: RoughAnswer) -> None:
    again = answer("skylight well", "width=28", "depth=40", "place=Duluth, MN")
    assert again.ways == well.ways
    assert again.find_out == well.find_out


def test_a_face_twice_as_large_costs_twice_the_material_and_heat() -> None:
    begun = started(asked("cellar wall", ["length=4 m", "height=2 m"]))
    q = looked_at(begun.job, as_if_read(begun.job, survey(begun.job, RUN).value), RUN)
    doubled = sized(q.problem, {q.problem.faces[0].id: 2.0})
    one, two = q.problem.faces[0], doubled.faces[0]
    assert two.heat == pytest.approx(2 * one.heat)
    assert [sum(n.typical for n in o.needs) for o in two.options] == pytest.approx(
        [2 * sum(n.typical for n in o.needs) for o in one.options]
    )
    assert all(b < 2 * a or a == b == 0 for a, b in zip(one.hours, two.hours, strict=True))


def test_drawn_numbers_have_the_spread_of_the_kind() -> None:
    space = started(asked("eaves", ["length=15'", "height=44"])).space
    rng = np.random.default_rng(1)
    depths = np.array([drawn_numbers(space, rng)["depth"] for _ in range(400)])
    depth = kind_of("eaves").number("depth")
    assert [n.name for n in unknown(space)] == ["depth"]
    assert depths.mean() == pytest.approx(depth.guess, abs=0.04)
    assert depths.std() == pytest.approx(depth.sigma, rel=0.15)
    assert sizes(space, {**{n.name: n.guess for n in space.kind.numbers}, "length": 2.0, "height": 1.0, "depth": 1.5})[
        "eaves-floor"
    ] == pytest.approx(3.0)


@pytest.mark.parametrize("kind", kind_names())
def test_start_writes_a_document_that_reads_and_has_no_table_that_nobody_touched(kind: str) -> None:
    mains = [n for n in kinds()[kind].numbers if n.main]
    words = [f"{n.name}={n.guess:.0f}" if n.unit == "count" else f"{n.name}={n.guess} m" for n in mains]
    what = asked(kind, words)
    text = start_text(what)
    tables = [line for line in text.splitlines() if line.startswith("[")]
    assert tables == ["[place]", "[[spaces]]"]
    assert len(text.splitlines()) < 25
    doc = read_doc(text)
    assert [s["kind"] for s in doc.model_dump()["spaces"]] == [kind]
    assert started(what).job.faces


@pytest.mark.parametrize(
    ("kind", "words", "said"),
    [
        ("eave", ["length=1"], "no kind"),
        ("eaves", ["length=15'"], "height="),
        ("eaves", ["length=15'", "height=44", "hight=3"], "hight"),
        ("eaves", ["length=15'", "length=16'", "height=44"], "twice"),
        ("eaves", ["length", "height=44"], "key=value"),
        ("eaves", ["length=long", "height=44"], "long"),
        ("eaves", ["length=15'", "height=44", "boxes=9"], "boxes"),
        ("eaves", ["length=15'", "height=44", "boxes=two"], "two"),
        ("cellar wall", ["length=15'", "height=84", "boxes=1"], "eaves"),
        ("eaves", ["length=15'", "height=44", "hour=much"], "much"),
        ("eaves", ["length=15'", "height=44", "units=cubits"], "cubits"),
        ("eaves", ["length=15'", "height=9 m"], "9 m|29"),
    ],
)
def test_bad_words_are_refused_in_plain_ones(kind: str, words: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        started(asked(kind, words))
    assert caught.value.hint


def test_units_are_those_of_the_lengths_typed() -> None:
    assert asked("eaves", ["length=15'", "height=44"]).units.value == "ft-in"
    assert asked("eaves", ["length=4.5 m", "height=1100"]).units.value == "mm"
    assert asked("eaves", ["length=4500", "height=1100", "place=Nottingham"]).units.value == "mm"
    assert asked("eaves", ["length=180", "height=44", "place=Duluth, MN"]).units.value == "ft-in"


def test_dangers_are_the_gates_of_the_look_round() -> None:
    for kind in kinds().values():
        assert len(dangers(kind.look_round)) == len(kind.look_round) > 0


def test_a_bare_number_is_echoed_as_understood() -> None:
    begun = started(asked("eaves", ["length=168", "height=44", "place=Duluth, MN"]))
    assert {n.name: text for n, text in begun.understood}["length"] == "14' 0\""


def test_full_answers_lie_where_the_rough_one_says(well: RoughAnswer) -> None:
    """Two made wells out of many that the bench makes: the middle of the full answer lies in the rough bands."""
    rng = np.random.default_rng(3)
    space = started(asked("skylight well", ["width=28", "depth=40", "place=Duluth, MN"])).space
    inside, near = 0, []
    for _ in range(2):
        true = drawn_numbers(space, rng)
        words = [f"{n.name}={true[n.name]:.4f} m" for n in unknown(space)]
        told = answer("skylight well", "width=28 in", "depth=40 in", "place=Duluth, MN", "units=ft-in", *words)
        same = next(w for w in told.ways if w.name == well.best.name)
        for full, band in ((same.hours, well.best.hours), (same.cash, well.best.cash), (same.saving, well.best.saving)):
            inside += band.p10 <= full.p50 <= band.p90
        near.append(same.whole.p50 <= 1.1 * told.best.whole.p50)
    assert inside >= 5
    assert all(near)
