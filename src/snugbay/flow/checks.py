"""Names and places that only the whole job can check, before anything is reckoned with them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches

from shapely.geometry import LineString, Polygon

from snugbay.base import Finding, InputError, Problems, Said, SnugbayError, SurveyError, Weight
from snugbay.base.errors import place_text
from snugbay.base.facts import Fault, Length, Name
from snugbay.job import Face, Hole, Job, Opening, Reading, ReadingKind
from snugbay.materials import Rates, boards
from snugbay.materials.items import item_ids
from snugbay.survey import Survey
from snugbay.survey.interruptions import place
from snugbay.survey.overlaps import overlapping
from snugbay.tape import tape_for
from snugbay.ways import all_ways
from snugbay.ways.limits import AS_FOUND

UNEQUAL = 0.4
"""Joined edges that differ by more of the longer one are no slip of the tape but two different edges. [-]"""
EDGE_PLAY = 0.03
"""An opening may reach past its face's edge by this: readings differ. [m]"""
BOX_PLAY = 0.02
"""A box and the opening it fills may differ by this. [m]"""


def _known(name: str, names: Iterable[str], what: str, where: tuple[str | int, ...]) -> list[SnugbayError]:
    known = sorted(set(names))
    if name.split("/", maxsplit=1)[0] in known or name in known:
        return []
    close = get_close_matches(name, known, n=3, cutoff=0.4) or known[:8]
    return [InputError(f"There is no {what} {name!r}.", where=where, hint="Close names: " + ", ".join(close) + ".")]


def check_names(job: Job) -> None:
    """Refuse ways, prices and things on hand that nobody knows.

    Raises
    ------
    InputError
        (`Problems` where there are several) naming each field.
    """
    rates = Rates()
    table = all_ways(job.own_ways, rates)
    ways = [w.id for w in table]
    things = [*item_ids(), *(i.id for w in table for i in w.items), *(b.key for b in boards())]
    faults: list[SnugbayError] = []
    for face in job.faces:
        if face.must:
            faults += _known(face.must, (*ways, AS_FOUND), "way", ("faces", face.id, "must"))
        for number, way in enumerate(face.never):
            faults += _known(way, ways, "way", ("faces", face.id, "never", number))
        if face.must and face.must.split("/")[0] in {*face.never, *job.wishes.ways_never}:
            faults.append(
                InputError(
                    f"The way {face.must!r} is both a must and a never.",
                    where=("faces", face.id, "must"),
                    hint="Remove it from one of the two.",
                )
            )
    for number, way in enumerate(job.wishes.ways_never):
        faults += _known(way, ways, "way", ("wishes", "never", number))
    for number, price in enumerate(job.stock.prices):
        faults += _known(price.item, [*things, *rates.ids()], "price or rate", ("stock", "prices", number, "item"))
    for number, (thing, _) in enumerate(job.stock.on_hand):
        faults += _known(thing, things, "thing to buy", ("stock", "on_hand", number, "item"))
    _report(faults)


def _edge_reading(face: Face, edge: tuple[str, str]) -> Reading | None:
    """Return the one length read of an edge, or of the opposite side where only that was read; None where more were."""
    lengths = [r for r in face.readings if r.kind is ReadingKind.DISTANCE]
    own = [r for r in lengths if set(r.corners) == set(edge)]
    if not own and len(face.corners) == 4:
        opposite = set(face.corners) - set(edge)
        own = [r for r in lengths if set(r.corners) == opposite]
    return own[0] if len(own) == 1 else None


def check_joins(job: Job) -> None:
    """Refuse joins of edges so unequal that they cannot be one line; smaller slips are the survey's to find.

    Raises
    ------
    InputError
        (`Problems` where there are several) naming the join and its two readings.
    """
    faults: list[SnugbayError] = []
    text = tape_for(job.units).text
    for join in job.joins:
        one = _edge_reading(job.face(join.a), join.edge_a)
        two = _edge_reading(job.face(join.b), join.edge_b)
        if one is None or two is None or abs(one.value - two.value) <= UNEQUAL * max(one.value, two.value):
            continue
        first, second = (
            f"{face} {'-'.join(edge)} reads {text(reading.value)}"
            + ("" if set(reading.corners) == set(edge) else f" (read at {reading.name})")
            for face, edge, reading in ((join.a, join.edge_a, one), (join.b, join.edge_b, two))
        )
        faults.append(
            InputError(
                f"The edges that meet here are {text(abs(one.value - two.value))} apart: {first}, {second}.",
                where=("joins", join.name),
                hint="Edges that meet have one length: pull both again, or join the edges that really meet.",
                code="survey.unequal-join",
            )
        )
    _report(faults)


