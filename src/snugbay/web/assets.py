"""The page's own files: built scripts and styles, the drawings' inks, the lettering; each under its content's hash."""

from __future__ import annotations

import gzip
import hashlib
import json
import mimetypes
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

from snugbay.base import UnknownName
from snugbay.draw import ink_sheet

FOREVER = "public, max-age=31536000, immutable"
_COMPRESSED = frozenset({"text/css", "text/javascript", "image/svg+xml", "font/ttf"})


@dataclass(frozen=True)
class Asset:
    """One file as it is sent.

    Attributes
    ----------
    name : str
        With the hash of the content.
    media : str
        Media type.
    body, zipped : bytes
        As it is, and gzipped (empty where that saves nothing).
    """

    name: str
    media: str
    body: bytes
    zipped: bytes


def _asset(name: str, media: str, body: bytes) -> Asset:
    zipped = gzip.compress(body, 9, mtime=0) if media in _COMPRESSED else b""
    return Asset(name, media, body, zipped if len(zipped) < len(body) else b"")


def _hashed(name: str, media: str, body: bytes) -> Asset:
    stem, _, ending = name.rpartition(".")
    return _asset(f"{stem}-{hashlib.sha256(body).hexdigest()[:10]}.{ending}", media, body)


@cache
def assets() -> Mapping[str, Asset]:
    """Return every file by its plain name: ``page.js``, ``look.css``, ``ink.css``, ``font-500.ttf``, ..."""
    static = files("snugbay.web").joinpath("static")
    manifest = json.loads(static.joinpath("manifest.json").read_text(encoding="utf-8"))
    made = {}
    for plain, built in manifest["files"].items():
        media = "text/css" if plain.endswith(".css") else "text/javascript"
        made[plain] = _asset(built, media, static.joinpath(built).read_bytes())
    fonts = files("snugbay").joinpath("data", "fonts")
    faces = []
    for weight, source in ((500, "Regular"), (700, "Bold")):
        body = fonts.joinpath(f"BarlowSemiCondensed-{source}.ttf").read_bytes()
        font = _hashed(f"font-{weight}.ttf", "font/ttf", body)
        made[f"font-{weight}.ttf"] = font
        faces.append(
            f'@font-face{{font-family:"Barlow Semi Condensed";font-weight:{weight};font-display:swap;'
            f'src:url("/static/{font.name}") format("truetype")}}'
        )
    made["ink.css"] = _hashed("ink.css", "text/css", ("".join(faces) + ink_sheet()).encode())
    made["mark.svg"] = _hashed("mark.svg", "image/svg+xml", _mark().encode())
    return made


def _mark() -> str:
    """Return the program's mark as a file of its own: two studs and the board between them."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" fill="#ffd23f"/>'
        '<path d="M4 5h5v22H4zM23 5h5v22h-5z" fill="#fff" stroke="#1c1b19" stroke-width="2"/>'
        '<path d="M11 9h10v14H11z" fill="#f6efdc" stroke="#1c1b19" stroke-width="2"/>'
        '<path d="M11 20 21 12" stroke="#1d4e89" stroke-width="2.5"/></svg>'
    )


def asset_url(plain: str) -> str:
    """Return the address of a file; raises `UnknownName` where there is none."""
    try:
        return f"/static/{assets()[plain].name}"
    except KeyError:
        raise UnknownName(f"The page has no file {plain!r}.", code="web.asset") from None


@cache
def _by_name() -> Mapping[str, Asset]:
    return {asset.name: asset for asset in assets().values()}


def serve_asset(request: Request) -> Response:
    """Answer a request for a file by its hashed name; anything else is not there."""
    asset = _by_name().get(request.path_params["name"])
    if asset is None:
        return Response(status_code=404)
    headers = {"cache-control": FOREVER, "vary": "accept-encoding"}
    media = asset.media if asset.media.startswith(("font/", "image/")) else f"{asset.media}; charset=utf-8"
    if asset.zipped and "gzip" in request.headers.get("accept-encoding", ""):
        return Response(asset.zipped, media_type=media, headers={**headers, "content-encoding": "gzip"})
    return Response(asset.body, media_type=media, headers=headers)


def media_of(name: str) -> str:
    """Return the media type of a file to take away."""
    own = {".toml": "application/toml", ".glb": "model/gltf-binary", ".dxf": "image/vnd.dxf", ".csv": "text/csv"}
    for ending, media in own.items():
        if name.endswith(ending):
            return media
    return mimetypes.guess_type(name)[0] or "application/octet-stream"
