"""Pairing phones on the house network: the addresses to reach this machine by, the code, the QR picture."""

from __future__ import annotations

import hmac
import io
import secrets
import socket
import threading
import time
from collections.abc import Callable

import segno

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Letters of a code that nobody mistakes for another."""

LIFE = 600.0
"""How long a code can be used. [s]"""

MOST_TRIES = 10
"""Wrong codes before a new one has to be made."""


def house_addresses() -> tuple[str, ...]:
    """Return this machine's addresses on the house network; nothing is sent."""
    found: list[str] = []
    for probe in ("192.0.2.1", "198.51.100.1"):  # documentation addresses (RFC 5737): only the route is looked up
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
            try:
                s.connect((probe, 9))
                found.append(str(s.getsockname()[0]))
            except OSError:
                continue
    return tuple(dict.fromkeys(a for a in found if not a.startswith("127.")))


class Pairing:
    """The code that a phone shows to be let in; one code pairs one phone.

    Parameters
    ----------
    clock : callable
        Seconds, never running backwards.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._code = ""
        self._until = 0.0
        self._tries = 0

    def code(self) -> str:
        """Return the code that is good now, making one where there is none."""
        with self._lock:
            if not self._code or self._clock() >= self._until:
                self._make()
            return self._code

    def take(self, code: str) -> bool:
        """Use a code up; False where it is wrong, too old or was used already. Too many wrong ones spoil the code."""
        with self._lock:
            good = bool(self._code) and self._clock() < self._until
            given = "".join(c for c in code.upper() if c in LETTERS)
            if good and hmac.compare_digest(given, self._code):
                self._code = ""
                return True
            self._tries += 1
            if self._tries >= MOST_TRIES:
                self._code = ""
            return False

    def _make(self) -> None:
        self._code = "".join(secrets.choice(LETTERS) for _ in range(8))
        self._until = self._clock() + LIFE
        self._tries = 0


def qr_svg(text: str) -> str:
    """Return a text as a QR code: an SVG with a quiet zone, dark on light in every theme."""
    out = io.BytesIO()
    segno.make(text, error="m").save(
        out,
        kind="svg",
        scale=6,
        border=4,
        dark="#000",
        light="#fff",
        xmldecl=False,
        svgns=True,
        nl=False,
        omitsize=True,
    )
    return out.getvalue().decode()
