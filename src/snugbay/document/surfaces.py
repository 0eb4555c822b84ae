"""Faces, shorthands and joins: from the document's models to the job's values."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import TypedDict

from snugbay.base import InputError, SnugbayError
from snugbay.document.ledger import Ledger
from snugbay.document.models import ChangeDoc, FaceDoc
from snugbay.document.outline import (
    HoleDoc,
    JoinDoc,
    NotchDoc,
    OpeningDoc,
    OutlineDoc,
    PolygonDoc,
    ReadingDoc,
    RectangleDoc,
    StationsDoc,
    TriangleDoc,
)
from snugbay.document.shapes import (
    CellarWallDoc,
    CheekDoc,
    DetailFields,
    GableDoc,
    KneeWallDoc,
    LayerDoc,
    NicheBoxDoc,
    RimDoc,
    ShapeDoc,
    SlopeDoc,
    SurfaceFields,
)
from snugbay.job import (
    Face,
    Framing,
    Hole,
    Host,
    Join,
    Layer,
    Notch,
    Opening,
    Part,
    Reading,
    ReadingKind,
    Zone,
    ZoneKind,
    shorthands,
)
from snugbay.job import outlines as job_outlines
from snugbay.job.outlines import Outline, Precision, Taped
from snugbay.job.shorthands import Common, Expanded
from snugbay.materials import material
from snugbay.survey.instruments import Instrument, instrument
from snugbay.tape import Length, parse_angle, parse_length

PLUMB_PARTS = frozenset(
    {
        Part.KNEE_WALL,
        Part.WALL,
        Part.GABLE,
        Part.CHEEK,
        Part.BOX_SIDE,
        Part.BOX_BACK,
        Part.RIM,
        Part.CELLAR_WALL,
        Part.HATCH,
    }
)
OVERHEAD_PARTS = frozenset({Part.CEILING, Part.SLOPE, Part.BOX_BOTTOM})
FROM_THE_COLD = frozenset({Part.KNEE_WALL, Part.FLOOR, Part.BOX_SIDE, Part.BOX_TOP, Part.BOX_BOTTOM, Part.BOX_BACK})
USUAL_HEADROOM = 2.0
THICKEST_LAYER = 3.0
"""No layer of a house is thicker. [m]"""


USUAL_TAPE = "tape"
"""Instrument of lengths for which the document names none."""


def _taped(length: Length, tool: str, sigma: float | None = None) -> Taped:
    value = float(length)
    return Taped(value, instrument(tool).sigma(value) if sigma is None else sigma, length.written, tool)


def _maybe(length: Length | None, tool: str) -> Taped | None:
    return None if length is None else _taped(length, tool)


def precision(tool: str | None) -> Precision:
    """Return the standard deviations of an instrument's readings (table of instruments in room survey)."""
    name = tool or USUAL_TAPE
    if instrument(name).angle:
        raise InputError(
            f"The instrument {name!r} measures angles; lengths need a tape, rule or laser.",
            where=("instrument",),
            hint="Name it at the single reading that it took.",
        )
    gauge = instrument("bevel gauge")
    return Precision(instrument(name).sigma(1.0), gauge.sigma(1.0), instrument=name, gauge=gauge.name)


# --- outlines ---------------------------------------------------------------------------------------------------


def outline(doc: OutlineDoc) -> Outline:
    """Return corners and readings of an outline."""
    exact = precision(doc.instrument)
    tool = exact.instrument
    if isinstance(doc, RectangleDoc):
        more = {
            key: _taped(value, tool)
            for key, value in (
                ("C-D", doc.top),
                ("B-C", doc.right),
                ("A-C", doc.diagonal),
                ("B-D", doc.other_diagonal),
            )
            if value is not None
        }
        return job_outlines.rectangle(_taped(doc.width, tool), _taped(doc.height, tool), exact, more=more)
    if isinstance(doc, TriangleDoc):
        extra = {} if doc.height is None else {"A-B off C": _taped(doc.height, tool)}
        return job_outlines.triangle(
            _taped(doc.bottom, tool), _taped(doc.right, tool), _taped(doc.left, tool), exact, more=extra
        )
    if isinstance(doc, StationsDoc):
        heights = [(_taped(s.at, tool), _taped(s.height, tool)) for s in doc.stations]
        return job_outlines.stations(_taped(doc.base, tool), heights, exact)
    return _polygon(doc, exact)


