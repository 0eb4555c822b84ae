"""Typesetting: a template, its data and its drawings in memory -> PDF."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import as_file, files
from typing import Any

import typst

from snugbay.base import SnugbayError
from snugbay.draw import Medium, Scene, to_svg

_compile: Any = typst.compile
"""Takes files in memory too, which its stub does not say."""


def pdf(template: str, data: Mapping[str, object], scenes: Mapping[str, Scene]) -> bytes:
    """Typeset a template.

    User text reaches the typesetter only as strings of a JSON file, never as markup. System fonts are left alone: the
    lettering is the bundled one, with the typesetter's own embedded font for characters that it lacks. The same input
    gives the same bytes.

    Parameters
    ----------
    template : str
        File name among the bundled templates.
    data : Mapping
        What the template reads as ``data.json``.
    scenes : Mapping of str to Scene
        Drawings by file name; the template finds their sizes under ``sizes``.

    Raises
    ------
    SnugbayError
        If the typesetter refuses, with its own words.
    """
    sizes = {name: {"width": s.width, "height": s.height, "alt": _alt(s)} for name, s in scenes.items()}
    sources: dict[str, bytes] = {
        "main.typ": files("snugbay.booklet").joinpath("templates", template).read_bytes(),
        "data.json": json.dumps({**data, "sizes": sizes}, ensure_ascii=False, sort_keys=True).encode(),
    }
    for shared in ("look.typ", "after.typ"):
        sources[shared] = files("snugbay.booklet").joinpath("templates", shared).read_bytes()
    for name, scene in scenes.items():
        sources[name] = to_svg(scene, Medium.PRINT).encode()
    with as_file(files("snugbay").joinpath("data", "fonts")) as fonts:
        try:
            made = _compile(sources, format="pdf", font_paths=[str(fonts)], ignore_system_fonts=True, timestamp=0)
        except typst.TypstError as error:
            raise SnugbayError(f"The typesetter refused {template}: {error}", code="booklet.typesetting") from error
    return bytes(made)


def _alt(scene: Scene) -> str:
    return f"{scene.title}. {scene.description}".strip()
