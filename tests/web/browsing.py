"""A real browser against the real program."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or "/usr/bin/chromium"
DEADLINE = 30.0
DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 740}

PROGRAM = "import sys; from pathlib import Path; from snugbay.web import serve; "
PROGRAM += "serve(int(sys.argv[1]), browser=False, share=False, home=Path(sys.argv[2]))"


def need_chromium() -> None:
    """Skip where there is no browser; fail where there has to be one."""
    if Path(CHROMIUM).exists():
        return
    if os.environ.get("CI"):
        pytest.fail("There is no Chromium, and CI must have one.")
    pytest.skip("There is no Chromium on this machine.")


def launched(playwright: Playwright) -> Browser:
    """Start the system's Chromium."""
    flags = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--enable-unsafe-swiftshader"]
    return playwright.chromium.launch(executable_path=CHROMIUM, args=flags)


def free_port() -> int:
    """Return a port that was free a moment ago."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


@dataclass
class Program:
    """The real program as a child, on one port and one folder; it can be killed and started again."""

    home: Path
    port: int = field(default_factory=free_port)
    child: subprocess.Popen[str] | None = None

    @property
    def url(self) -> str:
        """Address of the page."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it and wait until it answers; if it dies, show what it said."""
        command = [sys.executable, "-c", PROGRAM, str(self.port), str(self.home)]
        self.child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        end = time.monotonic() + DEADLINE
        while time.monotonic() < end:
            if self.child.poll() is not None:
                pytest.fail(f"The program died: {self.child.stdout.read() if self.child.stdout else ''}")
            try:
                if httpx.get(f"{self.url}/api/jobs", timeout=2).status_code == 200:
                    return
            except httpx.HTTPError:
                time.sleep(0.1)
        pytest.fail("The program did not answer in time.")

    def kill(self) -> None:
        """End it without a warning, as a power cut would."""
        if self.child is not None:
            self.child.send_signal(signal.SIGKILL)
            self.child.wait()
            if self.child.stdout is not None:
                self.child.stdout.close()
            self.child = None


@dataclass
class Watched:
    """A page and everything that went wrong on it."""

    page: Page
    wrong: list[str]

    def fine(self, *, but: tuple[str, ...] = ()) -> None:
        """Assert that nothing went wrong, but for what the test meant to happen."""
        left = [w for w in self.wrong if not any(b in w for b in but)]
        assert not left, left


def watch(page: Page) -> Watched:
    """Collect console errors, page errors, refused responses and requests that leave the machine."""
    wrong: list[str] = []
    page.on("console", lambda m: wrong.append(f"console: {m.text}") if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: wrong.append(f"page: {e}"))
    page.on("response", lambda r: wrong.append(f"{r.status} {r.url}") if r.status >= 400 else None)
    page.on("request", lambda r: wrong.append(f"afar: {r.url}") if not _near(r.url) else None)
    return Watched(page, wrong)


def _near(url: str) -> bool:
    return url.startswith(("http://127.0.0.1:", "data:", "blob:", "about:"))


@contextmanager
def opened(browser: Browser, phone: bool = False, **more: Any) -> Iterator[Watched]:
    """Open a page at desktop or phone size."""
    size = PHONE if phone else DESKTOP
    made: dict[str, Any] = {"viewport": size, "has_touch": phone, "is_mobile": phone, "accept_downloads": True}
    context: BrowserContext = browser.new_context(**{**made, **more})
    context.set_default_timeout(15_000)
    try:
        yield watch(context.new_page())
    finally:
        context.close()
