"""Fixtures of the page's tests."""

from __future__ import annotations

from collections.abc import Iterator

import httpx
import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, sync_playwright
from tests.web.browsing import Program, launched, need_chromium
from tests.web.running import client_of

from snugbay.document import example


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[httpx.Client, FastAPI]]:
    with client_of(tmp_path_factory.mktemp("home")) as both:
        yield both


@pytest.fixture
def client(served: tuple[httpx.Client, FastAPI]) -> httpx.Client:
    return served[0]


@pytest.fixture
def app(served: tuple[httpx.Client, FastAPI]) -> FastAPI:
    return served[1]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    need_chromium()
    with sync_playwright() as playwright:
        made = launched(playwright)
        yield made
        made.close()


@pytest.fixture(scope="session")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Program]:
    need_chromium()
    made = Program(tmp_path_factory.mktemp("pages"))
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="session")
def planned(program: Program) -> str:
    """A job that is planned; its id."""
    with httpx.Client(base_url=program.url, timeout=60) as client:
        job = str(client.post("/api/jobs", json={"document": example("mill-cellar")}).json()["id"])
        client.post(f"/api/jobs/{job}/work", json={"effort": "quick"})
        for _ in range(900):
            standing = client.get(f"/api/jobs/{job}/work").json()
            if standing["over"]:
                assert standing["error"] is None, standing
                return job
            with client.stream("GET", f"/jobs/{job}/work") as events:
                for line in events.iter_lines():
                    if line == "event: over":
                        break
    raise AssertionError("planning never ended")
