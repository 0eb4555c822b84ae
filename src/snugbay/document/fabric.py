"""What faces are made of and what interrupts them: from the document's models to the job's values."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from snugbay.base import InputError, Said, SnugbayError
from snugbay.base.facts import Length
from snugbay.document.heights import UPRIGHT, Height
from snugbay.document.ledger import Ledger
from snugbay.document.outline import HoleDoc, HotFields, NotchDoc, OpeningDoc
from snugbay.document.shapes import DetailFields, LayerDoc, SurfaceFields
from snugbay.document.taping import precision
from snugbay.job import Face, Framing, Hole, HotThing, Layer, Notch, Opening
from snugbay.job.outlines import Precision
from snugbay.job.runs import sides
from snugbay.job.shorthands import Common
from snugbay.materials import material
from snugbay.survey.hot import hot_items, widest

THICKEST_LAYER = 3.0
"""No layer of a house is thicker. [m]"""


def layers_of(docs: Iterable[LayerDoc]) -> tuple[Layer, ...]:
    """Return existing layers; raise `InputError` where one has no thickness, or one that no house has."""
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


def framing_of(doc: SurfaceFields, ledger: Ledger, where: str) -> Framing | None:
    """Return the framing, None where there is none; raise `InputError` where it cannot stand so."""
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
        None if f.first is None else float(f.first),
        float(f.spacing) / 2,
        f"{where}.framing.first",
        "half a bay",
        Length(float(f.spacing) / 2),
    )
    return Framing(float(f.spacing), float(f.width), float(f.depth), f.direction, first, f.exposed)


def common_of(
    doc: SurfaceFields, ledger: Ledger, where: str, substrate: str = "wood", usual: Height = UPRIGHT
) -> Common:
    """Return what faces and shorthands have in common.

    Parameters
    ----------
    doc, ledger
        As written, and the list of defaults.
    where : str
        Their place in that list.
    substrate : str
        What there is to fasten to unless said.
    usual : Height
        Working height unless said.
    """
    headroom = None if doc.headroom is None else float(doc.headroom)
    return Common(
        layers=layers_of(doc.layers),
        framing=framing_of(doc, ledger, where),
        substrate=ledger.take(doc.fasten_to, substrate, f"{where}.fasten_to"),
        depth=None if doc.depth is None else float(doc.depth),
        headroom=ledger.take(headroom, usual.metres, f"{where}.headroom", usual.why, Length(usual.metres)),
        headroom_told=headroom is not None,
        vent_space=bool(doc.vent_space),
        in_front=doc.in_front or "",
        old_insulation=bool(doc.old_insulation),
        must=doc.must,
        never=tuple(doc.never),
    )


def edge_of(text: str, corners: tuple[str, ...], where: tuple[str | int, ...]) -> tuple[str, str]:
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


def side_of(text: str, face: Face, where: tuple[str | int, ...]) -> tuple[str, str]:
    """Return the side of a join: an edge, or the whole of a side that stations break into several."""
    first, _, last = text.partition("-")
    return (first, last) if (first, last) in sides(face) else edge_of(text, face.corners, where)


def _notches(docs: Iterable[NotchDoc], corners: tuple[str, ...], exact: Precision) -> tuple[Notch, ...]:
    notches = []
    for number, doc in enumerate(docs):
        edge = edge_of(doc.edge, corners, ("notches", number, "edge"))
        skew = doc.skew.value if doc.skew is not None else 0.0
        if doc.far_at is not None:
            skew = math.atan2(float(doc.far_at) - float(doc.at), float(doc.depth))
        for turn in range(doc.repeat):
            at = float(doc.at) + turn * (float(doc.every) if doc.every is not None else 0.0)
            name = doc.name if doc.repeat == 1 else f"{doc.name} {turn + 1}"
            size = (float(doc.width), float(doc.depth))
            notches.append(Notch(name, edge, at, *size, skew, exact.length, doc.is_hot, doc.hot_thing, _label(doc)))
    return tuple(notches)


def _is_round(doc: HoleDoc, ledger: Ledger, where: str) -> bool:
    """Return whether a hole is round: as said; else two sizes, or a chimney of bricks, make a rectangle.

    Boards round a rectangle keep off the circle in it too, but not the other way round.
    """
    both = doc.height is not None
    bricks = doc.hot_thing is HotThing.MASONRY or (doc.hot_thing is None and "chimney" in doc.name.lower())
    why = "width and height are given" if both else "a chimney of bricks" if bricks else "one size is given"
    usual = not (both or bricks)
    return ledger.take(doc.round, usual, f"{where}.holes.{doc.name}.round", why, "round" if usual else "a rectangle")


def _holes(docs: Iterable[HoleDoc], exact: Precision, ledger: Ledger, where: str) -> tuple[Hole, ...]:
    return tuple(
        Hole(
            d.name,
            float(d.x),
            float(d.y),
            float(d.width),
            float(d.height if d.height is not None else d.width),
            _is_round(d, ledger, where),
            exact.length,
            d.is_hot,
            d.hot_thing,
            _label(d),
        )
        for d in docs
    )


def _label(doc: HotFields) -> float | None:
    return None if doc.keep_clear is None else float(doc.keep_clear)


def _note_unknown(face: Face, ledger: Ledger, where: str) -> None:
    """Note the widest distance for every hot thing of which nobody said what it is."""
    for item in hot_items(face):
        if item.hot_thing is None and item.on_label is None:
            field = "notches" if isinstance(item, Notch) else "holes"
            clear = Said.of("default.kept-clear", clear=Length(widest()))
            ledger.note(f"{where}.{field}.{item.name}.hot_thing", clear, "not said: the widest of any hot thing")


def openings_of(docs: Iterable[OpeningDoc], exact: Precision) -> tuple[Opening, ...]:
    """Return openings, placed with the precision of the tape."""
    return tuple(
        Opening(d.name, float(d.x), float(d.y), float(d.width), float(d.height), d.plug, exact.length) for d in docs
    )


def with_details(face: Face, doc: DetailFields, ledger: Ledger, where: str) -> Face:
    """Return a face with the rough edges, notches, holes and openings that the document adds to it."""
    exact = precision(None)
    rough = face.rough_edges
    if doc.rough_edges is not None:
        rough = tuple(edge_of(e, face.corners, ("rough_edges", n)) for n, e in enumerate(doc.rough_edges))
    made = replace(
        face,
        rough_edges=rough,
        notches=face.notches + _notches(doc.notches, face.corners, exact),
        holes=face.holes + _holes(doc.holes, exact, ledger, where),
        openings=face.openings + openings_of(doc.openings, exact),
    )
    _note_unknown(made, ledger, where)
    return made
