"""Messages between the page and its worker, and how they are framed: a length, then a pickle.

Both ends are the same program on the same machine under the same user.
"""

from __future__ import annotations

import pickle
import struct
from dataclasses import dataclass
from typing import IO

from snugbay.base import Effort, SnugbayError
from snugbay.web.tasks import Task

HEADER = struct.Struct(">Q")


@dataclass(frozen=True)
class Begin:
    """Start a task."""

    number: int
    task: Task
    seed: int
    effort: Effort


@dataclass(frozen=True)
class Stop:
    """Stop a task; it answers with its best so far."""

    number: int


@dataclass(frozen=True)
class Progress:
    """How far a task is."""

    number: int
    stage: str
    share: float


@dataclass(frozen=True)
class Done:
    """A task's answer, or the error that ended it."""

    number: int
    value: object = None
    error: SnugbayError | None = None


Message = Begin | Stop | Progress | Done


def send(stream: IO[bytes], message: Message) -> None:
    """Write one frame."""
    body = pickle.dumps(message)
    stream.write(HEADER.pack(len(body)) + body)
    stream.flush()


def receive(stream: IO[bytes]) -> Message | None:
    """Read one frame; None at the end of the stream."""
    head = stream.read(HEADER.size)
    if len(head) < HEADER.size:
        return None
    (length,) = HEADER.unpack(head)
    body = stream.read(length)
    if len(body) < length:
        return None
    message: Message = pickle.loads(body)
    return message
