"""Templates and what they can call."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from snugbay.base import SnugbayError
from snugbay.draw import Medium, Scene, to_svg
from snugbay.draw.sheet_body import bevel_words
from snugbay.draw.symbols import degrees_text
from snugbay.draw.texts import end_words
from snugbay.web.assets import asset_url
from snugbay.web.forms import page_id
from snugbay.web.texts import texts
from snugbay.web.views import by_when
from snugbay.web.weighing import Reason
from snugbay.words import writer_for

STAGES = ("measure", "weigh", "cut", "fit", "prove")


@cache
def environment() -> Environment:
    """Return the template environment; every text is escaped unless it is markup already."""
    made = Environment(
        loader=PackageLoader("snugbay.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=in_words,
    )
    words = texts()
    made.globals.update(
        by_when=by_when,
        fault_text=fault_text,
        names_of=names_of,
        signed=signed,
        degrees=lambda angle: degrees_text(abs(angle)),
        bevel_words=bevel_words,
        end_words=end_words,
        answer_of=lambda reasons, face, way: reasons.get(Reason(face, way)),
        tick_form=tick_form,
        t=words,
        count=words.count,
        has_text=words.has,
        asset=asset_url,
        stages=STAGES,
        drawing=drawing,
        page_id=page_id,
    )
    return made


def in_words(value: object) -> object:
    """Return what a template is about to print; an error is put into words, by whatever template it is printed."""
    return writer_for(value).error(value) if isinstance(value, SnugbayError) else value


def fault_text(error: SnugbayError) -> str:
    """Return what is wrong and what to do, without the place: for a text that stands at the field itself."""
    writer = writer_for(error)
    return f"{writer.what(error)} {writer.hint(error)}".strip()


def names_of(ids: Sequence[str], names: Mapping[str, str]) -> str:
    """Return names for people in one list."""
    return ", ".join(names.get(i, i) for i in ids)


def signed(value: float, write: Callable[[float], str]) -> str:
    """Return a difference with its sign always shown."""
    return ("+" if value >= 0 else "−") + write(abs(value))


def tick_form(job: Any, kind: str, key: str, done: bool, sheet: int, ident: str) -> Markup:
    """Return the beginning of a tick: a form that sends itself, or has a button where there is no script."""
    url = f"/jobs/{job.id}/tick"
    return Markup(
        '<form data-tick method="post" action="{url}" hx-post="{url}" hx-trigger="tick" hx-target="#bench"'
        ' hx-swap="innerHTML"><input type="hidden" name="kind" value="{kind}"><input type="hidden" name="key"'
        ' value="{key}"><input type="hidden" name="sheet" value="{sheet}"><input type="hidden" name="back"'
        ' value="/jobs/{job}/cut?sheet={sheet}"><div class="tick"><input type="checkbox" id="{id}" name="done"'
        ' value="yes"{checked}>'
    ).format(url=url, kind=kind, key=key, sheet=sheet, job=job.id, id=ident, checked=Markup(" checked") if done else "")


def drawn(make: Callable[[], Scene]) -> Scene | None:
    """Return a drawing; None where it cannot be made, so that one bad drawing never takes a page's words with it.

    The page then says that the drawing is missing, and the log says why.
    """
    try:
        return make()
    except Exception:
        logging.getLogger("snugbay.web").exception("A drawing could not be made.")
        return None


def drawing(scene: Scene | None) -> Markup:
    """Return a scene as SVG that the page's own styles colour; the writer has escaped every text in it."""
    if scene is None:
        return Markup('<p class="note warn">{}</p>').format(texts()("app.no-drawing"))
    return Markup(to_svg(scene, Medium.PAGE))


def render(template: str, context: Mapping[str, Any]) -> str:
    """Return a template filled in."""
    return environment().get_template(template).render(**context)


def page(template: str, status: int = 200, **context: Any) -> HTMLResponse:
    """Answer with a whole page or a part of one."""
    return HTMLResponse(render(template, context), status)


def partial(request: Request) -> bool:
    """Tell whether the page's script asks for a part of a page."""
    return request.headers.get("hx-request") == "true"