def _polygon(doc: PolygonDoc, exact: Precision) -> Outline:
    corners = tuple(doc.corners)
    if len(set(corners)) != len(corners):
        raise InputError("A corner is named twice.", where=("corners",), hint="Give each corner its own letter.")
    readings = []
    for number, reading in enumerate(doc.readings):
        try:
            readings.append(_reading(reading, corners, exact))
        except SnugbayError as error:
            raise error.at("readings", number) from None
    return Outline(corners, tuple(readings))


def _reading(doc: ReadingDoc, corners: tuple[str, ...], exact: Precision) -> Reading:
    kind, names, value = _kind(doc, corners)
    strangers = [n for n in names if n not in corners]
    if strangers or len(set(names)) != len(names):
        which = strangers[0] if strangers else names[0]
        raise InputError(
            f"The reading names corner {which!r}, which is not there or stands twice.",
            where=(doc.kind,),
            hint="Corners: " + ", ".join(corners) + ".",
        )
    if kind in (ReadingKind.ANGLE, ReadingKind.LEAN):
        return _angle(doc, kind, names, value, exact)
    tool = _tool(doc, exact.instrument, angle=False)
    sigma = float(doc.precision) if doc.precision else tool.sigma(value)
    written = doc.length.written if doc.length else ""
    return job_outlines.taped(kind, names, Taped(value, sigma, written, tool.name), exact)


def _angle(doc: ReadingDoc, kind: ReadingKind, names: tuple[str, ...], value: float, exact: Precision) -> Reading:
    name = f"square at {names[1]}" if doc.kind == "square" else f"{doc.kind} {'-'.join(names)}"
    if doc.degrees is None:
        taken = Taped(value, exact.square, "", job_outlines.BY_EYE)
        return job_outlines.taped(kind, names, taken, exact, name)
    usual = "spirit level" if doc.kind in ("plumb", "level") else "bevel gauge"
    tool = _tool(doc, usual, angle=True)
    sigma = math.radians(doc.precision_degrees) if doc.precision_degrees else tool.sigma(value)
    return job_outlines.taped(kind, names, Taped(value, sigma, f"{doc.degrees.written}", tool.name), exact, name)


def _tool(doc: ReadingDoc, usual: str, *, angle: bool) -> Instrument:
    """Return the instrument of a reading; refuse one that measures something else."""
    tool = instrument(doc.instrument or usual)
    if tool.angle is not angle and tool.name != job_outlines.BY_EYE:
        what = "angles" if tool.angle else "lengths"
        raise InputError(
            f"The instrument {tool.name!r} measures {what}.",
            where=("instrument",),
            hint="Name the one that took this reading, or none.",
        )
    return tool


def _kind(doc: ReadingDoc, corners: tuple[str, ...]) -> tuple[ReadingKind, tuple[str, ...], float]:
    length = float(doc.length) if doc.length is not None else 0.0
    degrees = doc.degrees.value if doc.degrees is not None else None
    edge = tuple((doc.side or doc.diagonal or doc.along or doc.offset or doc.plumb or doc.level or "").split("-"))
    if doc.side or doc.diagonal:
        return ReadingKind.DISTANCE, edge, length
    if doc.along:
        return ReadingKind.ALONG, (*edge, doc.to or ""), length
    if doc.offset:
        return ReadingKind.OFFSET, (*edge, doc.to or ""), length
    if doc.plumb:
        return ReadingKind.LEAN, edge, degrees or 0.0
    if doc.level:
        return ReadingKind.LEAN, edge, math.pi / 2 - (degrees or 0.0)
    if doc.twist:
        return ReadingKind.TWIST, (doc.twist,), length
    if doc.angle:
        return ReadingKind.ANGLE, tuple(doc.angle.split("-")), degrees or 0.0
    at = corners.index(doc.square) if doc.square in corners else -1
    if at < 0:
        return ReadingKind.ANGLE, (doc.square or "",), math.pi / 2
    around = (corners[at - 1], corners[at], corners[(at + 1) % len(corners)])
    return ReadingKind.ANGLE, around, math.pi / 2


