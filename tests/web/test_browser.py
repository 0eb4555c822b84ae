"""The page in a real browser: the whole job, on the desk and on the phone, with a killed server and with two tabs."""

from __future__ import annotations

import io
import re
import tomllib
import zipfile
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader
from tests.told_by_faces import COTTAGE_BY_FACES
from tests.web.browsing import Program, Watched, opened

from snugbay.document import EXAMPLES, example
from snugbay.store import Store

pytestmark = pytest.mark.browser

PLANNED = 90_000
"""Longest that planning a small job may take. [ms]"""


def new_job(program: Program, text: str, title: str) -> str:
    answer = httpx.post(f"{program.url}/api/jobs", json={"document": text, "title": title})
    return str(answer.json()["id"])


def text_of(program: Program, job: str) -> str:
    return str(httpx.get(f"{program.url}/api/jobs/{job}/document").json()["text"])


def width_of(program: Program, job: str) -> object:
    faces = tomllib.loads(text_of(program, job))["faces"]
    return next(f for f in faces if f["id"] == "K1")["outline"]["width"]


def saved(page: Page) -> None:
    expect(page.locator("#said")).to_have_text("Saved.")


@pytest.mark.parametrize("phone", [False, True], ids=["desk", "phone"])
def test_the_whole_job_from_an_empty_page_to_the_booklet(
    browser: Browser, program: Program, tmp_path: Path, phone: bool
) -> None:
    with opened(browser, phone) as watched:
        page = watched.page
        page.goto(program.url)
        page.get_by_label("What you call it").fill("Cellar of the test" + (" (phone)" if phone else ""))
        page.get_by_label("millimetres").check()
        page.get_by_label("Town or weather station nearby").fill("Dresden")
        page.get_by_label("Opening, width").fill("800")
        page.get_by_label("Opening, height").fill("1.98 m")
        page.get_by_label("Clear run behind it").fill("2600")
        page.get_by_role("button", name="Start", exact=True).click()
        expect(page).to_have_url(re.compile("/measure$"))
        _measure(page)
        _weigh(page)
        _cut_and_fit(page)
        _take_away(page, tmp_path)
        watched.fine()


def _measure(page: Page) -> None:
    if not page.get_by_label("What you measure").is_visible():
        page.get_by_text("Add a face").click()
    page.get_by_label("What you measure").select_option("cellar wall")
    page.get_by_label("Its name").fill("Long wall")
    page.get_by_role("button", name="Add", exact=True).click()
    readings = (
        ("Length along the floor", "4 810"),
        ("Height at the left end", "2.096 m"),
        ("Height at the right end", "2094"),
        ("Length along the ceiling", "4812"),
    )
    page.get_by_label(readings[0][0]).focus()
    for n, (label, value) in enumerate(readings):
        field = page.get_by_label(label)
        expect(field).to_be_focused()
        page.keyboard.type(value)
        if n + 1 < len(readings):
            page.keyboard.press("Enter")
    page.get_by_label("Diagonal, or of a part").fill("5 247")
    page.get_by_role("button", name="Save", exact=True).click()
    saved(page)
    expect(page.locator("#sketches svg")).to_have_count(1)
    expect(page.locator("#sketches")).to_contain_text("4 810")


def _weigh(page: Page) -> None:
    page.get_by_role("link", name="Weigh up").click()
    page.locator("select[name=effort]").select_option("quick")
    page.get_by_role("button", name="Weigh up and plan").click()
    expect(page.get_by_role("heading", name="What to do")).to_be_visible(timeout=PLANNED)
    expect(page.get_by_role("heading", name="Money against hours")).to_be_visible()


def _cut_and_fit(page: Page) -> None:
    page.get_by_role("link", name="Cut", exact=False).first.click()
    page.goto(page.url.partition("?")[0] + "?sheet=1")
    with page.expect_response("**/tick"):
        page.locator("[data-tick] input[id^=piece-]").first.check()
    page.reload()
    expect(page.locator("[data-tick] input[id^=piece-]").first).to_be_checked()
    page.get_by_role("link", name="Fit", exact=False).first.click()
    shut = page.get_by_text("Shut until you have read:")
    buttons = page.locator("form[action$='/caution'] button", has_not_text="Take back")
    while buttons.count():
        before = buttons.count()
        buttons.first.click()
        expect(buttons).to_have_count(before - 1)
    expect(shut).to_have_count(0)
    page.get_by_role("button", name="Start the clock").first.click()
    expect(page.get_by_role("timer")).to_be_visible()
    page.get_by_role("button", name="Stop, and write the log").click()
    page.get_by_role("link", name="Prove", exact=False).first.click()
    expect(page.locator("#log ~ .wide tbody tr")).to_have_count(1)


