"""What stands between the network and the page: who may ask, how much may be sent, what browsers may do with it."""

from __future__ import annotations

import ipaddress
import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 2_500_000
"""Most that one request may send. [bytes]"""

TOO_MUCH = "That is more than Snugbay takes at once."

LOCAL_NAMES = frozenset({"127.0.0.1", "localhost", "::1"})

KEY_COOKIE = "snugbay_key"

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'"
)
HEADERS = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("x-frame-options", "DENY"),
)


@dataclass(frozen=True)
class GuardRules:
    """Who may ask.

    Attributes
    ----------
    hosts : frozenset of str
        Names and addresses under which the page may be asked for; everything else is refused, so that a stranger's
        domain name that points here gets nothing (DNS rebinding).
    share : bool
        True where phones on the house network may come in, once paired.
    knows : callable
        Tells whether a key belongs to a paired phone.
    trusted_clients : frozenset of str
        Client addresses besides the loopback ones that need no pairing (the tests' own).
    broken : callable
        Makes the answer where a page broke, from its path.
    """

    hosts: frozenset[str] = LOCAL_NAMES
    share: bool = False
    knows: Callable[[str], bool] = field(default=lambda _: False)
    trusted_clients: frozenset[str] = frozenset()
    broken: Callable[[str], Response] = field(default=lambda _: _plain(500, "Snugbay broke here."))


def host_name(header: str) -> str:
    """Return the name in a Host header without its port, lower case; empty where it is malformed."""
    try:
        return (urlsplit(f"//{header}").hostname or "").lower()
    except ValueError:
        return ""


def is_loopback(client: str) -> bool:
    """Tell whether an address is this machine's own."""
    try:
        address = ipaddress.ip_address(client)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return bool(address.is_loopback or (mapped is not None and mapped.is_loopback))


def same_origin(headers: Headers, scheme: str) -> bool:
    """Tell whether a request that changes something comes from the page itself (or from no browser at all)."""
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    return origin is None or origin.lower() == f"{scheme}://{headers.get('host', '').lower()}"


class _TooMuch(HTTPException):
    """The body is larger than the guard lets in."""

    def __init__(self) -> None:
        super().__init__(413, TOO_MUCH)


class Guard:
    """ASGI middleware that keeps the rules."""

    def __init__(self, app: ASGIApp, rules: GuardRules) -> None:
        self._app = app
        self._rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with the security headers added."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        sender = _with_headers(send)
        if refusal is not None:
            await refusal(scope, receive, sender)
            return
        started = False

        async def watched(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await sender(message)

        try:
            await self._app(scope, _limited(receive), watched)
        except _TooMuch:
            if not started:
                await _plain(413, TOO_MUCH)(scope, receive, sender)
        except Exception:
            logging.getLogger("snugbay.web").exception("A page broke: %s", scope["path"])
            if not started:
                await self._rules.broken(scope["path"])(scope, receive, sender)

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        hosts = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1 or host_name(hosts[0]) not in self._rules.hosts:
            return _plain(421, "This page does not answer under that name.")
        if scope["method"] not in ("GET", "HEAD", "OPTIONS") and not same_origin(headers, scope["scheme"]):
            return _plain(403, "Changes are only taken from Snugbay's own page.")
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > LARGEST_BODY:
            return _plain(413, TOO_MUCH)
        return None if self._may(scope, headers) else _unpaired(scope["path"])

    def _may(self, scope: Scope, headers: Headers) -> bool:
        client = scope.get("client")
        address = client[0] if client else ""
        if is_loopback(address) or address in self._rules.trusted_clients:
            return True
        if not self._rules.share:
            return False
        if scope["path"].startswith(("/static/", "/pair")):
            return True
        key = cookie(headers.get("cookie", ""), KEY_COOKIE)
        return key is not None and self._rules.knows(key)


def cookie(header: str, name: str) -> str | None:
    """Return a cookie's value, or None."""
    jar: SimpleCookie = SimpleCookie()
    try:
        jar.load(header)
    except CookieError:
        return None
    return jar[name].value if name in jar else None


def _plain(status: int, text: str) -> Response:
    return PlainTextResponse(text + "\n", status)


def _unpaired(path: str) -> Response:
    if path.startswith("/api/"):
        return _plain(401, "Pair this device first.")
    return RedirectResponse("/pair", 303)


def _limited(receive: Receive) -> Receive:
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > LARGEST_BODY:
            raise _TooMuch
        return message

    return counted


def _with_headers(send: Send, more: Iterable[tuple[str, str]] = HEADERS) -> Send:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in more:
                headers.setdefault(name, value)
            if "cache-control" not in headers:
                headers["cache-control"] = "no-store"
        await send(message)

    return sender
