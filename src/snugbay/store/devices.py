"""Phones that were paired for `snugbay serve --share`: only a hash of each one's key is kept."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass

from snugbay.store.database import Database


@dataclass(frozen=True)
class Device:
    """A paired phone: the start of its key's hash, its name and when it was paired."""

    id: str
    name: str
    paired_at: str


def _hash(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


class Devices:
    """Paired phones."""

    def __init__(self, database: Database) -> None:
        self._db = database

    def pair(self, name: str) -> str:
        """Pair a phone; returns the key that it has to show from now on (256 random bits)."""
        key = secrets.token_urlsafe(32)
        with self._db.writing() as c:
            c.execute("INSERT INTO devices VALUES (?, ?, ?, NULL)", (_hash(key), name[:60], self._db.now()))
        return key

    def knows(self, key: str) -> bool:
        """Tell whether a key belongs to a paired phone that was not sent away."""
        with self._db.reading() as c:
            row = c.execute("SELECT 1 FROM devices WHERE key_hash = ? AND revoked_at IS NULL", (_hash(key),)).fetchone()
        return row is not None

    def all(self) -> tuple[Device, ...]:
        """Return the paired phones, newest first."""
        with self._db.reading() as c:
            rows = c.execute("SELECT * FROM devices WHERE revoked_at IS NULL ORDER BY paired_at DESC").fetchall()
        return tuple(Device(r["key_hash"][:12], r["name"], r["paired_at"]) for r in rows)

    def forget(self, device: str | None = None) -> None:
        """Send one phone away, or all of them."""
        with self._db.writing() as c:
            if device is None:
                c.execute("UPDATE devices SET revoked_at = ? WHERE revoked_at IS NULL", (self._db.now(),))
            else:
                c.execute(
                    "UPDATE devices SET revoked_at = ? WHERE substr(key_hash, 1, 12) = ?", (self._db.now(), device)
                )
