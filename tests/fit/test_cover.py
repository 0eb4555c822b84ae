"""The cover goes over the foam when it is sealed, with what holds it and its hours."""

from __future__ import annotations

from functools import cache

import pytest

from snugbay.base import Effort, Run
from snugbay.cautions import cautions
from snugbay.document import read
from snugbay.fit import Step, fitting_plan
from snugbay.flow import cut, rates_of, weighed
from snugbay.weigh import Weighing

RUN = Run(seed=1, effort=Effort.QUICK)

CELLAR = """
version = 1
name = "cellar"
title = "Cellar wall"
units = "mm"
[place]
climate = "Berlin"
currency = "EUR"
[[zones]]
id = "cellar"
kind = "inside"
[[zones]]
id = "ground"
kind = "ground"
[[zones]]
id = "out"
kind = "outside"
[access]
width = "900"
height = "2000"
clear_run = "3000"
[[shapes]]
shape = "cellar wall"
id = "C"
between = ["cellar", "ground"]
length = "2400"
height = "2000"
must = "boards-on-face/pir-100-eur"
layers = [ {material = "brick", thickness = "365"} ]
fasten_to = "masonry"
[shapes.more]
"A-C" = "3124"
"B-D" = "3124"
"C-D" = "2400"
"""


@cache
def cellar() -> tuple[Weighing, tuple[Step, ...]]:
    job = read(CELLAR)
    taped, weighing = weighed(job, RUN).value
    pieces, _ = cut(job, taped, weighing, RUN).value
    codes = tuple(c.code for c in cautions(job, taped, weighing))
    return weighing, fitting_plan(job, weighing, pieces, codes, rates_of(job)).steps


def test_gypsum_goes_on_when_every_joint_under_it_is_sealed() -> None:
    _, steps = cellar()
    cover = next(s for s in steps if s.title == "Cover the foam")
    sealed = [s.number for s in steps if s.title.endswith(": seal")]
    assert sealed
    assert cover.number > max(sealed)
    using = [s for s in steps if any(item == "gypsum" for item, _ in s.uses)]
    assert using == [cover]


def test_the_cover_has_its_battens_its_anchors_and_its_hours() -> None:
    weighing, steps = cellar()
    (option,) = (weighing.option(f, w) for f, w in weighing.plan.ways)
    cover = next(s for s in steps if s.title == "Cover the foam")
    used = dict(cover.uses)
    assert min(used[i] for i in ("gypsum", "batten", "cover-anchor", "gypsum-screw")) > 0
    # 100 mm of foam, 19 mm of batten and 1-1/4 in (31.75 mm) in the wall, rounded up to whole millimetres
    assert "anchors of 151 mm at least" in cover.text
    held = [h for h in option.hours if h.note.startswith("cover: ")]
    assert {h.element for h in held} == {"cover", "fixing"}  # hung, and battens
    assert cover.hours == pytest.approx(sum(h.typical for h in held))
    # no hour of the face is told twice, none is lost
    own = sum(s.hours for s in steps if s.face == option.face) + cover.hours
    assert abs(own - option.hours_typical) < 1e-9