def _too_deep(face: Face, survey: Survey) -> list[SnugbayError]:
    """Return notches whose inner end lies beyond the other side of their face."""
    adjusted = survey.face(face.id)
    room = Polygon(adjusted.points).buffer(EDGE_PLAY, join_style="mitre")
    out: list[SnugbayError] = []
    for notch in face.notches:
        try:
            inner = place(adjusted, notch).outline[1:3]
        except SurveyError:
            continue  # told by its finding
        if not room.intersects(LineString(inner)):
            out.append(
                InputError(
                    f"{notch.name!r} goes in deeper than its face is.",
                    where=("faces", face.id, "notches", notch.name),
                    hint="depth is measured square to the edge, from it to the inner end; check the number.",
                )
            )
    return out


def _sticking_out(face: Face, survey: Survey) -> list[SnugbayError]:
    """Return openings and holes that stick out of their face by more than measuring explains."""
    adjusted = survey.face(face.id)
    room = Polygon(adjusted.points).buffer(EDGE_PLAY, join_style="mitre")
    boxes: list[tuple[str, Opening | Hole]] = [("openings", o) for o in face.openings]
    boxes += [("holes", replace(h, round=False)) for h in face.holes]
    out: list[SnugbayError] = []
    for field, item in boxes:
        try:
            shape = Polygon(place(adjusted, item).outline)
        except SurveyError as error:
            out.append(error)
            continue
        if not room.covers(shape):
            out.append(
                InputError(
                    f"{item.name!r} sticks out of its face.",
                    where=("faces", face.id, field, item.name),
                    hint="x runs from the first corner along the first edge, y square to it; check place and size.",
                )
            )
    return out


def place_faults(job: Job, survey: Survey, findings: tuple[Finding, ...]) -> list[SnugbayError]:
    """Return interruptions out of their face or in an opening, openings in each other, boxes larger than theirs."""
    faults: list[SnugbayError] = [
        InputError.of(f.said, where=f.where, cure=Said.of("flow.said.measure-again"))
        for f in findings
        if f.code == "survey.interruption"
    ]
    for face in job.faces:
        faults += _sticking_out(face, survey) + _too_deep(face, survey)
        faults += overlapping(face)
    for host in job.hosts:
        opening = next(o for o in job.face(host.face).openings if o.name == host.opening)
        points = survey.face(host.root).points
        size = [max(p[a] for p in points) - min(p[a] for p in points) for a in (0, 1)]
        if abs(size[0] - opening.width) > BOX_PLAY or abs(size[1] - opening.height) > BOX_PLAY:
            faults.append(
                InputError.of(
                    Said.of(
                        "flow.box-too-large",
                        width=Length(size[0]),
                        height=Length(size[1]),
                        free_width=Length(opening.width),
                        free_height=Length(opening.height),
                    ),
                    where=("faces", host.face, "openings", host.opening),
                    cure=Said.of("flow.said.box-again"),
                )
            )
    return faults


def place_findings(job: Job, survey: Survey, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return a STOP for each place that a plan will refuse and that no finding of the survey tells yet."""
    told = {f.where for f in findings if f.code == "survey.interruption"}
    return tuple(
        Finding.of("flow.place", Weight.STOP, e.where, place=Name(place_text(e.where)), fault=Fault.of(e))
        for e in place_faults(job, survey, ())
        if e.where not in told
    )


def check_places(job: Job, survey: Survey, findings: tuple[Finding, ...]) -> None:
    """Refuse what `place_faults` finds.

    Raises
    ------
    InputError
        (`Problems` where there are several) naming each place.
    """
    _report(place_faults(job, survey, findings))


def _report(faults: list[SnugbayError]) -> None:
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise Problems(faults)
