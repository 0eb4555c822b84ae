"""Fixtures of the page's tests."""

from __future__ import annotations

from collections.abc import Iterator

import httpx
import pytest
from fastapi import FastAPI
from tests.web.running import client_of


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