# --- layers, framing, interruptions ------------------------------------------------------------------------------


def _layers(docs: Iterable[LayerDoc]) -> tuple[Layer, ...]:
    layers = []
    for number, doc in enumerate(docs):
        try:
            row = material(doc.material)
        except SnugbayError as error:
            raise error.at("layers", number, "material") from None
        if doc.thickness is None and doc.r is None and row.sd is None:
            raise InputError(
                f"The layer of {row.name} has no thickness.",
                where=("layers", number, "thickness"),
                hint="Give thickness, or r for a stated resistance.",
            )
        thickness = float(doc.thickness) if doc.thickness is not None else 0.0
        if thickness > THICKEST_LAYER:
            raise InputError(
                f"The layer of {row.name} is {thickness:.1f} m thick.",
                where=("layers", number, "thickness"),
                hint="Check the unit.",
            )
        layers.append(Layer(doc.material, thickness, doc.between_framing, doc.r.value if doc.r else None))
    return tuple(layers)


def _framing(doc: SurfaceFields, ledger: Ledger, where: str) -> Framing | None:
    if doc.framing is None:
        return None
    f = doc.framing
    if float(f.spacing) < 0.05:
        raise InputError(
            "Framing does not stand this close.", where=("framing", "spacing"), hint="Spacing is centre to centre."
        )
    if float(f.width) >= float(f.spacing):
        raise InputError(
            "The framing is wider than its spacing.",
            where=("framing", "width"),
            hint="Spacing is centre to centre; width is the face of one member.",
        )
    first = ledger.take(
        None if f.first is None else float(f.first), float(f.spacing) / 2, f"{where}.framing.first", "half a bay"
    )
    return Framing(float(f.spacing), float(f.width), float(f.depth), f.direction, first, f.exposed)


def _common(doc: SurfaceFields, ledger: Ledger, where: str, substrate: str = "wood") -> Common:
    headroom = None if doc.headroom is None else float(doc.headroom)
    return Common(
        layers=_layers(doc.layers),
        framing=_framing(doc, ledger, where),
        substrate=ledger.take(doc.fasten_to, substrate, f"{where}.fasten_to"),
        depth=None if doc.depth is None else float(doc.depth),
        headroom=ledger.take(headroom, USUAL_HEADROOM, f"{where}.headroom", "standing height", "2.0 m"),
        vent_space=bool(doc.vent_space),
        old_insulation=bool(doc.old_insulation),
        must=doc.must,
        never=tuple(doc.never),
    )


def _edge(text: str, corners: tuple[str, ...], where: tuple[str | int, ...]) -> tuple[str, str]:
    """Return an edge in counter-clockwise order; refuse one that is no edge or runs the other way."""
    first, _, second = text.partition("-")
    edges = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    if (first, second) in edges:
        return first, second
    listed = ", ".join("-".join(e) for e in edges)
    if (second, first) in edges:
        raise InputError(
            f"The edge {text} runs clockwise.",
            where=where,
            hint=f"Write it counter-clockwise as seen from where the board goes: {second}-{first}.",
        )
    raise InputError(f"{text} is no edge of this face.", where=where, hint=f"Edges: {listed}.")


def _notches(docs: Iterable[NotchDoc], corners: tuple[str, ...], exact: Precision) -> tuple[Notch, ...]:
    notches = []
    for number, doc in enumerate(docs):
        edge = _edge(doc.edge, corners, ("notches", number, "edge"))
        skew = doc.skew.value if doc.skew is not None else 0.0
        if doc.far_at is not None:
            skew = math.atan2(float(doc.far_at) - float(doc.at), float(doc.depth))
        for turn in range(doc.repeat):
            at = float(doc.at) + turn * (float(doc.every) if doc.every is not None else 0.0)
            name = doc.name if doc.repeat == 1 else f"{doc.name} {turn + 1}"
            notches.append(Notch(name, edge, at, float(doc.width), float(doc.depth), skew, exact.length, doc.hot))
    return tuple(notches)


