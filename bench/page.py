"""The page's own figures, by hand: how fast the sketch follows typing, the first paint on a slow phone, what is loaded.

``.venv/bin/python bench/page.py`` needs Chromium. Printed beside each figure is what it is held against.
"""

from __future__ import annotations

import gzip
import statistics
import tempfile
from pathlib import Path

import httpx
from playwright.sync_api import Browser, Page, expect, sync_playwright
from tests.web.browsing import Program, launched

from snugbay.web.assets import assets

FACES = 30
FACES_OF_A_BOX = 5
PAUSE = 120
"""Between two keys: a quick typist. [ms]"""
SLOWDOWN = 4
"""How many times slower the processor is made for the first paint."""


def job_of(faces: int) -> str:
    """Return a document of so many faces: boxes of five, joined, all with spare readings."""
    head = """version = 1
name = "thirty"
units = "ft-in"
[place]
climate = "Portland, ME"
[[zones]]
id = "inside"
kind = "inside"
[[zones]]
id = "eaves"
kind = "buffer"
volume_m3 = 18
[[zones]]
id = "outside"
kind = "outside"
[access]
width = "22"
height = "30"
clear_run = "58"
"""
    box = """
[[shapes]]
shape = "niche box"
id = "B{n}"
between = ["inside", "eaves"]
width = "{width}"
height = "34"
depth_of_box = "11"
more = {{ "back A-C" = "{diagonal}", "left A-C" = "35 3/4", "right A-B" = "11", "top A-C" = "{top}" }}
headroom = "27"
"""
    boxes = []
    for n in range(faces // FACES_OF_A_BOX):
        width = 36 + n
        sizes = {"diagonal": (width**2 + 34**2) ** 0.5, "top": (width**2 + 11**2) ** 0.5}
        boxes.append(box.format(n=n + 1, width=width, **{k: f"{v:.2f}" for k, v in sizes.items()}))
    return head + "".join(boxes)


def typing(page: Page, url: str, job: str) -> list[float]:
    """Type every reading of one box anew, slips and all; return how long each redrawing took, in the browser. [ms]"""
    page.goto(f"{url}/jobs/{job}/measure?item=shapes/B3")
    for field in page.locator("input[data-reading]").all():
        value = field.input_value()
        if not value:
            continue
        field.click()
        field.press("ControlOrMeta+a")
        for key in value + " 1/16":
            field.press(key)
            page.wait_for_timeout(PAUSE)
        expect(page.locator("#sketches svg")).to_have_count(FACES_OF_A_BOX)  # without them there is nothing to time
        field.press("ControlOrMeta+a")
        field.press_sequentially(value, delay=PAUSE)
    told = page.evaluate("document.documentElement.dataset.drawn") or ""
    return [float(x) for x in str(told).split()]


def first_paint(browser: Browser, url: str, job: str) -> dict[str, float]:
    """Return the first contentful paint of each stage with a slowed processor, nothing cached. [ms]"""
    found = {}
    for stage in ("measure", "about", "document"):
        context = browser.new_context(viewport={"width": 360, "height": 740}, is_mobile=True)
        page = context.new_page()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
        page.goto(f"{url}/jobs/{job}/{stage}")
        page.wait_for_timeout(400)
        entry = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1"
        found[stage] = float(page.evaluate(entry))
        context.close()
    return found


def main() -> None:
    """Print the figures."""
    sizes = {name: len(gzip.compress(a.body, 6)) for name, a in assets().items()}
    rest = sum(v for k, v in sizes.items() if k != "solid.js")
    print(
        "Loaded by every page, gzipped: " + ", ".join(f"{k} {v}" for k, v in sorted(sizes.items()) if k != "solid.js")
    )
    print(f"  together {rest / 1000:.0f} kB of 250 kB; the 3D part {sizes['solid.js'] / 1000:.0f} kB")
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        program = Program(Path(home))
        program.start()
        try:
            text = job_of(FACES)
            job = str(httpx.post(f"{program.url}/api/jobs", json={"document": text}).json()["id"])
            browser = launched(playwright)
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            typing(page, program.url, job)  # warm
            drawn = sorted(typing(page, program.url, job))
            p95 = drawn[min(len(drawn) - 1, int(0.95 * len(drawn)))]
            median = statistics.median(drawn)
            print(
                f"Sketch of a {FACES}-face job redrawn {len(drawn)} times: "
                f"median {median:.0f} ms, p95 {p95:.0f} of 150 ms"
            )
            for stage, ms in first_paint(browser, program.url, job).items():
                print(f"First contentful paint, {stage}, processor {SLOWDOWN} times slower: {ms:.0f} of 1000 ms")
            browser.close()
        finally:
            program.kill()


if __name__ == "__main__":
    main()
