"""What the physics of a plan finds becomes a caution: with its place, and with who clears it."""

from __future__ import annotations

from functools import cache

from tests.said import said

from snugbay.base import Effort, Finding, Run, Weight
from snugbay.cautions import cautions
from snugbay.document import example, read
from snugbay.job import Job
from snugbay.survey import Survey, survey
from snugbay.weigh import Weighing, weigh

RUN = Run(seed=1, effort=Effort.QUICK)


@cache
def cellar() -> tuple[Job, Survey, Weighing]:
    job = read(example("mill-cellar"))
    taped = survey(job, RUN).value
    return job, taped, weigh(job, taped, RUN).value


def test_stops_and_warnings_are_cautions_and_notes_are_not() -> None:
    wet = Finding.of("transient.wet", Weight.STOP, ("faces", "C1"), "EN 15026; VTT mould model")
    damp = Finding.of("buffer.deck-damp", Weight.WARN, ("zones", "outside"))
    note = Finding.of("buffer.frost", Weight.NOTE, ("zones", "outside"))
    plain = cautions(*cellar())
    more = [c for c in cautions(*cellar(), (wet, damp, note)) if c not in plain]
    assert [c.code for c in more] == ["transient.wet", "buffer.deck-damp"]
    stop, warned = more
    assert stop.weight is Weight.STOP
    assert stop.trigger == "Face C1."
    assert stop.clears
    assert stop.source == "EN 15026; VTT mould model"
    assert said(warned.trigger).endswith(".")
    assert stop.title != warned.title


def test_every_stop_says_who_clears_it() -> None:
    odd = Finding.of("moisture.surface-hopeless", Weight.STOP)
    assert all(c.clears for c in cautions(*cellar(), (odd,)) if c.weight is Weight.STOP)


def test_what_a_rule_tells_already_is_not_told_twice() -> None:
    job, taped, weighing = cellar()
    colder = Finding.of("buffer.colder", Weight.WARN, ("zones", "outside"))
    codes = [c.code for c in cautions(job, taped, weighing, (colder,))]
    assert ("buffer.colder" in codes) != ("colder-buffer" in codes)
