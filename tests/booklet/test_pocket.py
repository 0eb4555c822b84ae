from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from shutil import which
from typing import Any

import pytest
from tests.booklet.plan_fixture import JOB, PLAN
from tests.booklet.test_booklet import BARE

from snugbay.booklet import pocket_html

CHROMIUM = which("chromium") or which("chromium-browser") or which("google-chrome")


class Reader(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._quiet = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._quiet += tag in ("script", "style")

    def handle_endtag(self, tag: str) -> None:
        self._quiet -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._quiet:
            self.words.append(data)


@pytest.fixture(scope="module")
def page() -> str:
    return pocket_html(PLAN)


def test_one_file_without_a_network(page: str) -> None:
    assert pocket_html(PLAN) == page
    for tag, attrs in Reader(page).tags:
        for name in ("src", "href"):
            value = attrs.get(name)
            assert value is None or value.startswith("#"), (tag, value)
        assert tag not in ("link", "iframe", "img", "object")
    links = set(re.findall(r"https?://[^\"')\s<]+", page))
    assert links <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"url\((?!data:)", page)
    assert "@import" not in page


def test_every_cut_piece_step_and_purchase_has_a_tick_box(page: str) -> None:
    ticks = [a["data-tick"] for t, a in Reader(page).tags if t == "input"]
    cuts = [f"cut-{s.number}-{c.number}" for s in PLAN.sheets.sheets for c in s.cuts if c.kind != "factory edge"]
    pieces = [f"piece-{p.id}" for p in PLAN.pieces.pieces]
    steps = [f"step-{s.number}" for s in PLAN.fitting.steps]
    assert {*cuts, *pieces, *steps} <= set(ticks)
    assert len(ticks) == len(set(ticks))
    assert "clear-wiring" in ticks


def test_sheets_are_drawn_inside_the_page(page: str) -> None:
    layers = [a.get("data-layer") for _, a in Reader(page).tags]
    assert layers.count("sheet") == len(PLAN.sheets.sheets)
    assert page.index("Before you start") < page.index("Buying list")


def test_every_link_leads_to_a_part(page: str) -> None:
    tags = Reader(page).tags
    ids = {a["id"] for _, a in tags if "id" in a}
    assert {a["href"].removeprefix("#") for t, a in tags if t == "a" and a.get("href")} <= ids  # type: ignore[union-attr]


@pytest.mark.parametrize("nasty", ["</script><script>alert(1)</script>", "<img src=x onerror=a()>", "{{ 7*7 }} & \"'"])
def test_user_text_is_escaped(nasty: str) -> None:
    job = replace(JOB, title=nasty, unseen=(nasty,), faces=tuple(replace(f, title=nasty) for f in JOB.faces))
    text = pocket_html(replace(PLAN, job=job))
    read = Reader(text)
    assert sum(t == "script" for t, _ in read.tags) == 1
    assert not any("onerror" in a for _, a in read.tags)
    assert any(nasty in w for w in read.words)


def test_nothing_to_do_leaves_out_what_is_not_there() -> None:
    tags = Reader(pocket_html(BARE)).tags
    ids = {a.get("id") for _, a in tags}
    assert not {"sheets", "pieces", "sealing"} & ids
    assert {"cautions", "choice", "order"} <= ids


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.fail("No Chromium here; the browser tests need one.")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()


@pytest.mark.browser
def test_on_a_phone(page: str, browser: Any, tmp_path: Path) -> None:
    """At 360 px nothing runs off sideways, ticks are kept over a reload, drawings grow, and no error is thrown."""
    file = tmp_path / "pocket.html"
    file.write_text(page, encoding="utf-8")
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True)
    tab = context.new_page()
    errors: list[str] = []
    tab.on("pageerror", lambda e: errors.append(str(e)))
    tab.on("requestfailed", lambda r: errors.append(r.url))
    tab.goto(file.as_uri())
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    assert tab.evaluate("document.documentElement.scrollWidth") <= 360
    small = tab.evaluate(
        "[...document.querySelectorAll('button,label.tick,summary,nav a')]"
        ".filter(e => e.getBoundingClientRect().height < 40).map(e => e.outerHTML)"
    )
    assert small == []
    tab.check("[data-tick='piece-N1-1']")
    before = tab.evaluate("document.querySelector('#sheet-1 .pan svg').getBoundingClientRect().width")
    tab.click("#sheet-1 [data-zoom='1.4286']")
    after = tab.evaluate("document.querySelector('#sheet-1 .pan svg').getBoundingClientRect().width")
    assert after > 1.3 * before
    tab.reload()
    tab.wait_for_function("document.querySelector(\"[data-tick='piece-N1-1']\").checked")
    assert tab.inner_text("#pieces > summary output") == f"1 of {len(PLAN.pieces.pieces)} done"
    assert errors == []
    context.close()


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_reaches_wcag_aa(page: str, browser: Any, tmp_path: Path, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    file = tmp_path / "pocket.html"
    file.write_text(page, encoding="utf-8")
    context = browser.new_context(viewport={"width": 360, "height": 740}, color_scheme=scheme)
    tab = context.new_page()
    tab.goto(file.as_uri())
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": tags}})
    assert found.violations_count == 0, found.generate_report()
    context.close()


@pytest.mark.browser
def test_works_where_nothing_is_kept(page: str, browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "pocket.html"
    file.write_text(page, encoding="utf-8")
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no storage'); } });"
    )
    tab = context.new_page()
    errors: list[str] = []
    tab.on("pageerror", lambda e: errors.append(str(e)))
    tab.goto(file.as_uri())
    assert tab.is_visible("#not-saved")
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    tab.check("[data-tick='piece-N1-1']")
    assert errors == []
    context.close()