def _holes(docs: Iterable[HoleDoc], exact: Precision) -> tuple[Hole, ...]:
    return tuple(
        Hole(
            d.name,
            float(d.x),
            float(d.y),
            float(d.width),
            float(d.height if d.height is not None else d.width),
            d.round,
            exact.length,
            d.hot,
        )
        for d in docs
    )


def _openings(docs: Iterable[OpeningDoc], exact: Precision) -> tuple[Opening, ...]:
    return tuple(
        Opening(d.name, float(d.x), float(d.y), float(d.width), float(d.height), d.plug, exact.length) for d in docs
    )


def _details(face: Face, doc: DetailFields) -> Face:
    exact = precision(None)
    rough = face.rough_edges
    if doc.rough_edges is not None:
        rough = tuple(_edge(e, face.corners, ("rough_edges", n)) for n, e in enumerate(doc.rough_edges))
    return replace(
        face,
        rough_edges=rough,
        notches=face.notches + _notches(doc.notches, face.corners, exact),
        holes=face.holes + _holes(doc.holes, exact),
        openings=face.openings + _openings(doc.openings, exact),
    )


# --- faces -------------------------------------------------------------------------------------------------------


def _zones(between: list[str], zones: tuple[Zone, ...]) -> tuple[Zone, Zone]:
    found = []
    for number, zone_id in enumerate(between):
        match = [z for z in zones if z.id == zone_id]
        if not match:
            names = ", ".join(z.id for z in zones)
            raise InputError(f"There is no zone {zone_id!r}.", where=("between", number), hint=f"Zones: {names}.")
        found.append(match[0])
    if found[0] is found[1]:
        raise InputError("A face divides two different zones.", where=("between",), hint="Warm zone first.")
    return found[0], found[1]


def _board_side(given: str | None, part: Part, zones: tuple[Zone, Zone], ledger: Ledger, where: str) -> str:
    warm, cold = zones
    if given is not None and given not in (warm.id, cold.id):
        raise InputError(
            f"{given!r} is neither side of this face.",
            where=("board_side",),
            hint=f"Write {warm.id!r} or {cold.id!r}.",
        )
    reachable = cold.kind is ZoneKind.BUFFER and part in FROM_THE_COLD
    return ledger.take(given, cold.id if reachable else warm.id, f"{where}.board_side", "usual for this part")


def face(doc: FaceDoc, zones: tuple[Zone, ...], ledger: Ledger) -> Face:
    """Return one plain face."""
    where = f"faces.{doc.id}"
    pair = _zones(doc.between, zones)
    try:
        drawn = outline(doc.outline)
    except SnugbayError as error:
        raise error.at("outline") from None
    if doc.tilt is None and doc.part is Part.SLOPE:
        raise InputError(
            "A rafter slope needs its tilt.", where=("tilt",), hint="Write degrees from level or a pitch: 9/12."
        )
    usual = math.pi / 2 if doc.part in PLUMB_PARTS else 0.0
    tilt = ledger.take(
        None if doc.tilt is None else doc.tilt.value,
        usual,
        f"{where}.tilt",
        "usual for this part",
        f"{math.degrees(usual):.0f} degrees from level",
    )
    c = _common(doc, ledger, where, "masonry" if doc.part is Part.CELLAR_WALL else "wood")
    made = Face(
        id=doc.id,
        title=doc.title or doc.id,
        part=doc.part,
        warm=pair[0].id,
        cold=pair[1].id,
        board_side=_board_side(doc.board_side, doc.part, pair, ledger, where),
        tilt=tilt,
        corners=drawn.corners,
        readings=drawn.readings,
        overhead=doc.part in OVERHEAD_PARTS if doc.overhead is None else doc.overhead,
        layers=c.layers,
        framing=c.framing,
        substrate=c.substrate,
        depth=c.depth,
        headroom=c.headroom,
        vent_space=c.vent_space,
        old_insulation=c.old_insulation,
        must=c.must,
        never=c.never,
    )
    return _details(made, doc)


