"""The order of work: clear, seal, boards in the order that the proof tried, cover, blow, plugs last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from snugbay.fit.sealing import CAN, PLUG, cans, sealing
from snugbay.fit.stepping import Steps, hours_of, sentences, uses_of
from snugbay.fit.values import FittingPlan, Sealing, Step
from snugbay.job import Face, Job, Part, ZoneKind, short_list
from snugbay.materials import Rates
from snugbay.pieces import Piece, PieceKind, PieceSet
from snugbay.survey.hot import hot_items, hot_text
from snugbay.tape import FOOT_M, Tape, tape_for
from snugbay.ways import HourElement, Option, hotgap
from snugbay.ways.cover import COVER_ITEMS, NOTE
from snugbay.ways.crawl import BEFORE_ALL, over_soil
from snugbay.ways.extras import OLD
from snugbay.ways.joints import ITEMS, Means
from snugbay.weigh import AS_FOUND, Weighing

_PART_ORDER = (
    Part.RIM,
    Part.CELLAR_WALL,
    Part.BOX_BACK,
    Part.BOX_SIDE,
    Part.BOX_TOP,
    Part.BOX_BOTTOM,
    Part.GABLE,
    Part.CHEEK,
    Part.SLOPE,
    Part.CEILING,
    Part.WALL,
    Part.KNEE_WALL,
    Part.FLOOR,
    Part.HATCH,
)
"""Boxes before the wall they poke through, uprights before the floor, the face with the way out last but the floor."""

PLATES = frozenset({hotgap.METAL, hotgap.SEALANT})
"""Items that only the gaps round hot things use."""
CAULK = ITEMS[Means.SEALANT]
LEAST = 1e-6
"""Amounts below are nothing: the joints take it all. [selling units]"""

_LAST = ("loose-fill", "dense-pack")


def _blown(option: Option) -> bool:
    return option.way.split("/")[0] in _LAST


def _face_rank(face: Face, option: Option) -> tuple[int, int, int, str]:
    """Blown fill last, then the face with the hatch, then by part, like ways together."""
    hatch = any(o.plug for o in face.openings)
    return int(_blown(option)), int(hatch), _PART_ORDER.index(face.part), option.way


@dataclass(frozen=True)
class BoardRun:
    """Pieces of one layer of one face that go in one after another."""

    face: str
    layer: int
    pieces: tuple[Piece, ...]


def board_runs(pieces: PieceSet) -> tuple[BoardRun, ...]:
    """Return the boards in the order in which the proof found them to go in, plugs left out.

    Notes
    -----
    Every second layer swaps who runs past, so that the layers of two faces that meet take turns. Without a proof the
    pieces stand as they were made.
    """
    named = {p.id: p for p in pieces.pieces}
    order = pieces.proof.order if pieces.proof is not None else tuple(named)
    boards = [named[label] for label in order if named[label].kind is not PieceKind.PLUG]
    return tuple(BoardRun(f, layer, tuple(own)) for (f, layer), own in groupby(boards, key=lambda p: (p.face, p.layer)))


def _run(length: float, tape: Tape) -> str:
    """Print a length of joint: whole feet or tenths of a metre."""
    return f"{length / FOOT_M:.0f} ft" if tape.unit == "in" else f"{length:.1f} m"


def _seal_text(lines: Sequence[Sealing], tape: Tape) -> str:
    parts = []
    for line in lines:
        width = f", {tape.inches(line.width)} wide" if line.with_what == "gun foam" else ""
        parts.append(f"{line.with_what} on {_run(line.length, tape)} of {line.what}{width}")
    return "; ".join(parts) + "."


def _prepare(
    steps: Steps,
    job: Job,
    faces: list[Face],
    codes: set[str],
    worked: Sequence[tuple[Option, tuple[HourElement, ...]]],
    parts: float,
) -> None:
    wet = [t for o, _ in worked for t in o.first if t.startswith(BEFORE_ALL)]
    gates = tuple(sorted(c for c in codes if c.startswith("gate-") or c in ("look-round", "wrong-tape")))
    steps.add(
        "Look round and clear the gates",
        "Answer every question of the look-round. Photograph all surfaces and mark wires and pipes before they vanish.",
        cautions=(*gates, "local-rules", *(c for c in ("dust", "hot-space") if c in codes)),
        hours=parts,
    )
    if wet:
        steps.add(
            "Cover the ground",
            sentences(wet) + " Laps of 6 in (150 mm) taped, turned 6 in up the walls and round every pier.",
            cautions=tuple(c for c in ("damp-ground",) if c in codes),
            hours=parts,
        )
    cramped = [f for f in faces if job.zone(f.board_side).kind is ZoneKind.BUFFER]
    if cramped:
        steps.add(
            "Make it safe to be in there",
            f"{_footing(job, cramped)}, hang a light, agree the check calls with the second person.",
            cautions=tuple(c for c in ("second-person", "low-headroom", "no-go-headroom") if c in codes),
            hours=parts,
        )
    old = [f for f in faces if f.old_insulation]
    if old:
        steps.add(
            "Take the old insulation out where the plan says so",
            "Bag it inside the space: " + ", ".join(f"{f.id} {f.title}" for f in old) + ".",
            cautions=("old-insulation",),
            hours=sum(_noted(o, own, OLD) for o, own in worked),
        )
    steps.add(
        "Mend and seal what the insulation will hide",
        "Leaks, fans and wiring first. Then seal plates, chases and wire holes on the warm side of the line.",
        cautions=tuple(c for c in ("combustion-retest",) if c in codes),
        hours=parts,
    )


def _preparing(job: Job, faces: Sequence[Face]) -> int:
    """Count the steps that share what is set up once for the job."""
    steps = 3 if any(job.zone(f.board_side).kind is ZoneKind.BUFFER for f in faces) else 2
    return steps + any(over_soil(job, job.zone(z)) for f in faces for z in (f.board_side, f.warm, f.cold))


def _footing(job: Job, cramped: Sequence[Face]) -> str:
    """Say what to lie on: boards over joists, or, where the joists are overhead, the ground."""
    spaces = {f.board_side for f in cramped}
    floors = [f for f in job.faces if f.board_side in spaces and f.part in (Part.FLOOR, Part.CEILING)]
    if any(f.overhead for f in floors) and all(f.overhead for f in floors):
        return "Lay a mat or boards on the ground"
    return "Lay crawl boards over two or more joists"


def _shared_hours(weighing: Weighing, element: str, *, others: bool) -> float:
    """Hours of the plan that belong to no one face, of one element or of all others. [h]"""

    def counted(hours: Sequence[HourElement]) -> float:
        return sum(h.typical for h in hours if (h.element != element) is others)

    own = sum(counted(hours) for _, hours in weighing.face_hours)
    return max(0.0, counted(weighing.hours) - own)


def _prep_hours(option: Option, own: tuple[HourElement, ...]) -> float:
    """Hours before a face is insulated, without those in which old insulation comes out. [h]

    What is filled has its joints sealed before; boards have theirs sealed when they are in.
    """
    names = ("prep", "sealing") if option.boards is None else ("prep",)
    return max(hours_of(own, *names) - _noted(option, own, OLD), 0.0)


def _first_of(option: Option) -> tuple[str, ...]:
    """What comes before one face is insulated; the ground is covered once for all."""
    return tuple(t for t in option.first if not t.startswith(BEFORE_ALL))


BEFORE = frozenset({"chute"})
"""Items that are used before a face is insulated."""


def _first_things(steps: Steps, boarding: _Boarding) -> None:
    face, option = boarding.face, boarding.option
    if _first_of(option):
        steps.add(
            f"{face.id} {face.title}: before",
            sentences(_first_of(option)),
            face=face.id,
            hours=_prep_hours(option, boarding.hours),
            uses=tuple((i, n) for i, n in boarding.others if i in BEFORE or i == CAULK),
        )


def keep_off(faces: Sequence[Face], tape: Tape) -> str:
    """Return from what boards and foam stay clear on these faces; empty where nothing hot passes through."""
    hot = [f"{face.id}, {hot_text(item, tape.text)}" for face in faces for item in hot_items(face)]
    return f"Hot: {'; '.join(hot)}; no foam in that gap." if hot else ""


def _filled_step(
    steps: Steps,
    group: list[tuple[Face, Option]],
    hours: Mapping[str, tuple[HourElement, ...]],
    tape: Tape,
    shared: float,
) -> None:
    """Add one step for all faces that get the same way without boards: a gun is not put down between.

    The step before it has ``shared`` hours of what is set up once for the job.
    """
    face, option = group[0]
    names = short_list([f.id for f, _ in group])
    first = sentences(t for _, o in group for t in _first_of(o))
    worked = [(f, o, hours.get(f.id, o.hours)) for f, o in group]
    if first:
        before = {*BEFORE, CAULK}
        steps.add(
            f"{names}: before",
            first,
            face=face.id if len(group) == 1 else "",
            hours=shared + sum(_prep_hours(o, own) for _, o, own in worked),
            uses=uses_of([o for _, o in group], before.__contains__),
        )
    else:
        before = set()
    uses = uses_of([o for _, o in group], lambda item: item not in COVER_ITEMS | PLATES | before)
    by_hand = option.sprayed and option.charge == 0
    gun = not option.sprayed and any(item == CAN for item, _ in uses)
    guards = (*option.cautions, *(("spray-kit", "foam-heat") if by_hand else ()), *(("gun-foam",) if gun else ()))
    off = keep_off([f for f, _ in group], tape)
    title = f"{names} {face.title}" if len(group) == 1 else names
    steps.add(
        f"{title}: {option.title}",
        sentences((*(t for _, o in group for t in (*o.after, *_bare(o))), off)),
        face=face.id if len(group) == 1 else "",
        cautions=(*guards, *(("hot-things",) if off else ())),
        hours=sum(sum(h.typical for h in e) - _set_apart(o, e) for _, o, e in worked),
        uses=uses,
        wait_hours=24.0 if option.sprayed else float(gun),
    )


@dataclass(frozen=True)
class _Boarding:
    """What the steps of one boarded face need: its way, its hours, its joints, its pieces."""

    face: Face
    option: Option
    hours: tuple[HourElement, ...]
    lines: tuple[Sealing, ...]
    pieces: tuple[Piece, ...]

    @property
    def fitting_hours(self) -> float:
        """Of all its pieces, plugs among them, without sealing and cover. [h]"""
        return (
            sum(h.typical for h in self.hours)
            - hours_of(self.hours, "sealing", "taping")
            - _set_apart(self.option, self.hours)
        )

    @property
    def before(self) -> frozenset[str]:
        """Items that the step before its boards uses."""
        return BEFORE | {CAULK} if _first_of(self.option) else frozenset()

    @property
    def others(self) -> tuple[tuple[str, float], ...]:
        """What it uses besides what its joints, its cover and the plates take, by item."""
        jointed: dict[str, float] = {}
        for line in self.lines:
            jointed[line.item] = jointed.get(line.item, 0.0) + line.amount
        left = ((n.item, n.typical - jointed.get(n.item, 0.0)) for n in self.option.needs)
        return tuple((i, amount) for i, amount in left if i not in COVER_ITEMS | PLATES and amount > LEAST)


def _board_steps(steps: Steps, boarded: Mapping[str, _Boarding], pieces: PieceSet, tape: Tape) -> None:
    """Add the steps of all boards, run by run; a face is sealed once its last board is in."""
    runs = board_runs(pieces)
    last = {run.face: k for k, run in enumerate(runs)}
    begun: set[str] = set()
    for k, run in enumerate(runs):
        boarding = boarded[run.face]
        if run.face not in begun:
            _first_things(steps, boarding)
            begun.add(run.face)
        _layer_step(steps, boarding, run, tape, covered=last[run.face] > k)
        if last[run.face] == k:
            _seal_step(steps, boarding, tape)


def _layer_step(steps: Steps, boarding: _Boarding, run: BoardRun, tape: Tape, covered: bool) -> None:
    face, option, own = boarding.face, boarding.option, boarding.pieces
    share = sum(p.area for p in run.pieces) / sum(p.area for p in own)
    text = "In this order: each was tried past those before it. Fix each before foaming, foam pushes loose pieces out."
    seams = "Seal the seams before the next layer covers them." if covered else ""
    off = keep_off([face], tape)
    steps.add(
        f"{face.id} {face.title}: layer {run.layer}",
        " ".join(t for t in (text, seams, off) if t),
        face=face.id,
        pieces=tuple(p.id for p in run.pieces),
        cautions=(*option.cautions, "knife", *(("hot-things",) if off else ())),
        hours=boarding.fitting_hours * share,
        uses=tuple((i, amount * share) for i, amount in boarding.others if i not in boarding.before),
    )


def _seal_step(steps: Steps, boarding: _Boarding, tape: Tape) -> None:
    face, lines = boarding.face, tuple(s for s in boarding.lines if s.item != PLUG)
    if not lines:
        return
    foamed = any(s.item == "gun-can" for s in lines)
    off = keep_off([face], tape)
    steps.add(
        f"{face.id} {face.title}: seal",
        " ".join(t for t in (_seal_text(lines, tape), off) if t),
        face=face.id,
        cautions=(*(("gun-foam",) if foamed else ()), *(("hot-things",) if off else ())),
        hours=hours_of(boarding.hours, "sealing", "taping"),
        uses=tuple((s.item, s.amount) for s in lines),
        wait_hours=1.0 if foamed else 0.0,
    )


def _plug_step(steps: Steps, boarding: _Boarding) -> None:
    face = boarding.face
    plugs = tuple(p for p in boarding.pieces if p.kind is PieceKind.PLUG)
    if plugs:
        share = sum(p.area for p in plugs) / sum(p.area for p in boarding.pieces)
        steps.add(
            f"{face.id} {face.title}: plug",
            "Gasket in one unbroken run with its joint at the top; a strip of paper must drag all round.",
            face=face.id,
            pieces=tuple(p.id for p in plugs),
            hours=boarding.fitting_hours * share,
            uses=tuple((s.item, s.amount) for s in boarding.lines if s.item == PLUG),
        )


def _noted(option: Option, own: tuple[HourElement, ...], note: str) -> float:
    """Hours told by how their notes begin, of those that the work of a face takes. [h]"""
    whole = option.hours_typical
    share = sum(h.typical for h in option.hours if h.note.startswith(note)) / whole if whole else 0.0
    return share * sum(h.typical for h in own)


def _bare(option: Option) -> tuple[str, ...]:
    """What is said of foam that needs no cover here: it has no step to say it in."""
    return () if any(n.item in COVER_ITEMS for n in option.needs) else option.cover


def _set_apart(option: Option, own: tuple[HourElement, ...]) -> float:
    """Hours of what has steps of its own: old insulation, what comes before, the cover, plates round hot things. [h]"""
    told = sum(_noted(option, own, note) for note in (NOTE, hotgap.NOTE, OLD))
    return told + (_prep_hours(option, own) if _first_of(option) else 0.0)


def _cover_step(
    steps: Steps,
    done: Sequence[tuple[Face, Option]],
    hours: Mapping[str, tuple[HourElement, ...]],
    codes: set[str],
) -> None:
    """Add the plates round hot things, then the cover of all foam, once every joint under it is sealed."""
    hot = [(f, o) for f, o in done if any(n.item in PLATES for n in o.needs)]
    if hot:
        names = short_list([f"{h.name} in {f.id}" for f, _ in hot for h in hotgap.to_close(f)])
        steps.add(
            "Close the gap round hot things",
            f"Metal or cement board and fire-rated sealant round {names}; nothing that burns in the gap.",
            cautions=("hot-things",),
            hours=sum(_noted(o, hours.get(f.id, o.hours), hotgap.NOTE) for f, o in hot),
            uses=uses_of([o for _, o in hot], PLATES.__contains__),
        )
    guards = tuple(c for c in ("fire-cover-room", "fire-cover-service", "no-flame") if c in codes)
    foamed = [(f, o) for f, o in done if o.cover]
    uses = uses_of([o for _, o in foamed], COVER_ITEMS.__contains__)
    if not uses:
        return
    words: dict[str, list[str]] = {}
    for face, option in foamed:
        for text in option.cover:
            words.setdefault(text, []).append(face.id)
    told = [f"{short_list(faces)}: {text}." for text, faces in words.items()]
    general = "Thermal barrier towards rooms and stores, ignition barrier elsewhere, as the local code asks."
    steps.add(
        "Cover the foam",
        " ".join(("Only when every joint under it is sealed and hard.", *told, general)),
        cautions=guards,
        hours=sum(_noted(o, hours.get(f.id, o.hours), NOTE) for f, o in foamed),
        uses=uses,
    )


def _check(steps: Steps, codes: set[str], hours: float) -> None:
    steps.add(
        "Check the work and clear up",
        "Light behind the seams, smoke on a windy day, a thermometer on the warm side. Keep the readings for Prove.",
        cautions=tuple(c for c in ("combustion-retest",) if c in codes),
        hours=hours,
    )


def fitting_plan(
    job: Job, weighing: Weighing, pieces: PieceSet, caution_codes: tuple[str, ...], rates: Rates
) -> FittingPlan:
    """Return the order of work and what it uses.

    Parameters
    ----------
    job, weighing, pieces
        The question and the answers so far.
    caution_codes : tuple of str
        Codes of the job's cautions; steps name those that guard them.
    rates : Rates
        Rates with the user's own figures.

    Notes
    -----
    Order by common practice: inspect, leaks and wiring, air-seal, boards layer by layer in the order that the proof
    tried, cover, loose fill, plugs last (no source).
    """
    codes = set(caution_codes)
    tape = tape_for(job.units)
    done = [(job.face(face), weighing.option(face, way)) for face, way in weighing.plan.ways if way != AS_FOUND]
    done.sort(key=lambda pair: _face_rank(*pair))
    options = [o for _, o in done]
    lines = sealing(options, pieces, rates, job.place.currency)
    hours = dict(weighing.face_hours)
    steps = Steps()
    sprays = next((o.way for o in options if o.sprayed and o.charge == 0), "")
    parts = _shared_hours(weighing, "clean-up", others=True) / (_preparing(job, [f for f, _ in done]) + bool(sprays))
    if done:
        worked = [(o, hours.get(f.id, o.hours)) for f, o in done]
        _prepare(steps, job, [f for f, _ in done], codes, worked, parts)
    boarded = {
        face.id: _Boarding(
            face,
            option,
            hours.get(face.id, option.hours),
            tuple(s for s in lines if s.face == face.id),
            tuple(p for p in pieces.pieces if p.face == face.id),
        )
        for face, option in done
        if any(p.face == face.id for p in pieces.pieces)
    }
    boards_left = covers_left = True
    for way, pairs in groupby(done, key=lambda pair: "" if pair[0].id in boarded else pair[1].way):
        group = list(pairs)
        if covers_left and _blown(group[0][1]):  # nobody hangs boards from a floor that is blown already
            _cover_step(steps, done, hours, codes)
            covers_left = False
        if way:
            _filled_step(steps, group, hours, tape, parts if way == sprays else 0.0)
            sprays = "" if way == sprays else sprays
        elif boards_left:
            _board_steps(steps, boarded, pieces, tape)
            boards_left = False
    if covers_left:
        _cover_step(steps, done, hours, codes)
    for boarding in boarded.values():  # a plug shuts the way in: nothing behind it is left to do
        _plug_step(steps, boarding)
    if done:
        _check(steps, codes, _shared_hours(weighing, "clean-up", others=False))
    kept = tuple(_known(step, codes) for step in steps.made)
    return FittingPlan(kept, lines, *cans(options, rates, job.place.currency))


def _known(step: Step, codes: set[str]) -> Step:
    """Keep only cautions that the job really has, each once."""
    named = tuple(dict.fromkeys(c for c in step.cautions if c in codes))
    return Step(
        step.number,
        step.title,
        step.text,
        step.face,
        step.pieces,
        named,
        step.hours,
        step.uses,
        step.wait_hours,
    )
