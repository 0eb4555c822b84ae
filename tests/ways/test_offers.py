"""What is offered on which face, and why not."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.said import said
from tests.told_by_faces import COTTAGE_BY_FACES
from tests.ways.house import (
    EAVES,
    GYPSUM,
    HATCH,
    OPEN,
    OUT,
    RAFTERS,
    ROOMS,
    STUDS,
    eaves_job,
    face,
    job,
    slope,
    surveyed,
)

from snugbay.base import Effort, Problems, Run, Weight
from snugbay.document import read
from snugbay.job import (
    Face,
    Hazard,
    Hole,
    Join,
    Layer,
    Notch,
    Part,
    PriceOverride,
    SheetStock,
    Stock,
    Units,
    Wishes,
    You,
)
from snugbay.materials import Rates
from snugbay.pieces import WIDE_GAP
from snugbay.survey import Frame, survey
from snugbay.ways import Option, all_ways, in_use, options, read_ways

QUICK = Run(effort=Effort.QUICK)
TWO = Stock((SheetStock("polyiso-2in", 0.0508, 1.2192, 2.4384), SheetStock("polyiso-1in", 0.0254, 1.2192, 2.4384)))


def offered(f: Face, size: tuple[float, float] = (3.0, 1.6), **more: object) -> dict[str, Option]:
    j = job(f, **{"stock": TWO, "access": HATCH, **more})
    return {o.way: o for o in options(j, surveyed(X=size), QUICK).value}


def reasons(found: dict[str, Option], way: str) -> str:
    return "; ".join(said(r) for w, o in found.items() if w.split("/")[0] == way for r in o.why_not)


def fits(found: dict[str, Option], way: str) -> bool:
    return any(o.fits for w, o in found.items() if w.split("/")[0] == way)


KNEE = face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS, headroom=0.9)
FLOOR = face("X", Part.FLOOR, "rooms", "eaves", "eaves", tilt=0.0, framing=RAFTERS, headroom=0.8)
SLOPE = slope("X", headroom=0.6, vent_space=True, depth=0.115)


def test_every_face_has_the_state_as_found_and_every_way_once_or_more() -> None:
    j, s = eaves_job(stock=TWO)
    found = options(j, s, QUICK).value
    ways = {w.id for w in all_ways((), Rates())}
    for f in j.faces:
        own = [o for o in found if o.face == f.id]
        assert own[0].way == "as-found"
        assert ways <= {o.way.split("/")[0] for o in own}
        for o in own:
            assert o.fits != bool(o.why_not)
            assert o.way == "as-found" or not o.fits or o.heat_after < o.heat_before * 1.001
            assert o.heat_low <= o.heat_after <= o.heat_high


def test_more_boards_more_resistance() -> None:
    found = offered(KNEE)
    one, two = found["boards-over/polyiso-2in"], found["boards-over-2/polyiso-2in"]
    thin = found["boards-over/polyiso-1in"]
    assert thin.r_typical < one.r_typical < two.r_typical
    assert thin.heat_after > one.heat_after > two.heat_after
    assert two.hours_typical > one.hours_typical
    # the same pieces, twice
    assert two.pieces == 2 * one.pieces
    assert two.cuts == pytest.approx(2 * one.cuts, abs=1)


def test_boards_set_loose_keep_a_fraction() -> None:
    """R-13 boards set loosely round a box give a few R (common practice, no source); the channel model of `field`."""
    box = replace(KNEE, part=Part.BOX_BACK, framing=None, layers=(Layer("plywood", 0.019),))
    found = offered(box)
    loose, sealed = found["boards-loose/polyiso-2in"], found["boards-on-face/polyiso-2in"]
    bare = found["as-found"].r_typical
    gain = [(r - bare) * 5.678 for r in (loose.r_low, loose.r_typical, loose.r_high)]  # R as sold
    assert 1 < gain[0] < gain[1] < gain[2] <= (sealed.r_high - bare) * 5.678 + 1e-6
    assert 3 < gain[1] < 9
    assert not loose.air_barrier
    assert loose.leak_after > 3 * sealed.leak_after


def test_looser_boards_are_worth_less() -> None:
    box = replace(KNEE, part=Part.BOX_BACK, framing=None, layers=(Layer("plywood", 0.019),))
    tight, wide = (
        offered(box, stock=replace(TWO, prices=(PriceOverride("ways.loose.gap_mm", g, g, g),)))[
            "boards-loose/polyiso-2in"
        ]
        for g in (0.5, 8.0)
    )
    assert wide.r_typical < tight.r_typical


def test_depth_and_the_ventilated_space() -> None:
    found = offered(SLOPE)
    assert fits(found, "boards-in-bays-2")  # 4 in in bays of 5-1/2 less 1 in
    shallow = offered(replace(SLOPE, framing=replace(RAFTERS, depth=0.1), depth=None))
    assert shallow["boards-in-bays-2/polyiso-1in"].fits
    assert "ventilated space stays free" in said(shallow["boards-in-bays-2/polyiso-2in"].why_not[0])
    assert "depth" in reasons(found, "crew-open-cell")
    assert any(n.item == "chute" for n in found["batts"].needs)
    assert any("vent chutes" in t for t in found["batts"].first)


def test_working_height_under_the_table() -> None:
    found = offered(replace(FLOOR, headroom=0.36))
    assert "nobody should work there" in reasons(found, "boards-over")
    assert "nobody should work there" in reasons(found, "kit")
    assert fits(found, "loose-fill")  # blown through a hose


@pytest.mark.parametrize("way", ["kit", "crew", "loose-fill", "flash-and-batt"])
def test_flues_keep_what_cannot_be_held_off_away(way: str) -> None:
    hot = Hole("flue", 1.0, 0.8, 0.2, 0.2, hot=True)
    found = offered(replace(FLOOR, holes=(hot,)))
    assert "flue must stay clear" in reasons(found, way)
    assert fits(found, "boards-over")
    assert fits(offered(FLOOR), way)


def test_hazards_and_health() -> None:
    wet = offered(KNEE, hazards=(Hazard.WET,))
    assert "dry first" in reasons(wet, "kit")
    assert "dry first" in reasons(wet, "batts")
    wires = offered(KNEE, hazards=(Hazard.KNOB_AND_TUBE,))
    assert "electrician" in reasons(wires, "boards-in-bays")
    assert fits(wires, "boards-over")
    asthma = offered(KNEE, you=You(20.0, sprays=False))
    assert "asthma" in reasons(asthma, "kit")
    assert "asthma" in reasons(asthma, "boards-kit-edges")
    assert fits(asthma, "crew")
    lights = offered(FLOOR, hazards=(Hazard.DOWNLIGHTS,))
    assert "76 mm" in reasons(lights, "loose-fill")


def test_framing_decides_what_boards_can_do() -> None:
    closed = offered(replace(KNEE, framing=replace(STUDS, exposed=False)))
    assert "no open bays" in reasons(closed, "boards-in-bays")
    assert fits(closed, "dense-pack")
    assert fits(closed, "boards-on-face")
    opened = offered(KNEE)
    assert "closed bays" in reasons(opened, "dense-pack")
    assert "bays are open" in reasons(opened, "boards-on-face")
    bare = offered(replace(KNEE, framing=None))
    assert "no framing" in reasons(bare, "boards-over")
    filled = replace(
        KNEE, framing=replace(STUDS, exposed=False), layers=(GYPSUM, Layer("fibreglass-batt", 0.089, True))
    )
    assert "filled already" in reasons(offered(filled), "dense-pack")
    full = replace(KNEE, layers=(GYPSUM, Layer("fibreglass-batt", 0.089, True)))
    assert fits(offered(full), "boards-over")
    assert not fits(offered(full), "boards-in-bays")


def test_loose_fill_is_not_offered_where_it_would_spill() -> None:
    top = face("X", Part.BOX_TOP, "rooms", "eaves", "eaves", tilt=0.0, headroom=0.9)
    assert "spill" in reasons(offered(top), "loose-fill")
    assert fits(offered(FLOOR), "loose-fill")
    other = face("Y", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS, headroom=0.9)
    corner = {"inside": pi / 2, "outside": 3 * pi / 2}
    for name, opening in corner.items():
        j = job(FLOOR, other, joins=(Join("X", ("A", "B"), "Y", ("C", "D"), opening),), stock=TWO, access=HATCH)
        found = {o.way: o for o in options(j, surveyed(X=(3.0, 1.6), Y=(3.0, 1.2)), QUICK).value if o.face == "X"}
        assert fits(found, "loose-fill") is (name == "inside")
        assert ("A-B" in reasons(found, "loose-fill")) is (name == "outside")


def test_nothing_to_fasten_to_and_wishes() -> None:
    box = replace(KNEE, framing=None, substrate="none")
    assert "fasten" in reasons(offered(box), "boards-on-face")
    one = offered(KNEE, wishes=Wishes(layers=1))
    assert "at most 1" in reasons(one, "boards-over-2")
    never = offered(replace(KNEE, never=("kit",)), wishes=Wishes(ways_never=("crew/3in",)))
    assert "this face" in reasons(never, "kit")
    assert fits(never, "crew")  # only one thickness was ruled out
    assert "kit" not in {w for w, o in never.items() if o.fits}


def test_water_traps_are_not_offered() -> None:
    """Batts under an unvented deck with tight shingles: a known trap; foam against the same deck is not."""
    deck = slope("X", headroom=1.0, vent_space=False)
    found = offered(deck)
    assert "trap water" in reasons(found, "batts")
    assert fits(found, "kit")
    assert fits(found, "boards-in-bays")
    vented = offered(replace(deck, vent_space=True))
    assert fits(vented, "batts")


def test_fibre_inside_too_little_foam_under_an_unvented_deck() -> None:
    """Model code R806.5: R-25 in zone 6; 1-1/2 in of foam is about R-9."""
    deck = slope("X", headroom=1.0, framing=replace(RAFTERS, depth=0.184))
    found = offered(deck, place=replace(job(deck).place, code_zone="6A"))
    assert "R806.5" in reasons(found, "flash-and-batt")


def test_fire_cover_by_the_side_and_the_place() -> None:
    room = face("X", Part.WALL, "rooms", "out", "rooms", layers=(Layer("brick", 0.22),), substrate="masonry")
    inside = offered(room)["boards-on-face/polyiso-2in"]
    assert any(n.item == "gypsum" for n in inside.needs)
    assert any(h.element == "cover" for h in inside.hours)
    service = offered(KNEE)["boards-over/polyiso-2in"]
    assert not any(n.item == "gypsum" for n in service.needs)
    assert any(n.item == "ignition-barrier" for n in service.needs)
    assert any("fire report waives it" in t for t in service.cover)
    stored = offered(KNEE, zones=(ROOMS, OUT, replace(EAVES, storage=True)))["boards-over/polyiso-2in"]
    assert any(n.item == "gypsum" for n in stored.needs)


def test_rim_joists_by_the_model_code() -> None:
    """Sprayed foam up to 3-1/4 in needs no cover there, rigid board does, cut to each pocket (IRC R316.5.11)."""
    rim = face("X", Part.RIM, "rooms", "out", "rooms", layers=(Layer("softwood", 0.038), Layer("wood-siding", 0.016)))
    found = offered(rim, size=(0.365, 0.235))
    spray, board = found["kit/3in"], found["boards-on-face/polyiso-2in"]
    assert not any(h.element == "cover" for h in spray.hours)
    cover = sum(h.typical for h in board.hours if h.element == "cover")
    cut = sum(h.typical for h in board.hours if h.element in {"measuring", "marking", "cutting", "fitting"})
    assert cover == pytest.approx(cut)


def test_old_insulation_comes_out_only_for_what_goes_in() -> None:
    old = replace(FLOOR, layers=(GYPSUM, Layer("fibreglass-batt", 0.089, True)), old_insulation=True)
    found = offered(old)
    assert any("bagged" in t for t in found["loose-fill/7.87in"].first)
    seal = found["seal-only"]
    assert not any("bagged" in t for t in seal.first)
    assert seal.r_typical == pytest.approx(found["as-found"].r_typical)


def test_kit_amounts_by_hand() -> None:
    """3 in over 4.8 m² of plain wall: 155 board-feet; /0.8 of the label, +10 % waste: 213 label board-feet typical."""
    wall = replace(KNEE, framing=None)
    o = offered(wall)["kit/3in"]
    feet = 3.0 * 1.6 / 0.3048**2 * 3
    need = next(n for n in o.needs if n.item == "kit-600")
    assert need.typical * 600 == pytest.approx(feet * 1.1 / 0.8)
    assert need.low * 600 == pytest.approx(feet * 1.05 / 1.0)
    assert need.high * 600 == pytest.approx(feet * 1.2 / 0.75)


def test_a_notch_costs_what_the_table_says() -> None:
    notched = replace(KNEE, framing=None, notches=(Notch("tie", ("C", "D"), 1.0, 0.05, 0.1),))
    plain, cut = (offered(f)["boards-on-face/polyiso-2in"] for f in (replace(KNEE, framing=None), notched))
    assert (plain.notches, cut.notches) == (0, 1)
    assert cut.notch_hours * 60 == pytest.approx(1.0 + 1.5)  # mark_corner_notch + curve_or_notch, at the bench


def test_blocks_under_the_knee_wall_follow_the_floor() -> None:
    j, s = eaves_job(stock=TWO)
    found = {(o.face, o.way): o for o in options(j, s, QUICK).value}
    knee = found["K", "boards-over/polyiso-2in"]
    assert any("block and seal every joist bay under the wall" in t for t in knee.first)
    prep = next(h for h in knee.hours if h.element == "prep")
    assert prep.note.startswith("11 joist bays")
    crew = found["K", "crew/3in"]
    assert not any("block" in t for t in crew.first)


OWN = """
[[way]]
id = "hemp"
title = "Hemp batts"
group = "hemp"
leak_left = [0.8, 0.9, 1.0]
seals_first = true
air_barrier = "sealed"
[way.fill]
conductivity = 0.042
thickness_mm = 80
hours_m2 = [0.1, 0.15, 0.3]
waste_pct = [3, 5, 10]
pack = { name = "hemp batts", unit = "pack", covers_m2 = 4.2, price = [40, 48, 60] }
[way.limits]
needs = "open bays"
"""


def test_a_way_of_ones_own() -> None:
    found = offered(KNEE, own_ways=(OWN,))
    hemp = found["hemp"]
    assert hemp.fits
    framing = 1 - 0.038 / 0.4064
    need = next(n for n in hemp.needs if n.item == "hemp-pack")
    assert need.typical == pytest.approx(4.8 * framing / 4.2 * 1.05)
    placing = next(h for h in hemp.hours if h.element == "placing")
    assert placing.typical > 4.8 * 0.15


def test_an_own_way_takes_the_place_of_a_bundled_one() -> None:
    ways = {w.id: w for w in all_ways((OWN.replace('"hemp"', '"batts"'),), Rates())}
    assert ways["batts"].own
    assert len(ways) == len(all_ways((), Rates()))


@pytest.mark.parametrize(
    ("before", "after", "named"),
    [
        ("thickness_mm = 80", "thickness_mm = -8", "thickness_mm"),
        ("conductivity = 0.042", 'material = "hempp"', "hempp"),
        ("hours_m2 = [0.1, 0.15, 0.3]", "hours_m2 = [0.3, 0.15, 0.1]", "hours_m2"),
        ("leak_left = [0.8, 0.9, 1.0]", 'leak_left = "ways.leak_left.batt"', "leak_left"),
        ('needs = "open bays"', 'needs = "bays"', "needs"),
        ("seals_first = true", "seal_first = true", "seals_first"),
        ('id = "hemp"', 'id = "as-found"', "id"),
        ("covers_m2 = 4.2", "covers = 4.2", "covers_m2"),
    ],
)
def test_faults_in_own_ways_are_named_with_their_place(before: str, after: str, named: str) -> None:
    assert before in OWN
    with pytest.raises(Problems) as error:
        read_ways(OWN.replace(before, after), Rates(), own=True, where=("ways", 0))
    assert named in str(error.value)
    assert all(e.where[0] == "ways" for e in error.value.errors)


def test_shared_work_has_one_figure_whichever_way_names_it() -> None:
    hours: dict[str, object] = {}
    for way in all_ways((), Rates()):
        for s in way.shared:
            assert hours.setdefault(s.id, s.hours) == s.hours, (way.id, s.id)


def test_own_prices_and_rates_reach_the_options() -> None:
    dear = Stock(TWO.sheets, prices=(PriceOverride("time_model.handling.carry_and_trial_fit", 10.0, 20.0, 40.0),))
    high = replace(KNEE, headroom=2.0)  # in a low space each piece takes time to crawl to besides
    plain, slow = (offered(high, stock=s)["boards-over/polyiso-2in"] for s in (TWO, dear))
    fitting = [next(h.typical for h in o.hours if h.element == "fitting") for o in (plain, slow)]
    assert fitting[1] == pytest.approx(10 * fitting[0])


def test_metric_jobs_have_metric_names() -> None:
    found = offered(KNEE, units=Units.MM, stock=Stock())
    assert "kit/76mm" in found


def test_stopping_keeps_what_is_there() -> None:
    j, s = eaves_job(stock=TWO)
    out = options(j, s, Run(effort=Effort.QUICK, stop=lambda: True))
    assert not out.finished
    assert {o.face for o in out.value} == {f.id for f in j.faces}
    assert {o.way for o in out.value} == {"as-found"}


def test_foam_on_the_warm_side_is_worth_more_than_on_the_cold_side() -> None:
    """Polyiso loses in the cold; the whole is reckoned at the temperatures of the heating season."""
    cold = offered(replace(KNEE, framing=None))["boards-on-face/polyiso-2in"]
    warm = offered(replace(KNEE, framing=None, board_side="rooms"))["boards-on-face/polyiso-2in"]
    label = 0.0508 / 0.024
    assert cold.layers[0].r == pytest.approx(label * 0.98, rel=0.01)  # the label, less what the fit takes
    assert 0 < warm.r_typical - cold.r_typical < 0.1 * label


def test_cold_side_and_warm_side_are_the_same_wall(monkeypatch: pytest.MonkeyPatch) -> None:
    """The order of layers turns round with the side; the resistance of the whole does not, foam's own law apart."""
    monkeypatch.setattr(in_use, "FAMILIES", {})
    cold = offered(replace(KNEE, framing=None))["boards-on-face/polyiso-2in"]
    warm = offered(replace(KNEE, framing=None, board_side="rooms"))["boards-on-face/polyiso-2in"]
    assert warm.r_typical == pytest.approx(cold.r_typical)


