"""Half-open connections are closed; whole requests on the same server are answered meanwhile."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator

import httpx
import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from snugbay.web.prompt import PromptProtocol
from snugbay.web.serving import listen

LONG = 60.0
"""Far longer than any wait here, for sockets that should be closed by the server. [s]"""


class Impatient(PromptProtocol):
    patience = 0.5


async def length(request: Request) -> PlainTextResponse:
    try:
        return PlainTextResponse(str(len(await request.body())))
    except ClientDisconnect:
        return PlainTextResponse("")  # to nobody: the connection was given up


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    listener = listen(0, everywhere=False)
    app = Starlette(routes=[Route("/", length, methods=["GET", "POST"])])
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", http=Impatient, timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    yield int(listener.getsockname()[1])
    server.should_exit = True
    thread.join()
    listener.close()


@pytest.mark.parametrize(
    "begun",
    [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: a\r\n", b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 9\r\n\r\nab"],
)
def test_half_a_request_is_given_up(port: int, begun: bytes) -> None:
    with socket.create_connection(("127.0.0.1", port), LONG) as line:
        line.sendall(begun)
        while line.recv(4096):
            pass  # ends when the server closes; a server that waits for ever runs into the socket's time-out


def test_the_second_request_of_a_connection_may_not_dawdle_either(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), LONG) as line:
        line.sendall(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
        assert line.recv(4096).startswith(b"HTTP/1.1 200")
        line.sendall(b"GET / HT")
        while line.recv(4096):
            pass


def test_whole_requests_are_answered_beside_a_hundred_half_ones(port: int) -> None:
    half = [socket.create_connection(("127.0.0.1", port), LONG) for _ in range(100)]
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=LONG) as client:
            for size in (0, 10, 100_000):
                assert client.post("/", content=b"x" * size).text == str(size)
    finally:
        for line in half:
            line.close()
