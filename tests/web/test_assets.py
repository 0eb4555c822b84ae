"""The page's own files: built from the sources here, named by their content, small enough, nothing from afar."""

from __future__ import annotations

import gzip
import hashlib
import json
import re
from importlib.resources import files
from pathlib import Path

import httpx
import pytest

from snugbay.base import UnknownName
from snugbay.draw import ink_sheet
from snugbay.draw.looks import LOOKS
from snugbay.web.assets import asset_url, assets, media_of

ROOT = Path(__file__).parents[2]
BUILD = ROOT / "web-build"
STATIC = Path(str(files("snugbay.web").joinpath("static")))
BUDGET = 250_000
"""All that a page loads but for the 3D part, gzipped. [bytes]"""


def source_hash() -> str:
    names = ["package.json", "package-lock.json", "build.mjs"]
    names += [f"{folder}/{p.name}" for folder in ("src", "css") for p in (BUILD / folder).iterdir()]
    digest = hashlib.sha256()
    for name in sorted(names):
        digest.update(name.encode() + b"\0" + (BUILD / name).read_bytes() + b"\0")
    return digest.hexdigest()


@pytest.mark.skipif(not BUILD.is_dir(), reason="the sources of the scripts are not there")
def test_the_committed_files_were_built_from_these_sources() -> None:
    manifest = json.loads((STATIC / "manifest.json").read_text())
    assert manifest["sources"] == source_hash(), "run `npm ci && npm run build` in web-build/"
    built = set(manifest["files"].values())
    assert {p.name for p in STATIC.iterdir() if p.suffix in (".js", ".css")} == built


def test_licences_lie_beside_what_is_bundled() -> None:
    names = [p.name for p in STATIC.glob("*.LICENSE.txt")]
    assert {n.split("-")[0] for n in names} == {"htmx.org", "three"}
    for name in names:
        version = name.removesuffix(".LICENSE.txt").rpartition("-")[2]
        assert re.fullmatch(r"\d+\.\d+\.\d+", version)


def test_the_page_is_small() -> None:
    sizes = {n: len(gzip.compress(a.body, 6)) for n, a in assets().items() if n != "solid.js"}
    assert sum(sizes.values()) < BUDGET, sizes
    assert sizes["page.js"] < 40_000


def test_names_change_with_the_content_and_are_kept_for_ever(client: httpx.Client) -> None:
    for plain, asset in assets().items():
        answer = client.get(asset_url(plain))
        assert answer.status_code == 200
        assert answer.content == asset.body
        assert "immutable" in answer.headers["cache-control"]
        plain_answer = client.get(asset_url(plain), headers={"accept-encoding": "identity"})
        assert plain_answer.content == asset.body
        assert "content-encoding" not in plain_answer.headers
    names = [a.name for a in assets().values()]
    assert len(set(names)) == len(names)
    assert all(re.search(r"-[A-Za-z0-9]{8,10}\.\w+$", n) for n in names)


def test_nothing_is_fetched_from_afar() -> None:
    web = STATIC.parent
    allowed = ("http://www.w3.org/", "https://www.w3.org/")
    for path in [*web.joinpath("templates").glob("*.html"), *STATIC.glob("look-*.css")]:
        for url in re.findall(r"(?:https?:)?//[a-z0-9][\w.-]+\.[a-z]{2,}[^\s\"')]*", path.read_text(encoding="utf-8")):
            assert url.startswith(allowed), (path.name, url)


def test_inks_are_set_for_daylight_dark_and_print() -> None:
    sheet = ink_sheet()
    assert sheet.index("color-scheme:light") < sheet.index("prefers-color-scheme:dark")
    assert "@media screen and (prefers-color-scheme:dark)" in sheet
    assert all(f".sb-{name}{{" in sheet for name in LOOKS)


def test_an_unknown_file_is_an_error() -> None:
    with pytest.raises(UnknownName):
        asset_url("nothing.js")


def test_media_types() -> None:
    names = {
        "a.toml": "application/toml",
        "b.glb": "model/gltf-binary",
        "c.pdf": "application/pdf",
        "d": "application/octet-stream",
    }
    assert {n: media_of(n) for n in names} == names
