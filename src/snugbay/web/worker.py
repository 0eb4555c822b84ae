"""The process that does the long work, so that the page stays quick; it can be stopped and keeps its best so far.

Run as ``python -m snugbay.web.worker``: frames come in on standard input and go out on standard output.
"""

from __future__ import annotations

import os
import queue
import sys
import threading
from collections.abc import Callable
from typing import IO

from snugbay.base import Run, SnugbayError, Stopped
from snugbay.web.frames import Begin, Done, Message, Progress, Stop, receive, send
from snugbay.web.tasks import TASKS


def work(begin: Begin, run: Run) -> Done:
    """Do one task; every error becomes an answer."""
    try:
        return Done(begin.number, TASKS[begin.task.name](begin.task, run))
    except SnugbayError as error:
        return Done(begin.number, error=error)
    except Exception as error:  # the page says what happened and the worker lives on
        text = f"The reckoning failed: {type(error).__name__}: {error}."
        return Done(begin.number, error=SnugbayError(text, hint="This is a fault in Snugbay.", code="web.fault"))


def serve(incoming: IO[bytes], outgoing: IO[bytes]) -> None:
    """Do the tasks that come in, one after the other, until the stream ends."""
    waiting: queue.Queue[Begin | None] = queue.Queue()
    stopped: set[int] = set()
    lock = threading.Lock()

    def say(message: Message) -> None:
        with lock:
            send(outgoing, message)

    def listen() -> None:
        while (message := receive(incoming)) is not None:
            if isinstance(message, Stop):
                stopped.add(message.number)
            elif isinstance(message, Begin):
                waiting.put(message)
        waiting.put(None)
        os._exit(0)  # the page is gone: whatever is being reckoned is of no use to anybody

    threading.Thread(target=listen, daemon=True).start()
    while (begin := waiting.get()) is not None:
        if begin.number in stopped:
            say(Done(begin.number, error=Stopped("Stopped before it began.")))
        else:
            say(work(begin, _run(begin, say, stopped)))


def _run(begin: Begin, say: Callable[[Message], None], stopped: set[int]) -> Run:
    last: list[tuple[str, float]] = [("", -1.0)]

    def progress(stage: str, share: float) -> None:
        if stage != last[0][0] or share - last[0][1] >= 0.004:
            last[0] = (stage, share)
            say(Progress(begin.number, stage, share))

    return Run(begin.seed, begin.effort, progress, lambda: begin.number in stopped)


def main() -> None:
    """Serve on standard input and output; prints of libraries go to standard error."""
    outgoing = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    sys.stdout = sys.stderr
    serve(sys.stdin.buffer, outgoing)


if __name__ == "__main__":
    main()
