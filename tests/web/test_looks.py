"""The page in a real browser: barriers, fingers, lettering, print, and the pieces in 3D."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect
from tests.web.browsing import Program, opened

from snugbay.draw.lettering import text_width

pytestmark = pytest.mark.browser

PAGES = ("measure", "about", "document", "weigh", "cut", "fit", "prove", "files")


@pytest.mark.parametrize(("phone", "scheme"), [(False, "light"), (True, "dark")], ids=["desk-light", "phone-dark"])
def test_no_page_has_a_barrier(browser: Browser, program: Program, planned: str, phone: bool, scheme: str) -> None:
    axe = Axe()
    addresses = ["", "api", *(f"jobs/{planned}/{p}" for p in PAGES)]
    with opened(browser, phone, color_scheme=scheme, reduced_motion="reduce", bypass_csp=True) as watched:
        for address in addresses:
            watched.page.goto(f"{program.url}/{address}")
            watched.page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
            found = axe.run(watched.page, options={"resultTypes": ["violations"]})
            told = [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found.response["violations"]]
            assert told == [], address
            wide = watched.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{address} scrolls sideways by {wide} px"
        watched.fine()


TOO_SMALL = """() => [...document.querySelectorAll("a, button, input:not([type=hidden]), select, summary")]
    .filter(e => !e.matches(".skip") && !e.closest("p, dd, footer, td, th, .unseen, [data-solid] details"))
    .map(e => [e, [e, ...(e.labels ?? []), e.closest("label")].filter(Boolean).map(x => x.getBoundingClientRect())])
    .filter(([e, boxes]) => boxes[0].width > 0 && Math.max(...boxes.map(b => b.height)) < 43.5)
    .map(([e]) => e.outerHTML.slice(0, 90))"""
MOVING = """() => [...document.querySelectorAll("*")].filter(e => {
    const s = getComputedStyle(e);
    return [s.transitionDuration, s.animationDuration].some(d => d.split(",").some(x => parseFloat(x) > 0.001));
}).map(e => e.outerHTML.slice(0, 90))"""


def test_targets_are_as_large_as_a_finger_and_nothing_moves_unasked(
    browser: Browser, program: Program, planned: str
) -> None:
    with opened(browser, phone=True, reduced_motion="reduce") as watched:
        for stage in ("measure", "weigh", "cut", "fit", "prove", "files"):
            watched.page.goto(f"{program.url}/jobs/{planned}/{stage}")
            assert watched.page.evaluate(TOO_SMALL) == [], stage
            assert watched.page.evaluate(MOVING) == [], stage
        watched.fine()


def test_lettering_on_the_page_is_as_wide_as_the_drawings_reckon(
    browser: Browser, program: Program, planned: str
) -> None:
    """A wider lettering would push a cut's number over the first figure of its mark.

    Pairs that the font draws closer together, as 41, make it narrower than reckoned.
    """
    with opened(browser) as watched:
        for stage in ("cut", "fit", "weigh"):
            watched.page.goto(f"{program.url}/jobs/{planned}/{stage}")
            watched.page.evaluate("document.fonts.ready")
            found = watched.page.eval_on_selector_all(
                "svg text",
                """all => all.map(t => [t.textContent, t.getComputedTextLength(),
                    parseFloat(t.getAttribute("font-size")), t.getAttribute("font-weight") === "700"])""",
            )
            assert len(found) > 3
            for text, width, size, bold in found:
                reckoned = text_width(text, size, bold=bold)
                assert 0.94 * reckoned - 0.15 <= width <= 1.03 * reckoned + 0.15, (stage, text)


def test_pages_print_without_their_frame(browser: Browser, program: Program, planned: str) -> None:
    with opened(browser, color_scheme="dark") as watched:
        watched.page.goto(f"{program.url}/jobs/{planned}/cut")
        watched.page.emulate_media(media="print")
        expect(watched.page.locator(".tape")).to_be_hidden()
        expect(watched.page.locator(".thumbs")).to_be_hidden()
        paper = watched.page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--sb-paper')")
        assert paper == "#ffffff"  # no dark ground on paper, whatever the screen likes


def test_the_pieces_can_be_turned_or_stay_a_drawing(browser: Browser, program: Program, planned: str) -> None:
    with opened(browser) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{planned}/fit")
        expect(page.locator("[data-solid] svg")).to_be_visible()
        page.get_by_role("button", name="Turn it in 3D").click()
        expect(page.locator("[data-solid-ready], [data-solid-failed]")).to_have_count(1)
        if page.locator("[data-solid-ready]").count():
            expect(page.locator("[data-solid] canvas")).to_be_visible()
            page.get_by_text("Find a piece by its name").click()
            button = page.locator("button[data-piece]").first
            button.click()
            expect(page.locator("[data-solid-name]")).to_have_text(button.inner_text())
        else:
            expect(page.locator("[data-solid] svg")).to_be_visible()
    with opened(browser) as watched:
        watched.page.route("**/solid-*.js", lambda route: route.abort())
        watched.page.goto(f"{program.url}/jobs/{planned}/fit")
        watched.page.get_by_role("button", name="Turn it in 3D").click()
        expect(watched.page.locator("[data-solid-failed]")).to_have_count(1)
        expect(watched.page.locator("[data-solid] svg")).to_be_visible()


def test_a_drawing_is_whole_on_a_phone_and_large_when_tapped(browser: Browser, program: Program, planned: str) -> None:
    with opened(browser, phone=True) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{planned}/cut?sheet=1")
        figure = page.locator("figure.roomy").first
        wide = figure.evaluate("e => [e.scrollWidth, e.clientWidth]")
        assert wide[0] == wide[1]
        figure.tap()
        wide = figure.evaluate("e => [e.scrollWidth, e.clientWidth]")
        assert wide[0] > 1.5 * wide[1]
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        watched.fine()
