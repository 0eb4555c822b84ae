"""The fire cover of foam: what goes over it, how it is held, how long that takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from snugbay.job import Face, Job, Part, ZoneKind
from snugbay.tape import FOOT_M, INCH_M, Rounding, Tape, tape_for
from snugbay.ways.buildup import Added
from snugbay.ways.conditions import Conditions
from snugbay.ways.fillwork import Amount
from snugbay.ways.found import Ground
from snugbay.ways.limits import occupied
from snugbay.ways.measure import Measured
from snugbay.ways.table import Way
from snugbay.ways.triple import NOTHING, Triple, of
from snugbay.ways.values import HourElement

FT2 = FOOT_M**2
SHEET_FT2 = 32.0
SHEET_WIDTH, SHEET_LENGTH = 4 * FOOT_M, 8 * FOOT_M
GYPSUM = 0.0127
"""Thickness of the thermal barrier. [m]"""
BARRIER = 0.0095
"""Thickness of the ignition barrier, 3/8 in gypsum or equal. [m]"""
BATTEN = 0.019
"""Thickness of a 1x3. [m]"""
BATTEN_FT = 8.0
SCREW = 0.0762
"""Longest screw that gypsum is hung with: 3 in. [m]"""

COVER_ITEMS = frozenset(
    {"gypsum", "gypsum-screw", "gypsum-screw-3in", "batten", "cover-screw", "cover-anchor", "ignition-barrier"}
)  # fmt: skip
"""Items that the cover alone uses: they are taken when everything under it is sealed."""


WAIVED = "in a space for service only an ignition barrier is enough, none where the foam's own fire report waives it"
"""What is said where nobody lives or keeps things on the boards' side."""


NOTE = "cover: "
"""How notes of hours begin that are worked when everything under the cover is sealed."""


@dataclass(frozen=True)
class Cover:
    """The cover of one face; empty where the foam needs none.

    Attributes
    ----------
    hours : tuple of HourElement
        Hanging, element ``cover``, and battens, element ``fixing``; their notes begin with `NOTE`.
    amounts : tuple of Amount
        Board, battens, what holds them.
    words : tuple of str
        What to do.
    """

    hours: tuple[HourElement, ...] = ()
    amounts: tuple[Amount, ...] = ()
    words: tuple[str, ...] = ()


def cover_of(
    base: Ground, face: Measured, way: Way, here: Conditions, layers: tuple[Added, ...], piece_hours: Triple
) -> Cover:
    """Reckon the cover. Sprayed foam at a rim joist needs none up to a thickness; boards there do, piece by piece.

    Parameters
    ----------
    base, face, way, here
        The job, the face, the way, the conditions there.
    layers : tuple of Added
        Layers that the way adds.
    piece_hours : Triple
        Hours to measure, mark, cut and fit one layer of the face's boards.

    Notes
    -----
    Foam thin enough for a 3 in screw has the gypsum screwed through it into wood; anything thicker, and masonry, gets
    battens held through the foam (common practice, no source). Counts are rates of ``ways.cover``.
    """
    rim = face.face.part is Part.RIM
    most = base.rates["ways.cover.rim_spray_most"].typical * INCH_M
    if rim and way.boards is None and sum(k.thickness for k in layers) <= most + 1e-4:
        text = "at the rim joist sprayed foam up to 3-1/4 in needs no cover by the model code; ask locally"
        return Cover(words=(text,))
    room = occupied(base.job, face)
    what, purpose = ("gypsum", "thermal barrier") if room else ("ignition-barrier", "ignition barrier")
    board = "1/2 in gypsum or equal" if room else "3/8 in gypsum or equal"
    ft2 = face.area / FT2
    waste = of(base.rates["ways.cover.gypsum_waste_pct"]) * 0.01
    held = _held(base, face, layers, here, board, GYPSUM if room else BARRIER)
    if rim and piece_hours.high > 0:
        own = _hours(piece_hours, f"a piece of {board} cut to every pocket as {purpose}")
    else:
        hang = of(base.rates["time_model.fixing.gypsum_cover"]) + _cut_to_pass(base, face) * (1.0 / SHEET_FT2)
        n = panels(base.job, face.face)
        cut = f", each sheet cut to {n} panels to pass the way in" if n > 1 else ""
        own = _hours(hang * ft2 * here.inside, f"{face.area:.1f} m2 of {board} hung as {purpose}{cut}")
    sheets = Amount(what, waste.plus(1.0) * ft2, f"{purpose} over the foam")
    return Cover((own, *held.hours), (sheets, *held.amounts), (*held.words, *(() if room else (WAIVED,))))


