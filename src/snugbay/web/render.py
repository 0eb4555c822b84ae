"""Templates and what they can call."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from snugbay.draw.scene import Scene
from snugbay.draw.svg import Medium, to_svg
from snugbay.web.assets import asset_url
from snugbay.web.forms import page_id
from snugbay.web.texts import texts

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
    )
    words = texts()
    made.globals.update(
        t=words, count=words.count, has_text=words.has, asset=asset_url, stages=STAGES, drawing=drawing, page_id=page_id
    )
    return made


def drawing(scene: Scene) -> Markup:
    """Return a scene as SVG that the page's own styles colour; the writer has escaped every text in it."""
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
