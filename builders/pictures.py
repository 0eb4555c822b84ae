"""Takes a picture of each stage of the page, for the documentation: docs/pictures/*.jpg.

Run by hand from the repository: ``.venv/bin/python builders/pictures.py``. Needs Chromium. The jobs are the bundled
examples, so that anybody gets the same pictures.
"""

from __future__ import annotations

import argparse
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
from playwright.sync_api import Browser, Page, sync_playwright

from snugbay.document import example

OUT = Path(__file__).parents[1] / "docs" / "pictures"
LARGEST = 150_000
"""A picture is never larger than this. [bytes]"""

PROGRAM = (
    "import sys; from pathlib import Path; from snugbay.web import serve; "
    "serve(int(sys.argv[1]), browser=False, share=False, home=Path(sys.argv[2]))"
)
JOB = "ferry-cottage"


@dataclass(frozen=True)
class Shot:
    """One picture: its name, the page, what to do on it first, on which device, in which light; on a copy or not."""

    name: str
    path: str
    before: Callable[[Page], None]
    phone: bool = False
    dark: bool = False
    copy: bool = False


def nothing(_: Page) -> None:
    """Leave the page as it is."""


def wrong_tape(page: Page) -> None:
    """Type a slip of the tape, and see it found."""
    page.get_by_label("Top").fill("14' 5-1/8")
    page.locator(".reading .bad").first.wait_for()


def to(selector: str) -> Callable[[Page], None]:
    """Scroll to a part of the page."""

    def scroll(page: Page) -> None:
        page.locator(selector).first.evaluate("e => window.scrollTo(0, e.getBoundingClientRect().top + scrollY - 70)")

    return scroll


def solid(page: Page) -> None:
    """Turn the pieces in 3D."""
    to("[data-solid]")(page)
    page.get_by_role("button", name="Turn it in 3D").click()
    page.locator("[data-solid-ready]").wait_for()
    page.wait_for_timeout(1500)


def seams(page: Page) -> None:
    """Wait for the verdict and show the cold spots on their face."""
    page.locator("#verdict").wait_for(timeout=90_000)
    to("h3:has(+ .sides)")(page)


def marks(page: Page) -> None:
    """Pick a plan by its mark in the chart."""
    page.locator("[data-layer=plan][aria-checked=true]").focus()
    page.keyboard.press("ArrowLeft")
    to("#frontier")(page)


def sliders(page: Page) -> None:
    """Move the worth of an hour and wait for the proved plan."""
    page.get_by_label("Worth of an hour").fill("5")
    page.get_by_text("Proved best for these").wait_for(timeout=90_000)
    to("#sliders")(page)


SHOTS = (
    Shot("jobs", "", nothing),
    Shot("measure", "measure?item=faces/K1", wrong_tape, copy=True),
    Shot("measure-phone", "measure?item=shapes/B2", nothing, phone=True),
    Shot("weigh", "weigh", nothing),
    Shot("weigh-sliders", "weigh", sliders),
    Shot("weigh-frontier", "weigh", marks),
    Shot("weigh-phone", "weigh", nothing, phone=True),
    Shot("cut", "cut?sheet=2", nothing),
    Shot("cut-phone", "cut?sheet=2", nothing, phone=True),
    Shot("fit", "fit", nothing),
    Shot("fit-solid", "fit", solid),
    Shot("fit-order", "fit", to(".steps > li:has(.step)")),
    Shot("fit-dark-phone", "fit", to("#order"), phone=True, dark=True),
    Shot("prove", "prove", lambda page: page.locator("#verdict").wait_for(timeout=90_000)),
    Shot("prove-seams", "prove", seams),
    Shot("files", "files", nothing),
    Shot("measure-dark", "measure?item=shapes/B1", nothing, dark=True),
)


@contextmanager
def program(home: Path) -> Iterator[str]:
    """Run the real program; yields its address."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        port = int(s.getsockname()[1])
    child = subprocess.Popen([sys.executable, "-c", PROGRAM, str(port), str(home)])
    url = f"http://127.0.0.1:{port}"
    try:
        for _ in range(200):
            try:
                httpx.get(f"{url}/api/jobs", timeout=2)
                break
            except httpx.HTTPError:
                time.sleep(0.1)
        yield url
    finally:
        child.terminate()
        child.wait()


def plan(url: str, effort: str) -> str:
    """Keep the example and plan it; returns its id."""
    with httpx.Client(base_url=url, timeout=60) as client:
        job = str(client.post("/api/jobs", json={"document": example(JOB)}).json()["id"])
        client.post("/api/jobs", json={"document": example("mill-cellar")})
        client.post(f"/api/jobs/{job}/work", json={"effort": effort})
        while True:
            standing = client.get(f"/api/jobs/{job}/work").json()
            if standing["over"]:
                if standing["error"]:
                    raise SystemExit(standing["error"]["what"])
                return job
            time.sleep(1)


READINGS = (
    {"kind": "buffer air", "value": "66 F", "zone": "eaves-n"},
    {"kind": "outdoor air", "value": "20 F", "zone": "outside"},
    *(
        {"kind": "surface, contact", "value": f"{value} F", "face": "S1", "spot": spot}
        for spot, value in (("middle", 64.9), ("A-B", 63.9), ("top left corner", 59.0), ("C-D", 64.2))
    ),
)
"""One cold night after the work, with a corner that leaks."""


def read(url: str, job: str) -> None:
    """Write the readings and some hours into the job, for the pictures of what they prove."""
    with httpx.Client(base_url=url, timeout=60) as client:
        for reading in READINGS:
            client.post(f"/jobs/{job}/temperatures", data={"when": "after", "set": "night", **reading})
        client.post(f"/jobs/{job}/log", data={"hours": "3.5", "element": "fitting", "face": "S1", "percent": "60"})


def take(browser: Browser, url: str, job: str, shot: Shot) -> Path:
    """Take one picture."""
    if shot.copy:
        job = str(httpx.post(f"{url}/api/jobs", json={"document": example(JOB)}).json()["id"])
    context = browser.new_context(
        viewport={"width": 360, "height": 740} if shot.phone else {"width": 1280, "height": 860},
        is_mobile=shot.phone,
        has_touch=shot.phone,
        color_scheme="dark" if shot.dark else "light",
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.goto(f"{url}/jobs/{job}/{shot.path}" if shot.path else url)
    shot.before(page)
    page.wait_for_timeout(300)
    path = OUT / f"{shot.name}.jpg"
    page.screenshot(path=path, type="jpeg", quality=72)
    context.close()
    return path


def main() -> None:
    """Take all pictures, or those named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="Pictures to take; all if none is named.")
    parser.add_argument("--effort", default="quick", choices=("quick", "normal", "thorough"))
    asked = parser.parse_args()
    chromium = shutil.which("chromium") or "/usr/bin/chromium"
    OUT.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, program(Path(home)) as url, sync_playwright() as playwright:
        job = plan(url, asked.effort)
        read(url, job)
        flags = ["--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader"]
        browser = playwright.chromium.launch(executable_path=chromium, args=flags)
        for shot in SHOTS:
            if asked.names and shot.name not in asked.names:
                continue
            path = take(browser, url, job, shot)
            size = path.stat().st_size
            print(f"{path.name}: {size / 1000:.0f} kB" + ("  TOO LARGE" if size > LARGEST else ""))
        browser.close()


if __name__ == "__main__":
    main()
