"""Jobs put on the page, what their documents say, and forms as a page sends them."""

from __future__ import annotations

import tomllib
from typing import Any

import httpx


def keep(client: httpx.Client, text: str, title: str = "kept") -> str:
    return str(client.post("/api/jobs", json={"document": text, "title": title}).json()["id"])


def document(client: httpx.Client, job: str) -> dict[str, Any]:
    return tomllib.loads(client.get(f"/api/jobs/{job}/document").json()["text"])


def form(*fields: tuple[str, str, str], **more: str) -> dict[str, str]:
    body = dict(more)
    for at, was, now in fields:
        body |= {f"w:{at}": was, f"f:{at}": now}
    return body


WIDTH = "/faces/K1/outline/width"
