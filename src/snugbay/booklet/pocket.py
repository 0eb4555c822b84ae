"""The pocket booklet: one HTML file for the phone, no network."""

from __future__ import annotations

import base64
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from snugbay.booklet import drawings
from snugbay.booklet.content import content
from snugbay.booklet.texts import catalogue
from snugbay.draw import Medium, Scene, hours_bars, ink_sheet, to_svg
from snugbay.draw.lettering import FAMILY
from snugbay.flow import JobPlan
from snugbay.weigh.points import as_shown

_PARTS = ("cautions", "choice", "buying", "sheets", "pieces", "order", "sealing", "appendix")


def _fill(pattern: str, **parts: object) -> str:
    return pattern.format(**parts)


@cache
def _environment() -> Environment:
    made = Environment(loader=PackageLoader("snugbay.booklet", "templates"), autoescape=True, undefined=StrictUndefined)
    made.filters["fill"] = _fill
    made.globals["tick"] = _tick
    return made


def _tick(name: str, words: str, more: str = "") -> Markup:
    """Return a tick box that remembers itself under its name."""
    small = Markup('<span class="small">{}</span>').format(more) if more else ""
    box = Markup('<input type="checkbox" autocomplete="off" data-tick="{}">').format(name)
    return Markup('<label class="tick">{}<span><b>{}</b>{}</span></label>').format(box, words, small)


def _template(name: str) -> str:
    return files("snugbay.booklet").joinpath("templates", name).read_text(encoding="utf-8")


@cache
def _fonts() -> str:
    """Return the lettering, inside the page, so that drawings look the same without a network."""
    rules = []
    for weight, name in ((400, "Regular"), (700, "Bold")):
        font = files("snugbay").joinpath("data", "fonts", f"BarlowSemiCondensed-{name}.ttf").read_bytes()
        data = base64.b64encode(font).decode("ascii")
        rules.append(f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};src:url(data:font/ttf;base64,{data})}}')
    return "".join(rules)


def _svg(scene: Scene) -> Markup:
    """Return a drawing for the page; the writer has escaped every text in it."""
    return Markup(to_svg(scene, Medium.PAGE))


def pocket_html(plan: JobPlan) -> str:
    """Write a plan as one HTML page that works on a phone without a network.

    Sections fold; ticks are kept in the browser's local storage where it has one, and the page says so where not;
    sheets are drawings that can be enlarged; colours follow the reader's setting or choice. The same plan gives the
    same text. Every text of the user is escaped.
    """
    said = content(plan)
    words = catalogue()
    apart = drawings.apart(plan)
    listed = {str(s["number"]): s for s in said["sheets"]["sheets"]}  # type: ignore[index]
    shown = [(listed[number], _svg(scene)) for number, scene in drawings.sheets(plan)]
    absent = set()
    if not shown:
        absent.add("sheets")
    if not plan.pieces.pieces:
        absent.add("pieces")
    if not plan.fitting.sealing:
        absent.add("sealing")
    return (
        _environment()
        .get_template("pocket.html.j2")
        .render(
            c=said,
            t=words,
            menu=[(p, words[p]["title"]) for p in _PARTS if p not in absent],
            sheets=shown,
            parts={
                str(sheet.number): [_svg(scene) for scene in drawings.parts(sheet, plan, phone=True)]
                for sheet in plan.sheets.sheets
            },
            cards={name: _svg(scene) for name, scene in drawings.cards(plan)},
            pictures={number: _svg(scene) for number, scene in drawings.steps(plan)},
            apart=_svg(apart) if apart is not None else "",
            hours=_svg(hours_bars(as_shown(plan.weighing))) if plan.weighing.hours else "",
            store=escape(f"{plan.job.name}/{plan.digest}"),
            fonts=Markup(_fonts()),
            inks=Markup(ink_sheet()),
            css=Markup(_template("pocket.css")),
            script=Markup(_template("pocket.js")),
        )
    )
