"""The order of work: clear, seal, far end first, big pieces before small, cover, blow last."""

from __future__ import annotations

from collections.abc import Mapping

from snugbay.fit.sealing import cans, sealing
from snugbay.fit.values import FittingPlan, Sealing, Step
from snugbay.job import Face, Job, Part, ZoneKind, short_list
from snugbay.materials import Rates
from snugbay.pieces import Piece, PieceKind, PieceSet
from snugbay.survey import Point, Survey
from snugbay.tape import FOOT_M, Tape, tape_for
from snugbay.ways import HourElement, Option
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

_LAST = ("loose-fill", "dense-pack")


def _face_rank(face: Face, option: Option) -> tuple[int, int, int, str]:
    """Blown fill last, then the face with the hatch, then by part, like ways together."""
    hatch = any(o.plug for o in face.openings)
    blown = option.way.split("/")[0] in _LAST
    return int(blown), int(hatch), _PART_ORDER.index(face.part), option.way


def piece_order(pieces: tuple[Piece, ...], far_first: Point) -> tuple[str, ...]:
    """Labels in the order they go in: layer by layer, far end first, big before small, plug last.

    Parameters
    ----------
    pieces : tuple of Piece
        Pieces of one face.
    far_first : Point
        The way out in the plane of the face; the piece farthest from it goes first. [m]
    """

    def key(p: Piece) -> tuple[float, ...]:
        cx = sum(q[0] for q in p.outline) / len(p.outline)
        cy = sum(q[1] for q in p.outline) / len(p.outline)
        far = ((cx - far_first[0]) ** 2 + (cy - far_first[1]) ** 2) ** 0.5
        return (p.kind is PieceKind.PLUG, p.layer, p.kind is not PieceKind.BOARD, -round(far, 1), -p.area)

    return tuple(p.id for p in sorted(pieces, key=key))


def _way_out(face: Face, survey: Survey) -> Point:
    for opening in face.openings:
        if opening.plug:
            return opening.x + opening.width / 2, opening.y + opening.height / 2
    points = survey.face(face.id).points
    return max(p[0] for p in points), min(p[1] for p in points)


def _hours(elements: tuple[HourElement, ...], *names: str) -> float:
    return sum(h.typical for h in elements if h.element in names)


def _run(length: float, tape: Tape) -> str:
    """Print a length of joint: whole feet or tenths of a metre."""
    return f"{length / FOOT_M:.0f} ft" if tape.unit == "in" else f"{length:.1f} m"


def _seal_text(lines: list[Sealing], tape: Tape) -> str:
    parts = []
    for line in lines:
        width = f", {tape.inches(line.width)} wide" if line.with_what == "gun foam" else ""
        parts.append(f"{line.with_what} on {_run(line.length, tape)} of {line.what}{width}")
    return "; ".join(parts) + "."


class _Steps:
    """Numbers the steps as they are added."""

    def __init__(self) -> None:
        self.made: list[Step] = []

    def add(
        self,
        title: str,
        text: str,
        *,
        face: str = "",
        pieces: tuple[str, ...] = (),
        cautions: tuple[str, ...] = (),
        hours: float = 0.0,
        uses: tuple[tuple[str, float], ...] = (),
        wait_hours: float = 0.0,
    ) -> None:
        """Add a step."""
        number = len(self.made) + 1
        self.made.append(Step(number, title, text, face, pieces, cautions, hours, uses, wait_hours))


def _prepare(steps: _Steps, job: Job, faces: list[Face], weighing: Weighing, codes: set[str]) -> None:
    gates = tuple(sorted(c for c in codes if c.startswith("gate-") or c in ("look-round", "wrong-tape")))
    steps.add(
        "Look round and clear the gates",
        "Answer every question of the look-round. Photograph all surfaces and mark wires and pipes before they vanish.",
        cautions=(*gates, "local-rules", *(c for c in ("dust", "hot-space") if c in codes)),
        hours=_shared_hours(weighing),
    )
    cramped = [f for f in faces if job.zone(f.board_side).kind is ZoneKind.BUFFER]
    if cramped:
        steps.add(
            "Make it safe to be in there",
            "Lay crawl boards over two or more joists, hang a light, agree the check calls with the second person.",
            cautions=tuple(c for c in ("second-person", "low-headroom", "no-go-headroom") if c in codes),
        )
    old = [f for f in faces if f.old_insulation]
    if old:
        steps.add(
            "Take the old insulation out where the plan says so",
            "Bag it inside the space: " + ", ".join(f"{f.id} {f.title}" for f in old) + ".",
            cautions=("old-insulation",),
        )
    steps.add(
        "Mend and seal what the insulation will hide",
        "Leaks, fans and wiring first. Then seal plates, chases and wire holes on the warm side of the line.",
        cautions=tuple(c for c in ("combustion-retest",) if c in codes),
    )


def _shared_hours(weighing: Weighing) -> float:
    """Hours of the plan that belong to no one face: set-up, clearing up, what is shared. [h]"""
    own = sum(h.typical for _, hours in weighing.face_hours for h in hours)
    return max(0.0, sum(h.typical for h in weighing.hours) - own)


def _first_things(steps: _Steps, face: Face, option: Option) -> None:
    if option.first:
        steps.add(f"{face.id} {face.title}: before", " ".join(option.first), face=face.id)


