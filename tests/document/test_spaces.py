"""Spaces in the document: a few lines come to a whole job; what cannot be is refused at the number."""

from __future__ import annotations

import pytest

from snugbay.base import InputError, SnugbayError
from snugbay.document import read
from snugbay.document.read import schema
from snugbay.job import Job, ZoneKind
from snugbay.job.space import kind_names, kinds
from snugbay.words import Writer

HEAD = 'name = "x"\nunits = "{units}"\n[place]\nclimate = "Portland, ME"\n[[spaces]]\n'


def eaves(more: str = "", size: str = 'length = "14\' 2"\nheight = 46\ndepth = 58', units: str = "ft-in") -> Job:
    return read(HEAD.format(units=units) + f'kind = "eaves"\n{size}\n{more}\n')


def fault(more: str = "", size: str = 'length = "14\' 2"\nheight = 46\ndepth = 58') -> SnugbayError:
    with pytest.raises(InputError) as caught:
        eaves(more, size)
    return caught.value


def test_a_few_lines_come_to_a_whole_job() -> None:
    job = eaves()
    assert {f.id for f in job.faces} == {
        "eaves-floor",
        "eaves-knee-wall",
        "eaves-slope",
        "eaves-left-end",
        "eaves-right-end",
    }
    assert len(job.joins) == 9
    assert [z.kind for z in job.zones] == [ZoneKind.INSIDE, ZoneKind.OUTSIDE, ZoneKind.BUFFER]
    assert job.zones[2].volume == pytest.approx(14 + 2 / 12, rel=0.9)
    assert all(not f.rough_edges for f in job.faces)
    assert any(d.where == "spaces.eaves.readings" for d in job.defaults)


def test_the_volume_of_the_zone_by_hand() -> None:
    # 14 ft 2 in x 58 in x 46 in / 2, in metres
    assert eaves().zones[2].volume == pytest.approx(170 * 58 * 46 / 2 * 0.0254**3)


def test_a_hatch_in_the_space_is_the_way_in() -> None:
    job = eaves('put = [{ what = "hatch", at = 140, up = 6, width = 22, height = 30 }]')
    assert (job.access.width, job.access.height) == pytest.approx((22 * 0.0254, 30 * 0.0254))
    assert job.access.clear_run == pytest.approx(58 * 0.0254, abs=1e-4)
    assert any(d.where == "access" for d in job.defaults)


def test_every_number_left_out_is_listed() -> None:
    job = eaves(size="length = 170\nheight = 46")
    listed = {d.where: d.value for d in job.defaults}
    assert "spaces.eaves.depth" in listed
    assert "spaces.eaves.outer" in listed


@pytest.mark.parametrize(
    ("size", "where"),
    [
        ("length = 170\nheight = 200", "height"),
        ('length = "200 m"', "length"),
        ("length = 170\nheight = 46\ndepth = -3", "depth"),
        ("length = 170\nheight = 46\ndepth = 58\nskew_left = 80", "skew_left"),
    ],
)
def test_a_number_that_cannot_be_is_refused_where_it_stands(size: str, where: str) -> None:
    error = fault(size=size)
    faults = getattr(error, "errors", (error,))
    assert any(where in e.where for e in faults)
    assert all(e.line for e in faults)
    assert all(e.hint for e in faults)


def test_a_number_ten_times_off_is_asked_about_and_may_be_confirmed() -> None:
    error = fault(size="length = 3\nheight = 46\ndepth = 58")  # 3 in
    assert "3" in error.what
    tiny = "length = '1 ft'\nheight = 46\ndepth = 1.5"
    assert "sure" in fault(size="length = '14 ft'\nheight = 46\ndepth = 58\nouter = 0.2").hint
    assert eaves('sure = ["outer"]', size="length = '14 ft'\nheight = 46\ndepth = 58\nouter = 0.2")
    assert fault(size=tiny).hint


@pytest.mark.parametrize(
    ("more", "where"),
    [
        ('put = [{ what = "hatch", at = 160, width = 22, height = 30 }]', "width"),
        ('put = [{ what = "niche", at = 20, up = 30, width = 20, height = 12, depth_of_box = 30 }]', "depth_of_box"),
        ('put = [{ what = "niche", at = 20, width = 20 }]', "height"),
        ('put = [{ what = "niche", on = "roof", at = 20, width = 20, height = 9, depth_of_box = 9 }]', "on"),
        ('behind = { "left end" = "moon" }', "left end"),
        ('readings = { "knee wall hight at the left end" = 46 }', "knee wall hight at the left end"),
        ('readings = { "knee wall height at the left end" = "tall" }', "knee wall height at the left end"),
        ('within = "loft"', "within"),
        ('kin = "x"', "kin"),
    ],
)
def test_what_cannot_be_in_a_space_is_refused_where_it_stands(more: str, where: str) -> None:
    error = fault(more)
    assert error.where[-1] == where
    assert error.hint
    assert error.line


def test_what_sticks_out_is_said_in_the_units_of_the_tape() -> None:
    error = fault('put = [{ what = "hatch", at = 160, width = 22, height = 30 }]')
    assert error.units == "ft-in"
    assert error.said is not None
    assert error.cure is not None
    words = Writer("ft-in")
    assert "1'" in words.told(error.cure) or '"' in words.told(error.cure)


def test_a_number_that_cannot_be_is_refused_with_its_unit() -> None:
    """Inches typed into a job in millimetres read as a slip of the unit only where the unit is said."""
    with pytest.raises(InputError) as caught:
        eaves(size="length = 4000\nheight = 14.5\ndepth = 1400", units="mm")
    assert " mm cannot be " in caught.value.what
    assert " mm; usual are " in caught.value.hint


def test_a_missing_kind_is_not_asked_for_in_the_words_of_a_zone() -> None:
    """A temperature has a kind too, and a zone's kinds are refused there."""
    error = fault("[[temperatures]]\nvalue = 20")
    assert error.where[-1] == "kind"
    assert "buffer" not in error.hint


def test_the_schema_has_every_kind_with_its_numbers() -> None:
    definitions = schema()["$defs"]
    for kind in kinds().values():
        name = "".join(word.capitalize() for word in kind.name.split()) + "SpaceDoc"
        assert {n.name for n in kind.numbers} <= set(definitions[name]["properties"])
    assert kind_names()