def panels(job: Job, face: Face) -> int:
    """How many panels a sheet of gypsum is cut to, to pass the way in and turn behind it; 1 where it goes whole.

    A flat panel is no wider than the longer side of the opening and no longer than the clear run behind it. Sheets for
    a room come by its door.
    """
    if job.zone(face.board_side).kind is ZoneKind.INSIDE and any(z.kind is ZoneKind.BUFFER for z in job.zones):
        return 1
    way_in = job.access
    wide = max(way_in.width, way_in.height)
    across = math.ceil(SHEET_WIDTH / wide - 1e-6)
    return across * math.ceil(SHEET_LENGTH / max(way_in.clear_run, wide) - 1e-6)


def _cut_to_pass(base: Ground, face: Measured) -> Triple:
    """Hours a sheet to cut it to panels and to hand them through."""
    n = panels(base.job, face.face)
    if n == 1:
        return NOTHING
    cutting = of(base.rates["ways.cover.cut_min"]) * (n - 1)
    through = of(base.rates["time_model.handling.pass_through_hatch"]) * n
    return (cutting + through) * (1.0 / 60.0)


def _length(tape: Tape, metres: float) -> str:
    """Print the least length of a fastener with its unit, rounded up."""
    text = tape.text(metres, Rounding.UP)
    return text if tape.unit == "in" else f"{text} mm"


def _hours(h: Triple, note: str, element: str = "cover") -> HourElement:
    return HourElement(element, h.low, h.typical, h.high, True, f"{NOTE}{note}", h.assumed)


def _held(
    base: Ground, face: Measured, layers: tuple[Added, ...], here: Conditions, board: str, thickness: float
) -> Cover:
    """What holds the board: screws into the wood, or battens through the foam."""
    rates, ft2 = base.rates, face.area / FT2
    tape = tape_for(base.job.units)
    foam = sum(k.thickness for k in layers if not k.between)
    masonry = face.face.substrate == "masonry"
    bite = rates["ways.cover.bite"].typical * INCH_M
    screws = of(rates["ways.cover.screws_per_sheet"]) * (ft2 / SHEET_FT2)
    through = foam + thickness + bite
    if not masonry and through <= SCREW:
        text = f"{board} over the foam, screwed into the wood: screws of {_length(tape, SCREW)}"
        return Cover(amounts=(Amount("gypsum-screw-3in", screws, "to hold the cover"),), words=(text,))
    rim = face.face.part is Part.RIM
    length = _length(tape, through + (0.0 if rim else BATTEN - thickness))
    what = "anchors" if masonry else "screws"
    item = f"cover-{what[:-1]}"
    if rim:
        text = f"{board} over the foam of every pocket, held by {what} of {length} at least"
        return Cover(amounts=(Amount(item, screws, "to hold the cover"),), words=(text,))
    run = of(rates["ways.cover.batten_run"]) * ft2
    count = of(rates["ways.cover.batten_fixing"]) * ft2
    each = of(rates["time_model.fixing.masonry_anchor" if masonry else "time_model.fixing.screw_and_washer"])
    minutes = each * count + of(rates["time_model.fixing.temporary_batten"]) * run * (1.0 / BATTEN_FT)
    note = f"{run.typical:.0f} ft of battens, {count.typical:.0f} {what}"
    amounts = (
        Amount("batten", run, "to hold the cover"),
        Amount(item, count, f"{length} long at least: battens of the cover"),
        Amount("gypsum-screw", screws, "to hold the cover"),
    )
    text = f"battens through the foam, held by {what} of {length} at least, then {board} screwed to them"
    return Cover((_hours(minutes * here.inside * (1.0 / 60.0), note, "fixing"),), amounts, (text,))
