"""Reads the work log against the planned work: what each entry covers, what is done, what cannot be used."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Name, Number, RowRef, Share, Span, names
from snugbay.job import Log, LogEntry
from snugbay.prove.tables import table, words
from snugbay.prove.work import WHOLE, Cell, Work, piece_shares

ALL = "all"
FULL = 1.0 - 1e-9
SLIP, SLIP_RATIO = 3.0, 1.8
"""Spreads of the noise, and hours over hours explained, from which an entry is asked about. (assumption)"""


@dataclass(frozen=True)
class Part:
    """Share of one cell that an entry covers.

    Attributes
    ----------
    cell : int
        Number of the cell.
    share : float
        Of the cell's work. [0..1]
    start, end : float
        Which pieces of the run, counted through: the first piece of the run is 0 to 1. Equal where nothing is learned.
    """

    cell: int
    share: float
    start: float = 0.0
    end: float = 0.0


@dataclass(frozen=True)
class Worked:
    """One entry as the learner takes it: hours over the parts it covers."""

    number: int
    hours: float
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Record:
    """The log as read.

    Attributes
    ----------
    worked : tuple of Worked
        Entries that teach something.
    done : tuple of float
        Share done of each cell.
    at : tuple of float
        Piece of its run that each cell has come to.
    spent : float
        All hours that stand. [h]
    findings : tuple of Finding
        What cannot be used, and why.
    """

    worked: tuple[Worked, ...]
    done: tuple[float, ...]
    at: tuple[float, ...]
    spent: float
    findings: tuple[Finding, ...] = ()


@dataclass
class _State:
    work: Work
    shares: list[float]
    labels: list[set[str]]
    at: dict[tuple[str, str], float] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def say(self, said: Said, number: int, weight: Weight = Weight.WARN) -> None:
        """Note what is wrong with an entry."""
        found = Finding(said.code, weight=weight, where=("log", "entries", number), facts=said.facts)
        self.findings.append(found.having(entry=RowRef(number, "entry")))


def element_name(written: str) -> str:
    """Return the plan's word for an element as written."""
    plain = written.strip().lower() or ALL
    names: Mapping[str, str] = table("learning")["names"]
    return names.get(plain, plain)


def standing(log: Log) -> tuple[tuple[tuple[int, LogEntry], ...], tuple[Finding, ...]]:
    """Entries that stand, with their numbers; a corrected entry is left out, its correction takes its place.

    Notes
    -----
    A correction of a correction holds; one that points at itself, at a later entry or at none corrects nothing and is
    left out, with a finding: counting both would count hours twice.
    """
    found: list[Finding] = []
    place: dict[int, int] = {}
    gone: set[int] = set()
    for i, e in enumerate(log.entries):
        if e.replaces is None:
            place[i] = i
        elif 0 <= e.replaces < i and e.replaces in place and e.replaces not in gone:
            place[i] = place[e.replaces]
            gone.add(e.replaces)
        else:
            gone.add(i)
            where, entry = ("log", "entries", i), RowRef(i, "entry")
            found.append(Finding.of("prove.log-replaces", Weight.WARN, where, entry=entry, old=Name(str(e.replaces))))
    keep = sorted((i for i in place if i not in gone), key=lambda i: place[i])
    return tuple((i, log.entries[i]) for i in keep), tuple(found)


def slips(entries: Sequence[tuple[int, float, float]]) -> tuple[Finding, ...]:
    """Findings about entries that the others cannot explain.

    Parameters
    ----------
    entries : sequence of (int, float, float)
        Number, hours logged over hours explained, and how many spreads of the noise that is.
    """
    out = []
    for number, ratio, spreads in entries:
        if abs(spreads) > SLIP and not 1 / SLIP_RATIO < ratio < SLIP_RATIO:
            many, few = "prove.said.times-what", "prove.said.only-of-what"
            much = Said.of(many, ratio=Number(ratio)) if ratio > 1 else Said.of(few, share=Share(ratio))
            where, entry = ("log", "entries", number), RowRef(number, "entry")
            out.append(Finding.of("prove.log-odd", Weight.WARN, where, entry=entry, much=much, ratio=Number(ratio)))
    return tuple(out)


def read_log(log: Log, work: Work) -> Record:
    """Read the log.

    Parameters
    ----------
    log : Log
        Entries may name pieces, a share of a face, an element, or ``"all"``; unevenly.
    work : Work
        The planned work.

    Returns
    -------
    Record
        Hours that cannot be tied to planned work count as spent and teach nothing; a finding says so.
    """
    entries, found = standing(log)
    places = _places(log)
    state = _State(work, [0.0] * len(work.cells), [set() for _ in work.cells], findings=list(found))
    worked: list[Worked] = []
    spent = 0.0
    for number, entry in entries:
        if not math.isfinite(entry.hours) or entry.hours < 0:
            state.say(Said.of("prove.log-hours", hours=Name(f"{entry.hours}")), number)
            continue
        if element_name(entry.element) in words("learning", "pauses", "names"):
            state.say(Said.of("prove.log-pause"), number, Weight.NOTE)
            continue
        spent += entry.hours
        parts = _parts(state, number, entry, places[number])
        if parts and entry.hours > 0:
            worked.append(Worked(number, entry.hours, parts))
        elif parts:
            state.say(Said.of("prove.log-no-time"), number)
    _earlier_steps(state)
    at = tuple(state.at.get((c.family, c.element), 0.0) for c in work.cells)
    return Record(tuple(worked), tuple(_closed(s) for s in state.shares), at, spent, tuple(state.findings))


