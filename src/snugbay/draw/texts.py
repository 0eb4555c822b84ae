"""Every word that a drawing prints, in one place, ready for translation.

Values are `str.format` patterns; the names in braces are the parts that vary.
"""

from __future__ import annotations

from types import MappingProxyType

from snugbay.base import SnugbayError
from snugbay.sheets import End

WORDS = MappingProxyType(
    {
        # sheet
        "sheet.title": "Sheet {number}",
        "sheet.what": "{material}, {thickness} thick, {length} x {width}, {source}",
        "sheet.new": "new sheet",
        "sheet.on-hand": "sheet from the shed",
        "sheet.offcut": "offcut {name}",
        "sheet.about": "{pieces}, {cuts}. Front faces up. These marks are measured from the hook corner, lower left.",
        "sheet.piece": "1 piece",
        "sheet.pieces": "{count} pieces",
        "sheet.cut": "1 cut",
        "sheet.cuts": "{count} cuts",
        "sheet.keep": "KEEP {length} x {width}",
        "sheet.keep-short": "KEEP",
        "sheet.damaged": "damaged",
        "sheet.from-here": "hook the tape here",
        "sheet.scale": "scale 1:{scale}",
        "sheet.square": "this square is {side} on paper",
        "sheet.legend-through": "cut from edge to edge",
        "sheet.legend-stopped": "cut that stops at one end",
        "sheet.legend-plunge": "cut that stops at both ends",
        "sheet.legend-bar": "stop here, blade upright",
        "sheet.legend-lead": "saw on to the edge",
        "sheet.legend-waste": "waste",
        "sheet.legend-kerf": "the saw takes this side of the line",
        "sheet.angle": "{angle}°",
        "sheet.bevel-of": "cut {numbers}: {words}",
        "sheet.bevel": "{angle}°, {face} {by} inside the line",
        "sheet.bevel-front": "front",
        "sheet.bevel-back": "back",
        "sheet.corner": "corner",
        "sheet.parts": "Cut by cut",
        "sheet.parts-about": "Each part has its own hook corner, lower left. Write its name on it when you cut it off.",
        # a part of a sheet that is cut again
        "part.title": "Cut {numbers}",
        "part.run": "{first} to {last}",
        "part.of": "part {name}",
        "part.name": "gives {name}",
        "part.detail": "Detail {name}, scale 1:{scale}",
        "part.pass": "{tool}, 1 pass",
        "part.passes": "{tool}, {count} passes",
        "part.turned": "{tool} from both sides",
        "part.makes": "edge of {pieces}",
        # round cuts
        "round.left": "{distance} left",
        "round.below": "{distance} below",
        "round.mark": "{along} | {across}, radius {radius}",
        "round.diameter": "dia. {diameter}",
        "round.centre": "centre {along} | {across}",
        "round.off": "cut {number}: centre off the board, strike it from an offcut laid against the edge",
        "sheet.legend-round": "round, by hand from its centre",
        # kinds of cut
        "cut.edge to edge": "edge to edge",
        "cut.through the blank": "through the part",
        "cut.stopped": "stops at one end",
        "cut.plunge": "stops at both ends",
        "cut.end-run": "on to the edge",
        "cut.end-stop": "stop there",
        "cut.end-upright": "stop there, blade upright",
        "cut.round": "round, by hand",
        # pieces
        "piece.title": "{id}",
        "piece.what": "{material}, {thickness}, layer {layer}",
        "piece.up": "up",
        "piece.front": "front: {front}",
        "piece.bevel": "{angle}° {side} larger",
        "piece.sizes": "front {front}, back {back}",
        "piece.size": "{width} x {height}",
        "piece.back": "back",
        "piece.bevel-front": "front",
        "piece.slit": "slit",
        "piece.legend-foam": "foam gap",
        "piece.legend-seam": "tight, taped",
        "piece.legend-corner": "corner",
        "piece.legend-plug": "gasket",
        "piece.legend-back": "back face",
        "pieces.title": "All pieces, face by face",
        "pieces.about": "{pieces} pieces on {faces} faces, each as the fitter sees it.",
        "pieces.face": "Face {face}",
        "pieces.layer": "layer {layer}",
        # face
        "face.title": "{id} {title}",
        "face.about": "Seen from where the board will go. {readings} readings, {suspects} in doubt.",
        "face.up": "up",
        "face.legend-checked": "read > as adjusted, checked by others",
        "face.legend-unchecked": "nothing checks it",
        "face.legend-suspect": "in doubt: pull this tape again",
        "face.legend-rough": "meets rough framing: foam gap",
        "face.out-of-plane": "{value} out of plane",
        # exploded view and model
        "exploded.title": "Where each piece goes",
        "exploded.above": "Seen from above",
        "exploded.below": "Seen from below",
        "exploded.missing": "Not drawn, because no join places them: {faces}.",
        "space.about": "The space as it stands, seen into; dashed lines show the faces in front.",
        "space.nothing": "Nothing stands here yet.",
        "exploded.about": "The pieces drawn apart along the way they go in; dashed lines show the bare faces.",
        # charts
        "heat.title": "Where the heat goes, as found",
        "heat.about": "Heat through each face in a year, weakest part first, and its share of what the rooms lose; "
        "what passes two faces one behind the other counts at both.",
        "heat.unit": "kWh a year",
        "heat.value": "{kwh} kWh, {share} %",
        "hours.title": "Where the hours go",
        "hours.about": "Own hours by kind of work, typical, with the low and the high.",
        "hours.value": "{typical} h",
        "hours.range": "{low} to {high}",
        "hours.inside": "inside the space",
        "hours.outside": "at the bench",
        "hours.total": "Total {total} h",
        "frontier.title": "Money against hours",
        "frontier.about": "Each point is a plan that can be built; no other plan beats it in money, hours and saving.",
        "frontier.x": "own hours",
        "frontier.y": "money to spend now",
        "frontier.saving": "saves {saving} a year",
        "frontier.as-found": "all left as found",
        "frontier.chosen": "this plan",
        "frontier.single": "one way throughout",
        "frontier.point": "a plan on the frontier",
        "frontier.size": "the larger the mark, the larger the yearly saving",
        "spread.title": "How sure is that?",
        "spread.about": "In 8 of 10 draws the figure lies within the bar; the stroke is the middle.",
        "spread.hours": "own hours",
        "spread.cash": "money to spend now",
        "spread.saving": "saving a year",
        "spread.payback": "payback",
        "spread.years": "{value} years",
        "spread.hour-value": "{value} h",
        "tornado.title": "What matters most",
        "tornado.about": "Whole cost over the years when one thing comes out low or high, all else typical.",
        # before and after
        "proof.title": "What each face resists",
        "proof.about": "Resistance of each face by the readings: bar 8 in 10, line 19 in 20, stroke the middle.",
        "proof.before": "before",
        "proof.after": "after",
        "proof.planned": "as planned",
        "forecast.title": "Hours so far",
        "forecast.about": "Dark is spent; the bar is where the end lies 8 times in 10.",
        "forecast.spent": "{hours} h spent",
        "forecast.total": "{hours} h in all, {low} to {high}",
        "forecast.planned": "{hours} h planned",
    }
)


def say(key: str, **parts: object) -> str:
    """Return a text with its parts filled in; raise `SnugbayError` where the catalogue has no such text."""
    try:
        pattern = WORDS[key]
    except KeyError as error:
        raise SnugbayError(f"The drawings have no text {key!r}.") from error
    return pattern.format(**parts) if parts else pattern


def end_words(end: End) -> str:
    """Say what the tool does at an end of a cut."""
    return say(f"cut.end-{end.name.lower()}")


def kind_words(kind: str) -> str:
    """Return what a kind of cut is called on the page; its own name where the catalogue has none."""
    return WORDS.get(f"cut.{kind}", kind)