def expanded(doc: ShapeDoc, zones: tuple[Zone, ...], ledger: Ledger, unit: str) -> Expanded:
    """Return the faces and joins of a shorthand; ``unit`` is that of bare numbers in ``more``."""
    where = f"shapes.{doc.id}"
    warm, cold = _zones(doc.between, zones)
    exact = precision(doc.instrument)
    usual = cold.id if isinstance(doc, (NicheBoxDoc, KneeWallDoc)) else warm.id
    side = _board_side(doc.board_side, Part.WALL, (warm, cold), ledger, where) if doc.board_side else usual
    base = _Shared(
        id=doc.id,
        title=doc.title or doc.id,
        warm=warm.id,
        cold=cold.id,
        board_side=side,
        precision=exact,
        common=_common(doc, ledger, where, "masonry" if isinstance(doc, CellarWallDoc) else "wood"),
    )
    more = _more(doc.more, exact.instrument, unit)
    made = _expand(doc, base, more, exact.instrument)
    for sentence in made.notes:
        ledger.note(where, sentence, "shorthand")
    return made


class _Shared(TypedDict):
    """Keyword arguments that every shorthand takes."""

    id: str
    title: str
    warm: str
    cold: str
    board_side: str
    precision: Precision
    common: Common


def _expand(doc: ShapeDoc, base: _Shared, more: dict[str, Taped], tool: str) -> Expanded:
    if isinstance(doc, NicheBoxDoc):
        return shorthands.niche_box(
            width=_taped(doc.width, tool),
            height=_taped(doc.height, tool),
            depth=_taped(doc.depth_of_box, tool),
            top=doc.top,
            bottom=doc.bottom,
            more=more,
            **base,
        )
    if isinstance(doc, KneeWallDoc):
        return shorthands.knee_wall_run(
            length=_taped(doc.length, tool),
            height=_taped(doc.height, tool),
            height_right=_maybe(doc.height_right, tool),
            heights=[(_taped(h.at, tool), _taped(h.height, tool)) for h in doc.heights],
            floor=_maybe(doc.floor, tool),
            more=more,
            **base,
        )
    if isinstance(doc, GableDoc):
        return shorthands.gable_triangle(
            base=_taped(doc.base, tool),
            left=_maybe(doc.left, tool),
            right=_maybe(doc.right, tool),
            height=_maybe(doc.height, tool),
            peak=_maybe(doc.peak, tool),
            more=more,
            **base,
        )
    if isinstance(doc, SlopeDoc):
        return shorthands.rafter_slope(
            width=_taped(doc.width, tool), rafter=_taped(doc.rafter, tool), pitch=doc.pitch.value, more=more, **base
        )
    if isinstance(doc, CheekDoc):
        return shorthands.dormer_cheek(
            front=_taped(doc.front, tool),
            top=_taped(doc.top, tool),
            rake=_taped(doc.rake, tool),
            back=_maybe(doc.back, tool),
            hand=doc.hand,
            more=more,
            **base,
        )
    if isinstance(doc, RimDoc):
        widths = [(_taped(p.width, tool), p.count) for p in doc.pockets]
        return shorthands.rim_joist_row(widths=widths, height=_taped(doc.height, tool), **base)
    return shorthands.cellar_wall(
        length=_taped(doc.length, tool),
        height=_taped(doc.height, tool),
        height_right=_maybe(doc.height_right, tool),
        openings=_openings(doc.openings, base["precision"]),
        more=more,
        **base,
    )


def _more(given: dict[str, str | int | float], tool: str, unit: str) -> dict[str, Taped]:
    """Read extra readings: keys of three corners or with "lean" are angles, the rest lengths."""
    read = {}
    for key, raw in given.items():
        angular = key.endswith(" lean") or key.split(" ")[-1].count("-") == 2
        try:
            if angular:
                read[key] = Taped(parse_angle(raw), None, str(raw), "")
            else:
                read[key] = _taped(parse_length(raw, unit), tool)
        except SnugbayError as error:
            raise error.at("more", key) from None
    return read