def test_a_face_measured_too_loosely_gets_no_boards_and_is_told_what_to_measure() -> None:
    """A corner that may be 6 cm out leaves gaps that gun foam, 1 1/2 in at most, does not fill."""
    loose = tuple(tuple(0.06**2 if i == j and i > 3 else 0.0 for j in range(8)) for i in range(8))
    exact = surveyed(X=(3.0, 1.6))
    unsure = replace(exact, faces=(replace(exact.faces[0], covariance=loose),))
    rough = replace(FLOOR, framing=None, rough_edges=(("A", "B"), ("B", "C"), ("C", "D"), ("D", "A")))
    j = job(rough, stock=TWO, access=HATCH)
    found = options(j, unsure, QUICK)
    boards = [o for o in found.value if o.boards is not None or "foam fills" in " ".join(map(said, o.why_not))]
    assert boards
    assert not any(o.fits for o in boards)
    (told,) = (f for f in found.findings if f.code == WIDE_GAP)
    assert told.weight is Weight.WARN
    assert told.where == ("faces", "X")
    assert any(o.fits for o in options(j, exact, QUICK).value if o.boards is not None)
    assert not any(f.code == WIDE_GAP for f in options(j, exact, QUICK).findings)


def test_no_boards_where_an_unjoined_face_stands_in_their_way() -> None:
    """The knee wall ends under the slope, but nobody joined the two: boards of either would stand into the other."""
    text = COTTAGE_BY_FACES
    start = text.index('[[joins]]\na = ["K1", "C-D"]')
    without = read(text[:start] + text[text.index("[[joins]]", start + 5) :])
    for j, offered_there in ((read(text), True), (without, False)):
        found = options(j, survey(j, QUICK).value, QUICK).value
        over = [o for o in found if o.face in ("K1", "S1") and o.way.startswith("boards-over")]
        assert over
        assert any(o.fits for o in over) is offered_there
        if not offered_there:
            assert any('a = ["K1", "C-D"] b = ["S1", "C-D"]' in said(r) for o in over for r in o.why_not)


