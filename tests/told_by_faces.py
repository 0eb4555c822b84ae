"""The cottage and the mill told face by face and join by join: the other way in which a document may say them."""

from __future__ import annotations

from pathlib import Path

_FOLDER = Path(__file__).parent / "flow" / "documents"
COTTAGE_BY_FACES = (_FOLDER / "ferry-by-faces.toml").read_text(encoding="utf-8")
MILL_BY_SHAPES = (_FOLDER / "mill-by-shapes.toml").read_text(encoding="utf-8")