def _take_away(page: Page, tmp_path: Path) -> None:
    page.get_by_role("link", name="Take away").click()
    with page.expect_download(timeout=60_000) as download:
        page.get_by_role("link", name="Everything in one archive").click()
    path = tmp_path / "all.zip"
    download.value.save_as(path)
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        booklet = archive.read("booklet.pdf")
        document = archive.read("job.toml").decode()
    assert {"booklet.pdf", "pocket.html", "pieces.dxf", "model.glb", "buying.csv", "job.toml", "plan.json"} <= names
    assert any(n.startswith("sheets/") for n in names)
    assert len(PdfReader(io.BytesIO(booklet)).pages) >= 4
    assert tomllib.loads(document)["log"]["entries"][0]["element"]


def test_a_server_killed_in_the_middle_loses_nothing_acknowledged(browser: Browser, tmp_path: Path) -> None:
    program = Program(tmp_path)
    program.start()
    try:
        job = new_job(program, COTTAGE_BY_FACES, "killed")
        with opened(browser) as watched:
            page = watched.page
            page.goto(f"{program.url}/jobs/{job}/measure?item=faces/K1")
            page.get_by_label("Bottom").fill("14' 2-1/16")
            page.keyboard.press("Enter")
            saved(page)
            program.kill()
            page.get_by_label("Left side").fill("46 1/16")
            page.keyboard.press("Enter")
            expect(page.locator("#said")).to_contain_text("The server does not answer")
            expect(page.get_by_label("Left side")).to_have_value("46 1/16")
            program.start()
            assert width_of(program, job) == "14' 2-1/16"
            page.get_by_role("button", name="Save", exact=True).click()
            saved(page)
            page.reload()
            expect(page.get_by_label("Bottom")).to_have_value("14' 2-1/16")
            expect(page.get_by_label("Left side")).to_have_value("46 1/16")
            watched.fine(but=("ERR_CONNECTION_REFUSED", "Failed to fetch", "htmx:", "ERR_CONNECTION_RESET"))
    finally:
        program.kill()


def test_two_tabs_never_lose_a_change_in_silence(browser: Browser, program: Program) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "two tabs")
    address = f"{program.url}/jobs/{job}/measure?item=faces/K1"
    with opened(browser) as one, opened(browser) as two:
        for tab in (one, two):
            tab.page.goto(address)
        _type(one, "Bottom", "14' 2-1/4")
        _type(two, "Top", "14' 2-3/8")  # another field: both stay
        outline = next(f for f in tomllib.loads(text_of(program, job))["faces"] if f["id"] == "K1")["outline"]
        assert (outline["width"], outline["top"]) == ("14' 2-1/4", "14' 2-3/8")
        two.page.get_by_label("Bottom").fill("14' 3")  # the same field: both are shown
        two.page.keyboard.press("Enter")
        conflict = two.page.locator(".conflict")
        expect(conflict).to_contain_text("14' 3")
        expect(conflict).to_contain_text("14' 2-1/4")
        assert width_of(program, job) == "14' 2-1/4"
        conflict.get_by_role("button", name="Keep mine").click()
        expect(two.page.get_by_label("Bottom")).to_have_value("14' 3")
        assert width_of(program, job) == "14' 3"
        history = httpx.get(f"{program.url}/api/jobs/{job}/history").json()
        assert len([v for v in history if v["what"].endswith("/width")]) == 2
        one.fine()
        two.fine()


