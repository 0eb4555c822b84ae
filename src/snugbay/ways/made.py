"""Real pieces of every face for every way boards may lie, made once and used by all board ways."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from snugbay.base import Effort, Finding, InputError, NoFit, Run, Said, Stopped, Told, Weight
from snugbay.materials import Board, Rates
from snugbay.pieces import WIDE_GAP, BoardChoice, Fitting, PieceSet, Room, room_before, surfaces
from snugbay.survey import Survey
from snugbay.survey.unjoined import unjoined, unjoined_said
from snugbay.ways.boardset import Cutting, cuttings, pieces_for
from snugbay.ways.conditions import Conditions
from snugbay.ways.fillwork import usable_depth
from snugbay.ways.found import Ground
from snugbay.ways.limits import why_not
from snugbay.ways.measure import Measured
from snugbay.ways.table import Way

MOST_LAYERS = 2
"""Most layers of board that a way of the table puts before a surface."""

Size = tuple[float, float]
"""Length and width of a sheet. [m]"""

Key = tuple[str, Fitting, Size]


@dataclass(frozen=True)
class Made:
    """Pieces by face, fitting and sheet size.

    Attributes
    ----------
    sets : mapping
        Pieces that could be made.
    refused : mapping
        Why not, where they could not.
    cuts : mapping
        How they come out of sheets.
    finished : bool
        False where the run was stopped.
    findings : tuple of Finding
        Faces that are measured too loosely for any board.
    room : mapping of str to Room
        Faces before which another one stands, so that not every board has room there.
    """

    sets: Mapping[Key, PieceSet]
    refused: Mapping[Key, Told]
    cuts: Mapping[Key, Cutting]
    finished: bool = True
    findings: tuple[Finding, ...] = ()
    room: Mapping[str, Room] = field(default_factory=dict)

    def of(self, face: str, fitting: Fitting, size: Size) -> PieceSet:
        """Return the pieces; raise `NoFit` with the reason where there are none."""
        key = (face, fitting, size)
        if key in self.sets:
            return self.sets[key]
        why = self.refused.get(key, "its pieces were not made: the run was stopped")
        where = ("faces", face)
        raise NoFit.of(why, where=where) if isinstance(why, Said) else NoFit(str(why), where=where)

    def cutting(self, face: str, fitting: Fitting, size: Size) -> Cutting:
        """Return how the pieces of a face come out of sheets."""
        return self.cuts[face, fitting, size]


@dataclass
class _Making:
    sets: dict[Key, PieceSet] = field(default_factory=dict)
    refused: dict[Key, Told] = field(default_factory=dict)
    loose: dict[str, Finding] = field(default_factory=dict)
    room: dict[str, Room] = field(default_factory=dict)


def _wanted(base: Ground, ways: tuple[Way, ...], heights: Mapping[str, Conditions]) -> list[tuple[Measured, Fitting]]:
    found: dict[tuple[str, Fitting], tuple[Measured, Fitting]] = {}
    for face in base.faces:
        for way in ways:
            if way.boards is None or why_not(base.job, face, way, heights[face.id], base.rates):
                continue
            for fitting in way.boards.layers:
                found.setdefault((face.id, fitting), (face, fitting))
    return list(found.values())


def _thickness(base: Ground, face: Measured, fitting: Fitting, boards: tuple[Board, ...], size: Size) -> float | None:
    """Thickest board of a sheet size that goes there; pieces of thinner ones are the same in the plane."""
    room = face.face.depth
    if fitting is Fitting.IN_BAYS:
        usable = usable_depth(face, base.rates)
        room = usable if room is None else min(room, usable)
    fitting_boards = [
        b.thickness for b in boards if (b.length, b.width) == size and (room is None or b.thickness <= room + 1e-4)
    ]
    return max(fitting_boards, default=None)


def make(
    base: Ground,
    survey: Survey,
    run: Run,
    ways: tuple[Way, ...],
    boards: tuple[Board, ...],
    heights: Mapping[str, Conditions],
) -> Made:
    """Make the pieces that board ways are priced by.

    Parameters
    ----------
    base : Ground
        The job.
    survey : Survey
        Adjusted faces.
    run : Run
        Progress, stop.
    ways : tuple of Way
        Ways; only those that fit a face have pieces made for it.
    boards : tuple of Board
        Boards to choose from.
    heights : mapping of str to Conditions
        Working conditions by face.
    """
    sizes = tuple(dict.fromkeys((b.length, b.width) for b in boards))
    wanted = [(f, fit, size) for f, fit in _wanted(base, ways, heights) for size in sizes]
    making = _Making()
    into = {f: unjoined_said(one) for one in unjoined(base.job, survey) if not one.outside for f in (one.a, one.b)}
    walls = surfaces(base.job, survey)
    totals = [n * b.thickness for b in boards for n in range(1, MOST_LAYERS + 1)]
    finished = True
    for done, (face, fitting, size) in enumerate(wanted):
        if run.stop():
            finished = False
            break
        if face.id in into and fitting is not Fitting.IN_BAYS:
            making.refused[face.id, fitting, size] = into[face.id]
        else:
            _make_one(base, survey, run, making, face, fitting, size, boards)
        if (face.id, fitting, size) in making.sets and fitting is not Fitting.IN_BAYS:
            room = room_before(base.job, survey, making.sets[face.id, fitting, size].pieces, walls, totals)
            if room is not None and room.most < making.room.get(face.id, room).most + 1e-9:
                making.room[face.id] = room
        run.progress("ways", (done + 1) / len(wanted))
    cuts = _cuts(making.sets, base.rates)
    return Made(making.sets, making.refused, cuts, finished, tuple(making.loose.values()), making.room)


def _make_one(
    base: Ground,
    survey: Survey,
    run: Run,
    making: _Making,
    face: Measured,
    fitting: Fitting,
    size: Size,
    boards: tuple[Board, ...],
) -> None:
    key = (face.id, fitting, size)
    thickness = _thickness(base, face, fitting, boards, size)
    if thickness is None:
        making.refused[key] = "every board is too thick for it"
        return
    # quick effort lays boards over framing as on a plain face: the seams then miss the members, the count is the same
    plain = run.effort is Effort.QUICK and fitting is Fitting.OVER
    how = Fitting.ON_FACE if plain else fitting
    choice = BoardChoice(face.id, boards[0].key, ((thickness, how),), size[1], size[0])
    quiet = Run(run.seed, run.effort, stop=run.stop)
    try:
        made = pieces_for(base.job, survey, choice, quiet)
    except (NoFit, InputError) as error:
        making.refused[key] = error.said or error.what
    except Stopped:
        making.refused[key] = "its pieces were not made: the run was stopped"
    else:
        wide = max((f for f in made.findings if f.code == WIDE_GAP), key=_gap, default=None)
        if wide is None:
            making.sets[key] = made
            return
        making.refused[key] = wide.said
        known = making.loose.get(face.id)
        if known is None or _gap(known) < _gap(wide):
            making.loose[face.id] = replace(wide, weight=Weight.WARN)


def _gap(finding: Finding) -> float:
    """Return the gap that boards would need. [m]"""
    return finding.figure("gap")


def _cuts(sets: Mapping[Key, PieceSet], rates: Rates) -> dict[Key, Cutting]:
    out: dict[Key, Cutting] = {}
    for fitting in Fitting:
        for size in {key[2] for key in sets if key[1] is fitting}:
            faces = {key[0]: made.pieces for key, made in sets.items() if key[1] is fitting and key[2] == size}
            for face, cut in cuttings(faces, size[0], size[1], rates).items():
                out[face, fitting, size] = cut
    return out
