"""Shorthands: from the document's models to faces and joins."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

from snugbay.base import InputError, SnugbayError
from snugbay.document.fabric import common_of, openings_of
from snugbay.document.heights import UPRIGHT, Height
from snugbay.document.ledger import Ledger
from snugbay.document.shapes import (
    CellarWallDoc,
    CheekDoc,
    GableDoc,
    KneeWallDoc,
    NicheBoxDoc,
    RimDoc,
    ShapeDoc,
    SlopeDoc,
)
from snugbay.document.surfaces import board_side, zone_pair
from snugbay.document.taping import maybe, precision, taped
from snugbay.job import Face, Host, Part, Zone, shorthands
from snugbay.job.outlines import Precision, Taped
from snugbay.job.shorthands import Common, Expanded
from snugbay.tape import parse_angle, parse_length


def expanded(doc: ShapeDoc, zones: tuple[Zone, ...], ledger: Ledger, unit: str, low: Mapping[str, Height]) -> Expanded:
    """Return the faces and joins of a shorthand.

    Parameters
    ----------
    doc, zones, ledger
        As written, the job's zones, the list of defaults.
    unit : str
        Of bare numbers in ``more``.
    low : Mapping of str to Height
        Working height of zones where a person does not stand.
    """
    where = f"shapes.{doc.id}"
    warm, cold = zone_pair(doc.between, zones)
    exact = precision(doc.instrument)
    usual = cold.id if isinstance(doc, (NicheBoxDoc, KneeWallDoc)) else warm.id
    side = board_side(doc.board_side, Part.WALL, (warm, cold), ledger, where) if doc.board_side else usual
    substrate = "masonry" if isinstance(doc, CellarWallDoc) else "wood"
    base = _Shared(
        id=doc.id,
        title=doc.title or _usual_title(doc),
        warm=warm.id,
        cold=cold.id,
        board_side=side,
        precision=exact,
        common=common_of(doc, ledger, where, substrate, low.get(side, UPRIGHT)),
    )
    more = more_of(doc.more, exact.instrument, unit)
    made = _expand(doc, base, more, exact.instrument)
    for sentence in made.notes:
        ledger.note(where, sentence, "shorthand")
    return made


def _usual_title(doc: ShapeDoc) -> str:
    """Return what a shorthand is, with its id where several faces share it; long rows go by their id alone."""
    if isinstance(doc, RimDoc):
        return doc.id
    return f"{doc.shape} {doc.id}" if isinstance(doc, (NicheBoxDoc, KneeWallDoc)) else doc.shape


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
            width=taped(doc.width, tool, "width"),
            height=taped(doc.height, tool, "height"),
            depth=taped(doc.depth_of_box, tool, "depth_of_box"),
            top=doc.top,
            bottom=doc.bottom,
            more=more,
            **base,
        )
    if isinstance(doc, KneeWallDoc):
        return shorthands.knee_wall_run(
            length=taped(doc.length, tool, "length"),
            height=taped(doc.height, tool, "height"),
            height_right=maybe(doc.height_right, tool, "height_right"),
            heights=[
                (taped(h.at, tool, "heights", n, "at"), taped(h.height, tool, "heights", n, "height"))
                for n, h in enumerate(doc.heights)
            ],
            floor=maybe(doc.floor, tool, "floor"),
            more=more,
            **base,
        )
    if isinstance(doc, GableDoc):
        return shorthands.gable_triangle(
            base=taped(doc.base, tool, "base"),
            left=maybe(doc.left, tool, "left"),
            right=maybe(doc.right, tool, "right"),
            height=maybe(doc.height, tool, "height"),
            peak=maybe(doc.peak, tool, "peak"),
            more=more,
            **base,
        )
    if isinstance(doc, SlopeDoc):
        return shorthands.rafter_slope(
            width=taped(doc.width, tool, "width"),
            rafter=taped(doc.rafter, tool, "rafter"),
            pitch=doc.pitch.value,
            more=more,
            **base,
        )
    if isinstance(doc, CheekDoc):
        return shorthands.dormer_cheek(
            front=taped(doc.front, tool, "front"),
            top=taped(doc.top, tool, "top"),
            rake=taped(doc.rake, tool, "rake"),
            back=maybe(doc.back, tool, "back"),
            hand=doc.hand,
            more=more,
            **base,
        )
    if isinstance(doc, RimDoc):
        widths = [(taped(p.width, tool, "pockets", n, "width"), p.count) for n, p in enumerate(doc.pockets)]
        return shorthands.rim_joist_row(widths=widths, height=taped(doc.height, tool, "height"), **base)
    return shorthands.cellar_wall(
        length=taped(doc.length, tool, "length"),
        height=taped(doc.height, tool, "height"),
        height_right=maybe(doc.height_right, tool, "height_right"),
        openings=openings_of(doc.openings, base["precision"]),
        more=more,
        **base,
    )


def more_of(given: dict[str, str | int | float], tool: str, unit: str) -> dict[str, Taped]:
    """Read extra readings: keys of three corners or with "lean" are angles, the rest lengths."""
    read = {}
    for key, raw in given.items():
        angular = key.endswith(" lean") or key.split(" ")[-1].count("-") == 2
        try:
            if angular:
                read[key] = Taped(parse_angle(raw), None, str(raw), "", ("more", key))
            else:
                read[key] = taped(parse_length(raw, unit), tool, "more", key)
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
