"""A connection that does not come to the point is closed: nobody holds the door open with half a request."""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_SECONDS = 15.0
"""How long a connection may take over the head of a request, and over a body whose end was announced. [s]"""


class PromptProtocol(H11Protocol):
    """Uvicorn's own protocol with a time-out from the opening of a connection to the end of each request."""

    patience = REQUEST_SECONDS
    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._late = self.loop.call_later(self.patience, self._give_up)

    def data_received(self, data: bytes) -> None:
        """Take what came; the wait ends with the request, and begins again with the first byte of the next."""
        super().data_received(data)
        if self._whole():
            self._forget()
        elif self._late is None:
            self._late = self.loop.call_later(self.patience, self._give_up)

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the wait."""
        self._forget()
        super().connection_lost(exc)

    def _whole(self) -> bool:
        """Tell whether a request is in whole and is being answered."""
        begins_anew = self.cycle is not None and self.cycle.response_complete and self.conn.their_state is h11.IDLE
        return self.cycle is not None and not self.cycle.more_body and not begins_anew

    def _forget(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None

    def _give_up(self) -> None:
        self._late = None
        if not self._whole() and not self.transport.is_closing():
            self.transport.close()