def test_boards_too_thick_for_the_space_before_another_face_are_not_offered() -> None:
    """A second wall stands 8 cm before the first, unjoined: one layer of 2 in has room, two layers have not."""
    walls = [face(f, Part.WALL, "rooms", "out", "rooms") for f in ("X", "Y")]
    flat = surveyed(X=(3.0, 1.6), Y=(3.0, 1.6))
    ahead = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    back = Frame((3.0, -0.08, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    for apart, fits_two in ((back, False), (replace(back, origin=(3.0, -0.8, 0.0)), True)):
        stood = replace(flat, faces=(replace(flat.faces[0], frame=ahead), replace(flat.faces[1], frame=apart)))
        j = job(*walls, stock=TWO, access=OPEN)
        found = {o.way: o for o in options(j, stood, QUICK).value if o.face == "X"}
        assert found["boards-on-face/polyiso-2in"].fits
        two = found["boards-on-face-2/polyiso-2in"]
        assert two.fits is fits_two
        assert fits_two or "stand into Y" in " ".join(map(said, two.why_not))


def test_a_strip_too_narrow_for_boards_is_filled_with_foam_and_says_so() -> None:
    """2 in of gun foam of 0.030 W/(m·K) in a strip of 45 x 240 mm: R, hours and cans are the foam's, no board."""
    strip = face("X", Part.RIM, "rooms", "out", "rooms", layers=(Layer("softwood", 0.038),))
    found = offered(strip, (0.045, 0.24))
    option = found["boards-on-face/foam-51mm"]
    assert option.fits
    assert "too narrow for boards" in option.title
    assert option.boards is None
    (layer,) = option.layers
    assert layer.material == "gun-foam"
    assert layer.thickness == pytest.approx(0.0508)
    assert layer.r == pytest.approx(0.0508 / 0.030)
    assert any(n.item == "gun-can" and n.typical > 0 for n in option.needs)
    assert not any(n.item.startswith(("polyiso", "foil-tape")) for n in option.needs)
    assert option.hours_typical > 0
    assert "too narrow" in reasons(found, "boards-loose")
