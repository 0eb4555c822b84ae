"""Whatever room finds a fault, it is told with the line of the user's own file, in plain words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core._pydantic_core import list_all_errors
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Effort, InputError, NoPlan, Problems, Run, SnugbayError
from snugbay.document import EXAMPLES, example, located, read
from snugbay.document.lines import field_lines
from snugbay.document.wording import said
from snugbay.flow import measured, weighed

LIBRARY_WORDS = (
    "input should", "string should", "valid dictionary", "value_error", "value error", "pydantic", "validation",
    "valid string", "field required", "extra inputs", "unable to", "discriminator", "instance of", "not permitted",
    "parse", "traceback", "nonetype", "frozenset", "ellipsis", "python",
)  # fmt: skip


def places(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if path:
        yield path
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from places(inner, (*path, key))
    elif isinstance(node, list):
        for number, inner in enumerate(node):
            yield from places(inner, (*path, number))


def faults_of(error: SnugbayError) -> tuple[SnugbayError, ...]:
    return error.errors if isinstance(error, Problems) else (error,)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_every_field_of_a_document_has_its_line(name: str, ends: str) -> None:
    text = example(name).replace("\n", ends)
    lines = field_lines(text)
    assert set(lines) == set(places(tomllib.loads(text)))
    rows = text.split("\n")
    for path, number in lines.items():
        names = [str(s) for s in path if isinstance(s, str)]
        if isinstance(path[-1], str):
            assert names[-1].split(" ")[0] in rows[number - 1], (path, rows[number - 1])


def test_lines_of_odd_but_valid_toml() -> None:
    text = (
        '\ufeff"a b" = 1 # x = 2\n\n[t."q.r"]\nm.n = """\nk = 3\n"""\nl = [\n  { x = 1, y = "]" }, # {\n  [2,\n 3]]\n'
    )
    lines = field_lines(text)
    assert set(lines) == set(places(tomllib.loads(text.removeprefix("\ufeff"))))
    assert lines["t", "q.r", "m", "n"] == 4
    assert lines["t", "q.r", "l", 0, "y"] == 8
    assert lines["t", "q.r", "l", 1, 1] == 10


@pytest.mark.parametrize("kind", list_all_errors(), ids=lambda k: k["type"])
def test_no_finding_of_the_library_reaches_the_user_in_its_words(kind: dict[str, Any]) -> None:
    for wrong in ("rubbish", 7, None, [1], {"a": 1}, float("nan"), True, "x" * 900):
        ctx = kind.get("example_context") or {}
        what, hint = said({"type": kind["type"], "loc": ("faces", 0, "width"), "msg": "", "input": wrong, "ctx": ctx})
        text = f"{what} {hint}".lower()
        assert what.endswith(".")
        assert what[0].isupper() or not what[0].isalpha() or what.startswith(("true", "nan"))
        assert not [w for w in LIBRARY_WORDS if w in text], text
        assert len(text) < 250


RUBBISH = st.one_of(
    st.booleans(),
    st.integers(-3, 10**19),
    st.floats(allow_nan=True),
    st.text("aé½\"' -/018", max_size=12),
    st.just([]),
    st.just({"no": "field"}),
    st.lists(st.integers(), max_size=2),
)


@given(st.sampled_from(EXAMPLES), st.randoms(use_true_random=False), RUBBISH)
@settings(max_examples=100, deadline=None)
def test_any_rubbish_anywhere_is_refused_in_plain_words_with_a_line(name: str, random: Any, rubbish: Any) -> None:
    import tomlkit

    data = tomllib.loads(example(name))
    path = random.choice(list(places(data)))
    node: Any = data
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = rubbish
    text = tomlkit.dumps(data)
    try:
        read(text)
    except InputError as error:
        for fault in faults_of(error):
            assert not [w for w in LIBRARY_WORDS if w in f"{fault.what} {fault.hint}".lower()], str(fault)
            assert fault.line is not None or not fault.where or fault.code == "document.missing", str(fault)
            assert fault.hint or "Write" in fault.what, str(fault)


CELLAR = example("mill-cellar")
COTTAGE = COTTAGE_BY_FACES
HEMP = '\n[[own_ways]]\nid = "hemp"\nleak_left = "lots"\n[own_ways.fill]\nconductivity = 0.04\nthickness_mm = 80\n'


@pytest.mark.parametrize(
    ("text", "place", "on"),
    [
        (CELLAR.replace("version = 1", 'version = "1"'), "version", 'version = "1"'),
        (COTTAGE.replace('width = "36"\n', "width = 0\n"), "shapes.B1.width", "width = 0"),
        (CELLAR.replace('id = "C1"', 'id = "C1"\nmust = "magic"'), "faces.C1.must", 'must = "magic"'),
        (CELLAR.replace("width = 900", "width = 9000"), "faces.C1.openings.cellar window", "width = 9000"),
        (COTTAGE.replace('x = "143", y = "6"', 'x = "100", y = "6"'), "faces.K1.openings.hatch", 'x = "100"'),
        (COTTAGE + HEMP, "own_ways.hemp.leak_left", "lots"),
        (COTTAGE.replace('"Portland, ME"', '"Nowhere-under-Wold"'), "place.climate", "Nowhere-under-Wold"),
        (COTTAGE.replace("budget = 2600", "budget = 0"), "wishes.budget", "budget = 0"),
        (COTTAGE.replace('width = "14\' 2", height = "58"', 'width = "6\'", height = "58"').replace(
            'right = "58 1/4", diagonal = "14\' 11-11/16"', 'right = "58 1/4"'), "joins.knee wall to eaves floor",
         "[[joins]]"),
    ],
    ids=lambda v: v if len(str(v)) < 40 else "",
)  # fmt: skip
def test_faults_that_only_the_whole_job_shows_have_their_line_too(text: str, place: str, on: str) -> None:
    with pytest.raises((InputError, NoPlan)) as caught:
        weighed(read(text), Run(effort=Effort.QUICK))
    fault = faults_of(located(caught.value, text))[0]
    assert place in str(fault)
    assert fault.line is not None
    assert on in text.split("\n")[fault.line - 1]


def test_a_join_of_unequal_edges_names_both_readings() -> None:
    text = COTTAGE.replace('width = "14\' 2", height = "58", right = "58 1/4", diagonal = "14\' 11-11/16"',
                           'width = "6\'", height = "58"')  # fmt: skip
    with pytest.raises(InputError) as caught:
        measured(read(text), Run())
    for word in ("8' 2\"", "14' 2\"", "6' 0\"", "K1 A-B", "F1 C-D"):
        assert word in str(caught.value)


def test_a_slip_of_the_tape_at_a_join_is_left_to_the_survey() -> None:
    found = measured(read(COTTAGE.replace('width = "14\' 2", height = "58"', 'width = "12\' 2", height = "58"')), Run())
    assert [s.face for s in found.value.suspects] == ["F1"]


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ("height = 2096", "height = 6' 10\"", 35, "equals sign|after the value|quote"),
        ("[stock]", "[stock]\n[place]", 43, "stands twice"),
        ('units = "mm"', 'units = "mm', 5, "quote"),
        ("hands = 2", "hands 2", 46, "equals sign"),
        ("hands = 2", "hands = two", 46, "quotes"),
        ("hands = 2", "hands = 2\nhands = 2", 47, "twice"),
        ('tools = ["long knife"]', 'tools = ["long knife"', 48, "bracket"),
    ],
)
def test_slips_of_the_pen_in_the_file_are_told_with_their_line(old: str, new: str, line: int, told: str) -> None:
    with pytest.raises(InputError, match=told) as caught:
        read(CELLAR.replace(old, new))
    assert caught.value.line == line
    assert "Cannot" not in str(caught.value)
    assert "(" not in caught.value.what


def test_a_shape_that_cannot_be_made_is_the_only_fault_told() -> None:
    """Changes and log entries of its faces are not blamed for naming what is not there."""
    wall = 'shape = "knee wall"\nheights = [{ at = 20000, height = 2000 }]'
    text = CELLAR.replace('shape = "cellar wall"', wall).replace('more = { "A-C"', 'floor = 900\nmore = { "wall A-C"')
    text = text.replace('"B-D" = ', '"wall B-D" = ').replace('"C-D" = ', '"wall C-D" = ')
    text = text[: text.index("openings =")] + text[text.index("[stock]") :]
    text += '\n[[changes]]\nface = "C1-floor"\nheadroom = 900\n[[log.entries]]\nhours = 1\nface = "C1-wall"\n'
    with pytest.raises(InputError) as caught:
        read(text)
    assert [f.where for f in faults_of(caught.value)] == [("shapes", "C1", "heights")]
    line = faults_of(caught.value)[0].line
    assert line is not None
    assert text.split("\n")[line - 1].startswith("heights")


def test_the_warm_zone_stands_first() -> None:
    text = CELLAR.replace('between = ["inside", "outside"]', 'between = ["outside", "inside"]')
    with pytest.raises(InputError, match=r'write between = \["inside", "outside"\]') as caught:
        read(text)
    assert caught.value.line == 33


@pytest.mark.parametrize("before", ["\ufeff", "\r\n", "# only a comment\n"])
def test_marks_of_other_editors_do_no_harm(before: str) -> None:
    assert read(before + COTTAGE.replace("\n", "\r\n")).name == "ferry-cottage"


@pytest.mark.parametrize("text", ["a = " + "9" * 5000, "a = " + "[" * 3000, "", " \n\t", "\ufeff"])
def test_files_that_are_no_document_are_refused(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert caught.value.hint


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('fuel = "gas"\n', 'fuel = "gas"\nfuel_price = 1000\n', "place.fuel_price"),
        ('fuel = "gas"\n', 'fuel = "gas"\ndesign_temperature = "60 C"\n', "place.design_temperature"),
        ('fuel = "gas"\n', 'fuel = "gas"\nindoor = "68 C"\n', "place.indoor"),
        ('fuel = "gas"\n', 'fuel = "gas"\nblower_door_m3h = 10000000\n', "place.blower_door_m3h"),
        ("hands = 2", "hands = 2\nhour_worth = 1e6", "you.hour_worth"),
        ('shape = "cellar wall"', 'shape = "rafter slope"\npitch = -1\nrafter = 2000\nwidth = 3000', "shapes.C1.pitch"),
    ],
)
def test_figures_that_no_house_has_are_refused_where_they_stand(old: str, new: str, place: str) -> None:
    text = CELLAR.replace(old, new)
    with pytest.raises(InputError) as caught:
        read(text)
    named = {".".join(map(str, f.where)): f for f in faults_of(caught.value)}
    assert place in named
    line = named[place].line
    assert line is not None
    assert place.rsplit(".", 1)[1] in text.split("\n")[line - 1]