def _places(log: Log) -> list[int]:
    """Return where each entry stands in time: a correction where the entry stood that it corrects."""
    out: list[int] = []
    for n, e in enumerate(log.entries):
        out.append(out[e.replaces] if e.replaces is not None and 0 <= e.replaces < n else n)
    return out


def _closed(share: float) -> float:
    return 1.0 if share > FULL else share


def _parts(state: _State, number: int, entry: LogEntry, place: int) -> tuple[Part, ...]:
    element = element_name(entry.element)
    known = {c.element for c in state.work.cells}
    if element != ALL and element not in known:
        state.say(Said.of("prove.log-element", element=Name(entry.element)), number, Weight.NOTE)
        return ()
    if entry.face and entry.face not in state.work.faces:
        state.say(Said.of("prove.log-face", face=Name(entry.face)), number)
        return ()
    if entry.pieces:
        return _by_pieces(state, number, entry, element, place)
    if not 0.0 < entry.share_done <= 1.0:
        state.say(Said.of("prove.log-no-progress", hours=Span(entry.hours)), number, Weight.NOTE)
        return ()
    own = [i for i, c in enumerate(state.work.cells) if (not entry.face or c.face == entry.face)]
    own = [i for i in own if element in (ALL, state.work.cells[i].element) and state.work.cells[i].takes(place)]
    if not own:
        state.say(Said.of("prove.log-no-work"), number, Weight.NOTE)
        return ()
    asked = [(i, entry.share_done / state.work.cells[i].of, frozenset[str]()) for i in own]
    return _covered(state, number, asked, entry.face)


def _by_pieces(state: _State, number: int, entry: LogEntry, element: str, place: int) -> tuple[Part, ...]:
    by_face: dict[str, list[str]] = {}
    for label in dict.fromkeys(entry.pieces):
        face = state.work.face_of(label)
        if face is None and entry.face and not state.work.pieces.get(entry.face):
            face = entry.face
        if face is None:
            state.say(Said.of("prove.log-piece", piece=Name(label)), number)
        elif entry.face and face != entry.face:
            own, other = Name(face), Name(entry.face)
            state.say(Said.of("prove.log-piece-of", piece=Name(label), own=own, other=other), number)
        else:
            by_face.setdefault(face, []).append(label)
    if sum(len(v) for v in by_face.values()) < len(set(entry.pieces)):
        state.say(Said.of("prove.log-piece-spent"), number, Weight.NOTE)
        return ()
    asked: list[tuple[int, float, frozenset[str]]] = []
    for i, c in enumerate(state.work.cells):
        if c.face in by_face and element in (ALL, c.element) and c.takes(place):
            asked.append((i, 0.0, frozenset(by_face[c.face])))
    if not asked:
        state.say(Said.of("prove.log-no-work"), number, Weight.NOTE)
    return _covered(state, number, asked, entry.face)


def _covered(state: _State, number: int, asked: list[tuple[int, float, frozenset[str]]], face: str) -> tuple[Part, ...]:
    parts: list[Part] = []
    for i, share, labels in asked:
        new = labels - state.labels[i]
        c = state.work.cells[i]
        more = share + sum(piece_shares(state.work, c.face, c.element, sorted(new)).values())
        more = min(more, 1.0 - state.shares[i])
        if more <= 1e-9:
            continue
        parts.append(_advance(state, i, more, new))
    if asked and not parts:
        on = Said.of("prove.said.on-face", face=FaceRef(face)) if face else None
        state.say(Said.of("prove.log-again", on=on), number)
    return tuple(parts)


def _advance(state: _State, i: int, more: float, labels: frozenset[str]) -> Part:
    c = state.work.cells[i]
    state.shares[i] += more
    state.labels[i] |= labels
    n = len(labels) if labels else more * state.work.counts.get(c.face, 0)
    if c.face == WHOLE or not n or c.element not in words("learning", "order", "steps"):
        return Part(i, more)
    key = (c.family, c.element)
    start = state.at.get(key, 0.0)
    end = min(start + n, float(state.work.runs[c.family]))
    state.at[key] = end
    return Part(i, more, min(start, end), end)


def _earlier_steps(state: _State) -> None:
    """A piece that is fitted has been cut: steps before a logged one count as done, though nothing is logged."""
    steps = words("learning", "order", "steps")
    silent: dict[str, None] = {}
    for k, c in enumerate(state.work.cells):
        if c.element not in steps or not state.work.counts.get(c.face):
            continue
        later = steps[steps.index(c.element) + 1 :]
        past = frozenset[str]().union(
            *(
                state.labels[i]
                for i, o in enumerate(state.work.cells)
                if (o.face, o.until) == (c.face, c.until) and o.element in later
            )
        )
        new = past - state.labels[k]
        more = min(sum(piece_shares(state.work, c.face, c.element, sorted(new)).values()), 1.0 - state.shares[k])
        if more > 1e-9:
            _advance(state, k, more, new)
            silent[cell_name(c)] = None
    if silent:
        work = names(silent, "comma")
        state.findings.append(Finding.of("prove.log-unlogged", Weight.NOTE, ("log", "entries"), work=work))


def planned_done(work: Work, record: Record) -> float:
    """Planned hours of what is done. [h]"""
    return sum(c.hours * d for c, d in zip(work.cells, record.done, strict=True))


def cell_name(c: Cell) -> str:
    """Name of a cell for people."""
    return f"{c.element} on {c.face}" if c.face else c.element
