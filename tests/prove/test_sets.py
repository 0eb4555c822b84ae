"""Readings taken together, attacked: wrong units, stale, swapped, contradictory. A finding each, and no figure."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prove.cases import RUN, boxes, celsius, evening, mill
from tests.said import said as told

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Name, RowRef, Span, TemperatureDifference
from snugbay.job import Job, LogEntry, Temperature, TemperatureKind, Units
from snugbay.physics.units import f_from_celsius
from snugbay.prove import Followed, ProveAnswer, prove
from snugbay.prove.sets import looked_over, winds
from snugbay.prove.single import aside, impossible, other_unit
from snugbay.prove.wording import counted, diff, film, temp
from snugbay.words import gathered

K = TemperatureKind
BARE, BOARDED, SPACE = celsius(41.5), celsius(50.0), celsius(18.0)


def _answer(temperatures: tuple[Temperature, ...], job: Job | None = None) -> tuple[list[str], ProveAnswer]:
    own, taped, weighing, pieces = boxes()
    answer = prove(Followed(replace(job or own, temperatures=temperatures), taped, weighing, pieces), RUN).value
    return [f.code for f in answer.findings], answer


def _as(readings: tuple[Temperature, ...], kind: TemperatureKind, **new: object) -> tuple[Temperature, ...]:
    return tuple(replace(t, **new) if t.kind is kind else t for t in readings)  # type: ignore[arg-type]


def _in_f_taken_as_c(readings: tuple[Temperature, ...], *kinds: TemperatureKind) -> tuple[Temperature, ...]:
    """What a °C job gets when a °F thermometer is typed in without its unit."""
    return tuple(replace(t, value=float(f_from_celsius(t.value))) if t.kind in kinds else t for t in readings)


def _in_c_taken_as_f(readings: tuple[Temperature, ...], *kinds: TemperatureKind) -> tuple[Temperature, ...]:
    return tuple(replace(t, value=celsius(t.value)) if t.kind in kinds else t for t in readings)


AFTER = evening("after", BOARDED, SPACE)
BEFORE = evening("before", BARE, SPACE)


@pytest.mark.parametrize(
    ("temperatures", "code", "said"),
    [
        (_in_f_taken_as_c(AFTER, *K), "prove.reading-impossible", "read in °F?"),
        (_in_f_taken_as_c(AFTER, K.ROOM_AIR), "prove.reading-impossible", "read in °F?"),
        (_in_f_taken_as_c(AFTER, K.SURFACE_INFRARED), "prove.beyond", "read in °F?"),
        (_in_f_taken_as_c(AFTER, K.BUFFER_AIR), "prove.mild", "between its two sides"),
        (_in_c_taken_as_f(AFTER, *K), "prove.reading-impossible", "read in °C?"),
        (_in_c_taken_as_f(AFTER, K.ROOM_AIR), "prove.reading-impossible", "read in °C?"),
        (_in_c_taken_as_f(AFTER, K.BUFFER_AIR), "prove.space-odd", "not between"),
        (_as(AFTER, K.ROOM_AIR, value=-8.0), "prove.reading-impossible", "cannot be right"),
        (_as(_as(AFTER, K.ROOM_AIR, value=4.0), K.BUFFER_AIR, value=16.0), "prove.space-odd", "not between"),
        (_as(AFTER, K.ROOM_AIR, sun=True), "prove.air-sun", "in the sun"),
        (_as(AFTER, K.SURFACE_INFRARED, emissivity=0.05, spot="middle, tape"), "prove.bright-patch", "emissivity"),
        (_as(AFTER, K.SURFACE_INFRARED, time="yesterday"), "prove.reading-time", "cannot be read"),
        (tuple(t for t in AFTER if t.kind is not K.ROOM_AIR), "prove.air-missing", "say nothing"),
        ((*BEFORE[:3], *AFTER[3:]), "prove.air-missing", "say nothing"),
        (tuple(replace(t, when="before" if t.when == "after" else "after") for t in (*BEFORE, *AFTER)),
         "prove.contradiction", "mixed up"),
        (_as(AFTER, K.SURFACE_INFRARED, value=-5.0), "prove.contradiction", "contradict"),
    ],
)  # fmt: skip
def test_wrong_readings_give_a_finding_and_no_figure(
    temperatures: tuple[Temperature, ...], code: str, said: str
) -> None:
    codes, answer = _answer(temperatures)
    assert code in codes
    assert any(said in told(f) and f.code == code and f.weight is Weight.WARN for f in answer.findings)
    assert answer.faces == ()
    assert answer.saving is None
    assert answer.to_read  # and they are asked for again


def test_a_night_colder_than_any_design_day_is_asked_about() -> None:
    codes, answer = _answer(_in_c_taken_as_f(AFTER, K.OUTDOOR_AIR))
    assert "prove.outdoor-odd" in codes
    assert any("read in °C?" in told(f, "ft-in") for f in answer.findings if f.code == "prove.outdoor-odd")
    assert "prove.outdoor-odd" not in _answer(AFTER)[0]


def test_readings_by_day_are_noted_once() -> None:
    for hour, noted in (("13:00", 1), ("21:00", 0), ("08:00", 0)):
        timed = tuple(replace(t, time=f"2026-01-10T{hour}") for t in AFTER)
        assert _answer(timed)[0].count("prove.by-day") == noted


def test_two_airs_mixed_up_are_named() -> None:
    """The eaves' air written as the room's: both plausible, the wrong way round."""
    swapped = _as(_as(AFTER, K.ROOM_AIR, value=4.0), K.OUTDOOR_AIR, value=19.0)
    codes, answer = _answer(tuple(t for t in _as(swapped, K.BUFFER_AIR, value=18.0)))
    assert "prove.swapped" in codes
    assert answer.faces == ()


def test_readings_older_than_the_work_are_stale() -> None:
    job = boxes()[0]
    dated = tuple(replace(t, time="2026-01-10T21:00") for t in AFTER)
    for day, good in (("2026-01-09", True), ("2026-01-10", True), ("2026-01-12", False)):
        worked = replace(job, log=replace(job.log, entries=(LogEntry(2.0, face="B1-back", share_done=1.0, day=day),)))
        codes, answer = _answer(dated, worked)
        assert ("prove.stale" in codes) is not good
        assert bool(answer.faces) is good
    begun = replace(job, log=replace(job.log, entries=(LogEntry(1.0, face="B1-back", day="2026-01-02"),)))
    assert "prove.stale-before" in _answer(tuple(replace(t, time="2026-01-10T21:00") for t in BEFORE), begun)[0]
    # a corrected day counts, the slip does not
    slip = (
        LogEntry(2.0, face="B1-back", share_done=1.0, day="2026-02-09"),
        LogEntry(2.0, face="B1-back", share_done=1.0, day="2026-01-09", replaces=0),
    )
    assert "prove.stale" not in _answer(dated, replace(job, log=replace(job.log, entries=slip)))[0]


def test_a_set_read_over_days_is_no_set() -> None:
    late = tuple(replace(t, time=f"2026-01-1{n}T21:00") for n, t in enumerate(AFTER))
    codes, answer = _answer(late)
    assert codes.count("prove.times-apart") == 1
    assert answer.faces == ()


def test_the_wind_of_a_set_is_what_was_noted() -> None:
    plain = evening("after", BOARDED, SPACE, name="first")
    assert winds(plain) == (frozenset(), frozenset())
    noted = (replace(plain[0], wind="windy"), *plain[1:])
    assert winds(noted)[0] == {("after", "first")}
    assert winds(evening("after", BOARDED, SPACE, name="a windy night"))[0] == {("after", "a windy night")}
    calm = tuple(replace(t, wind="calm") for t in evening("after", BOARDED, SPACE, name="window seat"))
    assert winds(calm)[0] == frozenset()
    codes, answer = _answer((replace(plain[0], wind="windy"), replace(plain[1], wind="calm"), *plain[2:]))
    assert codes.count("prove.wind-both") == 1
    assert answer.faces == ()


def test_a_windy_night_noted_changes_the_answer_and_what_is_asked() -> None:
    """Calm 50 °F; on the windy night the surface is no colder: no air goes round, the resistance itself is poor."""
    calm = evening("after", BOARDED, SPACE, name="one")
    same = evening("after", BOARDED, SPACE, name="two")
    windy = tuple(replace(t, wind="windy") for t in same)
    asked = [r.what for r in _answer((*calm, *same))[1].to_read]
    told = [r.what for r in _answer((*calm, *windy))[1].to_read]
    assert "the same spots again" in asked
    assert "the same spots again" not in told
    unnoted, noted = (_answer((*calm, *x))[1].faces[0].bypass.median for x in (same, windy))
    assert noted < unnoted


def test_plate_and_airs_of_its_week_need_each_other_not() -> None:
    """Airs logged over the week of a plate are not compared with each other."""
    hours = [f"2026-01-{10 + h // 24:02d}T{h % 24:02d}:00" for h in range(96)]
    rows: list[Temperature] = []
    for n, at in enumerate(hours):
        te = 2.0 + (n % 24) / 8.0
        rows += [
            Temperature(K.SURFACE_CONTACT, 19.0, "after", "week", "B1-back", time=at),
            Temperature(K.SURFACE_CONTACT, te, "after", "week", "B1-back", time=at, side="cold"),
            Temperature(K.HEAT_FLUX, (19.0 - te) / 1.5, "after", "week", "B1-back", time=at),
            Temperature(K.OUTDOOR_AIR, te - 1.0, "after", "week", time=at),
        ]
    codes, answer = _answer(tuple(rows))
    assert "prove.airs-apart" not in codes
    assert answer.faces
    worked = boxes()[0]
    worked = replace(worked, log=replace(worked.log, entries=(LogEntry(1.0, face="B1-back", day="2026-01-20"),)))
    codes, answer = _answer(tuple(rows), worked)
    assert "prove.stale" in codes
    assert answer.faces == ()
    as_f = tuple(replace(t, value=t.value * 1.8 + 32) if t.kind is K.SURFACE_CONTACT else t for t in rows)
    codes, answer = _answer(as_f)
    assert "prove.series-unit" in codes
    assert answer.faces == ()


finite = st.floats(-1e4, 1e4) | st.sampled_from([float("nan"), float("inf"), -float("inf")])
anything = st.builds(
    Temperature,
    st.sampled_from(TemperatureKind),
    finite,
    st.sampled_from(["before", "after", "during", ""]),
    st.sampled_from(["", "windy", "x"]),
    st.sampled_from(["B1-back", "K1", "nowhere", ""]),
    st.sampled_from(["", "eaves-n", "inside", "moon"]),
    st.sampled_from(["middle", "corner", "tape", ""]),
    st.floats(0.0, 1.5) | st.just(float("nan")),
    st.none() | finite,
    st.floats(0.0, 1.5),
    st.floats(0.0, 30.0),
    st.booleans(),
    st.floats(0.0, 10.0) | st.just(float("nan")),
    st.sampled_from(["", "2026-01-10T20:00", "2026-01-10T20:00+01:00", "noon"]),
    st.sampled_from(["warm", "cold", "left"]),
    st.sampled_from(["", "windy", "calm"]),
)


@settings(max_examples=25, deadline=None)
@given(st.lists(anything, max_size=8))
def test_nothing_that_is_read_breaks_the_judge(readings: list[Temperature]) -> None:
    job, taped, weighing, pieces = boxes()
    small = replace(job, temperatures=tuple(readings))
    answer = prove(Followed(small, taped, weighing, pieces), RUN).value
    for face in answer.faces:
        assert 0.0 < face.resistance.low95 <= face.resistance.high95 < 50.0
    assert not looked_over(small, frozenset()).windy & winds(readings)[1]


def test_other_unit_and_words() -> None:
    assert "°F" in told(other_unit(68.0, Units.MM, 10.0, 30.0) or "")
    assert "°C" in told(other_unit(celsius(20.0), Units.FT_IN, 10.0, 30.0) or "")
    assert other_unit(300.0, Units.MM, 10.0, 30.0) is None
    assert impossible(Temperature(K.ROOM_AIR, 20.0), Units.MM) is None
    assert impossible(Temperature(K.HEAT_FLUX, 5000.0, sigma=2.0), Units.MM)
    assert temp(20.0, Units.FT_IN) == "68.0 °F"
    assert diff(10.0, Units.FT_IN, 0) == "18 °F"
    assert diff(10.0, Units.MM, 0) == "10 K"
    assert film(0.1761, Units.FT_IN) == "R-1.0"
    assert (counted(1, "entry", "entries"), counted(2, "entry", "entries")) == ("1 entry", "2 entries")


def lines(findings: list[Finding]) -> list[str]:
    return [told(f) for f in gathered(findings, 8)]


def sun(number: int, face: str) -> Finding:
    return aside(Said.of("prove.sun", face=FaceRef(face)), number)


def test_the_same_said_of_several_readings_is_one_line() -> None:
    assert lines([sun(2, "C1"), sun(3, "C1"), sun(9, "C2"), sun(4, "C1")]) == [
        "Readings 2, 3 and 4 on C1: the sun was on it. Read after dark. Set aside.",
        "Reading 9 on C2: the sun was on it. Read after dark. Set aside.",
    ]
    (many,) = lines([sun(n, "C1") for n in range(100)])
    assert many.startswith("Readings 0, 1, 2, 3, 4, 5, 6, 7 and 92 more on C1")


def test_figures_that_differ_become_a_range_and_nothing_else_is_mixed() -> None:
    def mild(number: int, face: str, apart: float) -> Finding:
        wanted = TemperatureDifference(5.0)
        said = Said.of("prove.mild", face=FaceRef(face), apart=TemperatureDifference(apart), wanted=wanted)
        return aside(said, number)

    told_ = lines([mild(3, "C1", 2.9), mild(4, "C1", -0.5), mild(5, "C2", 1.0), mild(6, "C1", 3.1)])
    assert len(told_) == 2
    assert told_[0].startswith("Readings 3, 4 and 6 on C1: only -0.5 K to 3.1 K between its two sides; 5 K are wanted.")
    assert told_[1].startswith("Reading 5 on C2: only 1 K between its two sides; 5 K are wanted.")


def test_what_is_said_of_a_set_is_said_once_and_of_entries_with_their_numbers() -> None:
    apart = [
        Finding.of("prove.times-apart", Weight.WARN, ("temperatures", n), set=Name("x"), hours=Span(9.0))
        for n in (2, 3, 7)
    ]
    pauses = [
        Finding.of("prove.log-pause", Weight.NOTE, ("log", "entries", n), entry=RowRef(n, "entry")) for n in (0, 2)
    ]
    assert [text.partition(":")[0] for text in lines([*apart, *pauses])] == [
        "Readings of the set x were taken over 9 h",
        "Entries 0 and 2 are pauses",
    ]


def test_heavy_walls_are_to_be_read_after_a_long_steady_time() -> None:
    """What is asked for passes: the hours that the request names are the hours that the screen wants."""
    job, taped, weighing, pieces = mill()
    asked = prove(Followed(job, taped, weighing, pieces), RUN).value.to_read
    assert any("heating steady for 13 h" in r.when for r in asked)
    own = boxes()
    assert any("heating steady for 3 h" in r.when for r in prove(Followed(*own), RUN).value.to_read)


def test_a_reading_that_was_set_aside_is_asked_for_again_in_its_stage() -> None:
    def asked(readings: tuple[Temperature, ...]) -> str:
        rows = [r for r in _answer(readings)[1].to_read if r.what.startswith("surface temperature, three")]
        return next(r.where for r in rows if r.when.startswith("before"))

    assert "B1-back" not in asked(BEFORE)
    assert "B1-back" in asked(_as(BEFORE, K.SURFACE_INFRARED, sun=True))