def test_another_tab_s_change_is_shown_and_never_over_what_is_typed(browser: Browser, program: Program) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "live")
    address = f"{program.url}/jobs/{job}/measure?item=faces/K1"
    with opened(browser) as one, opened(browser) as two:
        for tab in (one, two):
            tab.page.goto(address)
        _type(one, "Bottom", "14' 2-1/4")
        expect(two.page.get_by_label("Bottom")).to_have_value("14' 2-1/4")  # nobody typed there: shown by itself
        two.page.get_by_label("Top").focus()
        two.page.keyboard.press("End")
        two.page.keyboard.insert_text("-")  # half a reading
        two.page.evaluate("document.querySelector('[name=\"w:/faces/K1/outline/top\"]').form.dataset.unsaved = ''")
        _type(one, "Top", "14' 2-7/8")
        expect(two.page.locator("[data-elsewhere]").last).to_contain_text("14' 2-7/8")
        expect(two.page.get_by_label("Top")).to_have_value(re.compile("-$"))
        two.page.keyboard.insert_text("1/8")
        two.page.keyboard.press("Enter")
        expect(two.page.locator(".conflict")).to_contain_text("14' 2-7/8")  # both values to choose from
        one.page.goto(f"{program.url}/jobs/{job}/about")
        two.page.goto(f"{program.url}/jobs/{job}/about")
        field = two.page.locator("[name='f:/you/hour_worth']")
        field.fill("31")
        field.blur()
        expect(one.page.locator("[name='f:/you/hour_worth']")).to_have_value("31")
        one.fine()
        two.fine()


def _type(watched: Watched, label: str, value: str) -> None:
    watched.page.get_by_label(re.compile(f"^{label}")).fill(value)
    watched.page.keyboard.press("Enter")
    saved(watched.page)


def test_undo_and_redo_from_the_page(browser: Browser, program: Program) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "undo")
    with opened(browser) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{job}/measure?item=faces/K1")
        _type(watched, "Bottom", "15'")
        page.locator("h1").click()
        page.keyboard.press("Control+z")
        expect(page.get_by_label("Bottom")).to_have_value("14' 2")
        page.keyboard.press("Control+y")
        expect(page.get_by_label("Bottom")).to_have_value("15'")
        page.get_by_role("button", name="Undo").click()
        expect(page.get_by_label("Bottom")).to_have_value("14' 2")
        watched.fine()


def test_the_sketch_and_the_remarks_follow_the_typing(browser: Browser, program: Program) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "typing")
    with opened(browser) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{job}/measure?item=faces/K1")
        field = page.get_by_label("Diagonal from lower left")
        field.fill("15' 8-3/16")
        expect(page.locator("#sketches svg")).to_contain_text("15' 8-3/16")
        expect(page.locator(".reading .state .bad").first).to_be_visible()
        field.fill("15' 8-3/")
        expect(page.locator("[data-kind=fault]")).to_contain_text("15' 8-3/")
        saved(page)  # however unfinished, it is kept
        assert "15' 8-3/" in text_of(program, job)
        watched.fine()


def test_without_script_the_basics_work(browser: Browser, program: Program, planned: str) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "no script")
    with opened(browser, java_script_enabled=False) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{job}/measure?item=faces/K1")
        page.get_by_label("Bottom").fill("14' 2-1/2")
        page.get_by_role("button", name="Save", exact=True).first.click()
        expect(page.get_by_label("Bottom")).to_have_value("14' 2-1/2")
        assert width_of(program, job) == "14' 2-1/2"
        page.get_by_role("button", name="Undo").click()
        page.goto(f"{program.url}/jobs/{job}/measure?item=faces/K1")
        expect(page.get_by_label("Bottom")).to_have_value("14' 2")
        for stage in ("weigh", "cut", "fit", "prove", "files", "about", "document"):
            page.goto(f"{program.url}/jobs/{planned}/{stage}")
            expect(page.locator("h1")).to_be_visible()
        watched.fine()


def test_the_plan_follows_the_sliders(browser: Browser, program: Program, planned: str) -> None:
    with opened(browser) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{planned}/weigh")
        page.get_by_label("Worth of an hour").focus()
        page.keyboard.press("ArrowRight")
        expect(page.locator("#followed .figures")).to_be_visible()
        expect(page.get_by_text("Proved best for these")).to_be_visible(timeout=PLANNED)
        page.get_by_label("Most money now").fill("0")
        expect(page.locator("#followed .note")).to_contain_text("No plan keeps these limits", timeout=PLANNED)
        watched.fine()


def test_a_plan_is_picked_by_its_mark_in_the_chart(browser: Browser, program: Program, planned: str) -> None:
    with opened(browser) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{planned}/weigh")
        marks = page.get_by_role("radiogroup", name="Money against hours").get_by_role("radio")
        assert marks.count() >= 2
        expect(page.locator("[data-picked]")).to_be_hidden()
        page.locator("[data-layer=plan][aria-checked=true]").focus()
        page.keyboard.press("ArrowRight")
        expect(page.locator("[data-picked]")).to_contain_text("of your own")
        number = page.locator("[data-layer=plan][aria-checked=true]").get_attribute("data-name")
        assert number is not None
        expect(page.locator(f"input[name=point][value='{number.removeprefix('plan-')}']")).to_be_checked()
        other = page.locator("[data-layer=plan][aria-checked=false]").first
        name = other.get_attribute("data-name")
        box = other.locator("circle, path").first.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2 + 4, box["y"] + box["height"] / 2)  # beside it, as a thumb would
        expect(page.locator("[data-layer=plan][aria-checked=true]")).to_have_attribute("data-name", name or "")
        watched.fine()