def _filled_step(steps: _Steps, group: list[tuple[Face, Option]], hours: Mapping[str, tuple[HourElement, ...]]) -> None:
    """Add one step for all faces that get the same way without boards: a gun is not put down between."""
    face, option = group[0]
    names = short_list([f.id for f, _ in group])
    first = tuple(dict.fromkeys(t for _, o in group for t in o.first))
    if first:
        steps.add(f"{names}: before", " ".join(first), face=face.id if len(group) == 1 else "")
    uses: dict[str, float] = {}
    for _, other in group:
        for need in other.needs:
            uses[need.item] = uses.get(need.item, 0.0) + need.typical
    own = option.sprayed and option.charge == 0
    title = f"{names} {face.title}" if len(group) == 1 else names
    steps.add(
        f"{title}: {option.title}",
        " ".join(dict.fromkeys(t for _, o in group for t in o.after)),
        face=face.id if len(group) == 1 else "",
        cautions=(*option.cautions, *(("spray-kit", "foam-heat") if own else ())),
        hours=sum(h.typical for f, o in group for h in hours.get(f.id, o.hours)),
        uses=tuple(uses.items()),
        wait_hours=24.0 if option.sprayed else 0.0,
    )


def _board_steps(
    steps: _Steps,
    face: Face,
    option: Option,
    hours: tuple[HourElement, ...],
    pieces: PieceSet,
    lines: list[Sealing],
    survey: Survey,
    tape: Tape,
) -> None:
    _first_things(steps, face, option)
    own = tuple(p for p in pieces.pieces if p.face == face.id)
    codes = tuple(option.cautions)
    jointed = {s.item for s in lines}
    sealing_hours = _hours(hours, "sealing")
    fitting_hours = sum(h.typical for h in hours) - sealing_hours
    for layer in sorted({p.layer for p in own}):
        here = tuple(p for p in own if p.layer == layer and p.kind is not PieceKind.PLUG)
        if not here:
            continue
        order = piece_order(here, _way_out(face, survey))
        share = sum(p.area for p in here) / sum(p.area for p in own)
        steps.add(
            f"{face.id} {face.title}: layer {layer}",
            "Far end first, big pieces before small; fix each before foaming, foam pushes loose pieces out."
            if layer == 1
            else "Seams of this layer stay clear of the seams below.",
            face=face.id,
            pieces=order,
            cautions=(*codes, "knife"),
            hours=fitting_hours * share,
            uses=tuple((n.item, n.typical * share) for n in option.needs if n.item not in jointed),
        )
    if lines:
        steps.add(
            f"{face.id} {face.title}: seal",
            _seal_text(lines, tape),
            face=face.id,
            cautions=("gun-foam",) if any(s.item == "gun-can" for s in lines) else (),
            hours=sealing_hours,
            uses=tuple((s.item, s.amount) for s in lines),
            wait_hours=1.0 if any(s.item == "gun-can" for s in lines) else 0.0,
        )
    plugs = tuple(p.id for p in own if p.kind is PieceKind.PLUG)
    if plugs:
        steps.add(
            f"{face.id} {face.title}: plug",
            "Gasket in one unbroken run with its joint at the top; a strip of paper must drag all round.",
            face=face.id,
            pieces=plugs,
        )


def _finish(steps: _Steps, codes: set[str]) -> None:
    cover = tuple(c for c in ("fire-cover-room", "fire-cover-service", "no-flame") if c in codes)
    if cover:
        steps.add(
            "Cover the foam",
            "Thermal barrier towards rooms and stores, ignition barrier elsewhere, as the local code asks.",
            cautions=cover,
        )
    steps.add(
        "Check the work",
        "Light behind the seams, smoke on a windy day, a thermometer on the warm side. Keep the readings for Prove.",
        cautions=tuple(c for c in ("combustion-retest",) if c in codes),
    )


def fitting_plan(
    job: Job, survey: Survey, weighing: Weighing, pieces: PieceSet, caution_codes: tuple[str, ...], rates: Rates
) -> FittingPlan:
    """Return the order of work and what it uses.

    Parameters
    ----------
    job, survey, weighing, pieces
        The question and the answers so far.
    caution_codes : tuple of str
        Codes of the job's cautions; steps name those that guard them.
    rates : Rates
        Rates with the user's own figures.

    Notes
    -----
    Order by common practice: inspect, leaks and wiring, air-seal, far end first and back to the hatch, layer one all
    before layer two, plugs, cover, loose fill last (no source).
    """
    codes = set(caution_codes)
    lines = sealing(pieces, rates, job.place.currency)
    tape = tape_for(job.units)
    done = [(job.face(face), weighing.option(face, way)) for face, way in weighing.plan.ways if way != AS_FOUND]
    done.sort(key=lambda pair: _face_rank(*pair))
    hours = dict(weighing.face_hours)
    steps = _Steps()
    if done:
        _prepare(steps, job, [f for f, _ in done], weighing, codes)
    cut = {p.face for p in pieces.pieces}
    waiting: list[tuple[Face, Option]] = []
    for face, option in done:
        if waiting and (face.id in cut or option.way != waiting[0][1].way):
            _filled_step(steps, waiting, hours)
            waiting = []
        if face.id in cut:
            own = [s for s in lines if s.face == face.id]
            _board_steps(steps, face, option, hours.get(face.id, option.hours), pieces, own, survey, tape)
        else:
            waiting.append((face, option))
    if waiting:
        _filled_step(steps, waiting, hours)
    if done:
        _finish(steps, codes)
    kept = tuple(_known(step, codes) for step in steps.made)
    return FittingPlan(kept, lines, *cans(lines, rates, job.place.currency))


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