def host(doc: NicheBoxDoc, made: Expanded, faces: tuple[Face, ...]) -> Host | None:
    """Return which opening a niche box fills, None where the document does not say."""
    if doc.fills is None:
        return None
    face_id, opening_name = doc.fills
    match = [f for f in faces if f.id == face_id]
    if not match:
        names = ", ".join(f.id for f in faces)
        raise InputError(f"There is no face {face_id!r}.", where=("fills", 0), hint=f"Faces: {names}.")
    if opening_name not in {o.name for o in match[0].openings}:
        names = ", ".join(o.name for o in match[0].openings) or "none"
        raise InputError(
            f"Face {face_id} has no opening {opening_name!r}.", where=("fills", 1), hint=f"Openings: {names}."
        )
    ids = tuple(f.id for f in made.faces)
    return Host(f"{doc.id}-back", ids, face_id, opening_name, float(doc.depth_of_box))


# --- changes and joins -------------------------------------------------------------------------------------------


def changed(made: Face, doc: ChangeDoc, ledger: Ledger) -> Face:
    """Return a shorthand's face with the user's changes laid over it."""
    where = f"changes.{doc.face}"
    return _details(
        replace(
            made,
            title=doc.title or made.title,
            layers=_layers(doc.layers) or made.layers,
            framing=_framing(doc, ledger, where) or made.framing,
            substrate=doc.fasten_to or made.substrate,
            depth=made.depth if doc.depth is None else float(doc.depth),
            headroom=made.headroom if doc.headroom is None else float(doc.headroom),
            vent_space=made.vent_space if doc.vent_space is None else doc.vent_space,
            old_insulation=made.old_insulation if doc.old_insulation is None else doc.old_insulation,
            must=doc.must or made.must,
            never=tuple(doc.never) or made.never,
        ),
        doc,
    )


def join(doc: JoinDoc, faces: tuple[Face, ...], ledger: Ledger, number: int) -> Join:
    """Return a join; its angle becomes the angle of the open air on the boards' side."""
    ends = []
    for side, (face_id, edge_text) in (("a", doc.a), ("b", doc.b)):
        match = [f for f in faces if f.id == face_id]
        if not match:
            names = ", ".join(f.id for f in faces)
            raise InputError(f"There is no face {face_id!r}.", where=(side, 0), hint=f"Faces: {names}.")
        ends.append((face_id, _edge(edge_text, match[0].corners, (side, 1))))
    (a, edge_a), (b, edge_b) = ends
    if a == b:
        raise InputError("A join needs two different faces.", where=("b", 0), hint="Name the other face.")
    if doc.runs_past not in ("", "mitre", a, b):
        raise InputError(
            f"{doc.runs_past!r} takes no part in this join.",
            where=("runs_past",),
            hint=f"Write {a!r}, {b!r}, or mitre.",
        )
    gauged = doc.angle.value if doc.angle is not None else None
    angle = ledger.take(gauged, math.pi / 2, f"joins[{number}].angle", "square", "90 degrees")
    if not math.radians(5) < angle < math.radians(355):
        raise InputError(
            "The angle of a join lies between 5 and 355 degrees.", where=("angle",), hint="Gauge the corner again."
        )
    opening = angle if doc.corner == "inside" else 2 * math.pi - angle
    sigma = math.radians(1.0) if doc.angle is None else math.radians(0.5)
    return Join(a, edge_a, b, edge_b, opening, doc.runs_past, sigma, doc.name or f"{a} to {b}")


def rough_where_unjoined(faces: tuple[Face, ...], joins: tuple[Join, ...], ledger: Ledger) -> tuple[Face, ...]:
    """Give every face whose rough edges nobody named a foam gap at the edges that no join reaches."""
    out = []
    for made in faces:
        if made.rough_edges:
            out.append(made)
            continue
        joined = {(j.a, j.edge_a) for j in joins} | {(j.b, j.edge_b) for j in joins}
        edges = zip(made.corners, (*made.corners[1:], made.corners[0]), strict=True)
        rough = tuple(e for e in edges if (made.id, e) not in joined)
        if rough:
            names = ", ".join("-".join(e) for e in rough)
            ledger.note(f"{made.id}.rough_edges", names, "edges without a join meet rough framing: foam gap")
        out.append(replace(made, rough_edges=rough))
    return tuple(out)
