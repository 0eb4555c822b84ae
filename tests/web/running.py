"""The real server on a free port, in a thread, and a client that talks to it like a browser."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import uvicorn
from fastapi import FastAPI

from snugbay.web import make_app
from snugbay.web.serving import listen

DEADLINE = 20.0


@contextmanager
def running(app: FastAPI) -> Iterator[str]:
    """Serve an app; yields its address."""
    listener = listen(0, everywhere=False)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="error", access_log=False, ws="none", timeout_graceful_shutdown=1)
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    end = time.monotonic() + DEADLINE
    while not server.started and time.monotonic() < end:
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(DEADLINE)
        listener.close()


@contextmanager
def client_of(home: Path) -> Iterator[tuple[httpx.Client, FastAPI]]:
    """Serve a new app over a folder; yields a client and the app."""
    app = make_app(home)
    with running(app) as url, httpx.Client(base_url=url, timeout=60) as client:
        yield client, app
