"""Who may ask, how much may be sent, what browsers may do with the page."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from tests.web.running import running

from snugbay.web import make_app
from snugbay.web.guard import LARGEST_BODY, host_name, is_loopback


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "evil.example:80", "", "[::1", "localhost.x"]
)
def test_a_strange_host_gets_nothing(client: httpx.Client, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code in (400, 421)
    assert "Jobs" not in answer.text


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:1234", "127.0.0.1:9", "[::1]:8420"])
def test_own_names_are_answered(client: httpx.Client, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "https://127.0.0.1"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_change_from_another_site_is_refused(client: httpx.Client, headers: dict[str, str]) -> None:
    before = client.get("/api/jobs").json()
    answer = client.post("/jobs/example", data={"name": "mill-cellar"}, headers=headers)
    assert answer.status_code == 403
    assert client.get("/api/jobs").json() == before


def test_a_change_from_the_page_itself_is_taken(client: httpx.Client) -> None:
    headers = {"origin": str(client.base_url).rstrip("/"), "sec-fetch-site": "same-origin"}
    assert client.post("/jobs/example", data={"name": "mill-cellar"}, headers=headers).status_code == 303


def test_too_large_a_body_is_refused_with_and_without_its_length(client: httpx.Client) -> None:
    body = b"x" * (LARGEST_BODY + 1)
    assert client.post("/api/jobs", content=body).status_code == 413

    def parts() -> Any:
        for _ in range(30):
            yield b"x" * 100_000

    try:
        answer = client.post("/api/jobs", content=parts())
    except (httpx.WriteError, httpx.ReadError):
        return  # the server hung up while it was still being sent to
    assert answer.status_code == 413


@pytest.mark.parametrize("path", ["/", "/api/jobs", "/static/nothing.css", "/jobs/nobody/measure", "/api/openapi.json"])
def test_every_answer_carries_the_security_headers(client: httpx.Client, path: str) -> None:
    headers = client.get(path).headers
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["x-frame-options"] == "DENY"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    [
        "/static/../pyproject.toml",
        "/static/%2e%2e/manifest.json",
        "/static/..%2f..%2fapp.py",
        "/static/manifest.json",
        "/jobs/a/files/../../../etc/passwd",
        "/jobs/a/files/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/jobs/..%2f..%2fetc/job.toml",
    ],
)
def test_no_path_leads_out(client: httpx.Client, path: str) -> None:
    assert client.get(path).status_code == 404


def test_names() -> None:
    assert [host_name(h) for h in ("A.b:80", "[::1]:9", "[::1", "x@y:1")] == ["a.b", "::1", "", "y"]
    own = ("127.0.0.1", "127.9.9.9", "::1", "::ffff:127.0.0.1")
    assert all(is_loopback(a) for a in own)
    assert not any(is_loopback(a) for a in ("10.0.0.1", "testclient", "", "::ffff:10.0.0.1"))


class Phone:
    """A client at an address of the house network, without a network."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        self.cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        return asyncio.run(self._ask(method, path, **more))

    async def _ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        transport = httpx.ASGITransport(app=self.app, client=("192.168.7.23", 50_000))
        async with httpx.AsyncClient(
            transport=transport, base_url="http://192.168.7.2", cookies=self.cookies
        ) as client:
            answer = await client.request(method, path, **more)
            self.cookies.update(dict(client.cookies))
            return answer


@pytest.fixture
def shared_app(tmp_path: Path) -> FastAPI:
    return make_app(tmp_path, hosts=("127.0.0.1", "192.168.7.2"), share=True)


def test_without_share_the_house_network_gets_nothing(tmp_path: Path) -> None:
    phone = Phone(make_app(tmp_path, hosts=("192.168.7.2",)))
    assert phone.ask("GET", "/").status_code == 303
    assert phone.ask("GET", "/api/jobs").status_code == 401
    assert phone.ask("GET", "/static/x").status_code in (303, 404)


def test_a_phone_is_let_in_once_it_showed_the_code(shared_app: FastAPI) -> None:
    phone = Phone(shared_app)
    assert phone.ask("GET", "/").headers["location"] == "/pair"
    assert phone.ask("GET", "/jobs/a/measure").headers["location"] == "/pair"
    assert phone.ask("GET", "/api/jobs").status_code == 401
    code = shared_app.state.pairing.code()
    assert phone.ask("POST", "/pair", data={"code": "AAAAAAAA"}).headers["location"] == "/pair?wrong=yes"
    answer = phone.ask("POST", "/pair", data={"code": f"{code[:4]} {code[4:].lower()}", "name": "pocket"})
    assert answer.headers["location"] == "/"
    made = answer.headers["set-cookie"].lower()
    assert "httponly" in made
    assert "samesite=strict" in made
    assert phone.ask("GET", "/").status_code == 200
    assert phone.ask("GET", "/api/jobs").json() == []
    assert phone.ask("GET", "/share").text.count(code) == 0  # a phone cannot invite others
    assert Phone(shared_app).ask("POST", "/pair", data={"code": code}).headers["location"] == "/pair?wrong=yes"
    shared_app.state.desk.store.devices.forget()
    assert phone.ask("GET", "/").headers["location"] == "/pair"


def test_a_code_is_spoiled_by_guessing_and_by_age(shared_app: FastAPI) -> None:
    pairing = shared_app.state.pairing
    code = pairing.code()
    for _ in range(10):
        assert not pairing.take("WRONGWRO")
    assert not pairing.take(code)
    now = [0.0]
    fresh = type(pairing)(lambda: now[0])
    old = fresh.code()
    now[0] = 601.0
    assert not fresh.take(old)
    assert fresh.code() != old


def test_a_forged_cookie_opens_nothing(shared_app: FastAPI) -> None:
    phone = Phone(shared_app)
    phone.cookies = {"snugbay_key": "x" * 43}
    assert phone.ask("GET", "/").headers["location"] == "/pair"


def test_a_page_that_breaks_says_so_without_telling_of_its_inside(tmp_path: Path) -> None:
    app = make_app(tmp_path)

    @app.get("/breaks")
    def breaks() -> None:
        raise RuntimeError("a secret place")

    @app.get("/api/breaks")
    def api_breaks() -> None:
        raise RuntimeError("a secret place")

    with running(app) as url, httpx.Client(base_url=url) as asker:
        page = asker.get("/breaks")
        assert (page.status_code, "Snugbay broke here." in page.text, "secret" in page.text) == (500, True, False)
        assert asker.get("/api/breaks").json()["error"]["code"] == "web.fault"