def test_planning_can_be_stopped_from_the_page(browser: Browser, program: Program) -> None:
    job = new_job(program, COTTAGE_BY_FACES, "to be stopped")
    with opened(browser, phone=True) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{job}/weigh")
        page.locator("select[name=effort]").select_option("thorough")
        page.get_by_role("button", name="Weigh up and plan").click()
        expect(page.locator("[data-work-stage]")).to_contain_text("%")
        page.get_by_role("button", name="Stop and keep the best so far").click()
        expect(page.locator("[data-work]")).to_have_count(0, timeout=PLANNED)
        expect(page.get_by_text(re.compile("stopped on the way|Planning broke off"))).to_be_visible()
        watched.fine()


def test_a_piece_that_came_out_wrong_is_laid_again(browser: Browser, program: Program) -> None:
    job = new_job(program, example("mill-cellar"), "spoiled")
    with opened(browser, phone=True) as watched:
        page = watched.page
        page.goto(f"{program.url}/jobs/{job}/cut")
        page.locator("select[name=effort]").select_option("quick")
        page.get_by_role("button", name="Weigh up and plan").click()
        expect(page.get_by_role("heading", name="Pieces")).to_be_visible(timeout=PLANNED)
        while page.locator("#stops button").count():
            with page.expect_navigation():
                page.locator("#stops button").first.click()
        page.get_by_text("Something went wrong").click()
        page.get_by_role("button", name="This piece came out wrong").click()
        expect(page.get_by_text("The rest was laid again")).to_be_visible(timeout=PLANNED)
        expect(page.locator(".thumbs")).to_be_in_viewport()  # within reach of a thumb, wherever the page stands
        watched.fine()


def test_a_document_dropped_or_chosen_is_opened(browser: Browser, program: Program, tmp_path: Path) -> None:
    path = tmp_path / "other.toml"
    path.write_text(example("chapel-dormers"), encoding="utf-8")
    with opened(browser) as watched:
        page = watched.page
        page.goto(program.url)
        page.get_by_label("Job document").set_input_files(path)
        page.get_by_role("button", name="Open", exact=True).click()
        expect(page.locator(".items li")).to_have_count(len(tomllib.loads(path.read_text())["shapes"]) + 4)
        watched.fine()
        page.goto(program.url)
        with page.expect_navigation():
            page.evaluate(
                """text => {
                    const data = new DataTransfer();
                    data.items.add(new File([text], "a.toml", { type: "text/plain" }));
                    const drop = { dataTransfer: data, bubbles: true, cancelable: true };
                    document.dispatchEvent(new DragEvent("drop", drop));
                }""",
                example("mill-cellar") + "# dropped\n",
            )
        expect(page.locator(".head .job")).to_contain_text("Mill cellar")


def test_every_example_opens_from_the_page(browser: Browser, program: Program) -> None:
    with opened(browser, phone=True) as watched:
        for name in EXAMPLES:
            watched.page.goto(program.url)
            title = tomllib.loads(example(name))["title"]
            watched.page.get_by_role("button", name=title, exact=True).click()
            expect(watched.page.locator("#sketches svg").first).to_be_visible()
        watched.fine()


def test_the_store_of_the_browser_tests_is_sound(program: Program, planned: str) -> None:
    """The program writes what another reader of the same file understands."""
    store = Store(program.home)
    assert store.work.newest_number(planned) is not None


def test_drawings_to_take_away_keep_their_colours(browser: Browser, program: Program, planned: str) -> None:
    """A drawing opened by itself brings its style sheet; without it every area would be painted black."""
    with browser.new_context() as context:
        page = context.new_page()
        for name in ("pieces.svg", "sheets/sheet-01.svg"):
            answer = page.goto(f"{program.url}/jobs/{planned}/files/{name}")
            assert answer is not None
            assert answer.ok
            fills = page.evaluate("[...document.querySelectorAll('path')].map(p => getComputedStyle(p).fill)")
            assert fills
            assert set(fills) != {"rgb(0, 0, 0)"}
