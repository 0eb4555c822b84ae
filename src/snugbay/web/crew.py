"""The page's end of the worker: starts it, hands it tasks, keeps each one's progress and answer."""

from __future__ import annotations

import itertools
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace

from snugbay.base import Effort, SnugbayError, Stopped
from snugbay.web.frames import Begin, Done, Progress, Stop, receive, send
from snugbay.web.tasks import Task, check

Then = Callable[[object], None]
"""Called with a task's answer, in the listening thread, before anybody is told that it is done."""


@dataclass(frozen=True)
class Standing:
    """How a task stands.

    Attributes
    ----------
    number : int
        The task's number.
    job : str
        Id of the saved job.
    stage : str
        What is being done.
    share : float
        Share done, 0 to 1.
    over : bool
        True when it is over.
    stopping : bool
        True where it was asked to stop.
    error : SnugbayError or None
        Why it ended without an answer.
    turn : int
        Grows with every change.
    """

    number: int
    job: str
    stage: str = ""
    share: float = 0.0
    over: bool = False
    stopping: bool = False
    error: SnugbayError | None = None
    turn: int = 0


@dataclass
class _Errand:
    standing: Standing
    then: Then
    quick: tuple[str, str] | None = None
    lock: threading.Condition = field(default_factory=threading.Condition)


class Crew:
    """Hands tasks to one worker process, which is started when it is first needed and again if it dies."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._numbers = itertools.count(1)
        self._errands: dict[int, _Errand] = {}
        self._process: subprocess.Popen[bytes] | None = None

    def begin(self, job: str, task: Task, then: Then, *, seed: int = 1, effort: Effort = Effort.NORMAL) -> Standing:
        """Hand a task over; where one for the same job is still running, that one is returned instead."""
        check(task)
        with self._lock:
            running = self.running(job)
            if running is not None:
                return running
            process = self._started()
            number = next(self._numbers)
            errand = _Errand(Standing(number, job), then)
            self._errands[number] = errand
            self._forget_old()
            self._send(process, Begin(number, task, seed, effort))
            return errand.standing

    def ask(self, job: str, task: Task, seconds: float, *, effort: Effort = Effort.NORMAL) -> object | None:
        """Hand a quick question over and wait for its answer; None where the worker is busy or takes too long.

        A newer question of the same kind for the same job stops the one before it.
        """
        check(task)
        answer: list[object] = []
        with self._lock:
            if any(not e.standing.over and not e.quick for e in self._errands.values()):
                return None
            for number, errand in self._errands.items():
                if errand.quick == (job, task.name) and not errand.standing.over:
                    self.stop(number)
            process = self._started()
            number = next(self._numbers)
            self._errands[number] = _Errand(Standing(number, ""), answer.append, quick=(job, task.name))
            self._forget_old()
            self._send(process, Begin(number, task, 1, effort))
        standing: Standing | None = self.standing(number)
        end = time.monotonic() + seconds
        while standing is not None and not standing.over and time.monotonic() < end:
            standing = self.wait(number, standing.turn, max(0.0, end - time.monotonic()))
        if standing is not None and standing.error is not None and not isinstance(standing.error, Stopped):
            raise standing.error
        return answer[0] if answer else None

    def running(self, job: str) -> Standing | None:
        """Return the task of a job that is not over, or None."""
        with self._lock:
            found = [e.standing for e in self._errands.values() if e.standing.job == job and not e.standing.over]
        return found[-1] if found else None

    def latest(self, job: str) -> Standing | None:
        """Return the newest task of a job, over or not, or None."""
        with self._lock:
            found = [e.standing for e in self._errands.values() if e.standing.job == job]
        return found[-1] if found else None

    def standing(self, number: int) -> Standing | None:
        """Return how a task stands; None where it is not known."""
        errand = self._errands.get(number)
        return None if errand is None else errand.standing

    def wait(self, number: int, turn: int, seconds: float) -> Standing | None:
        """Wait until a task has changed since ``turn``, or for so long; return how it stands."""
        errand = self._errands.get(number)
        if errand is None:
            return None
        with errand.lock:
            errand.lock.wait_for(lambda: errand.standing.turn != turn, timeout=seconds)
        return errand.standing

    def stop(self, number: int) -> None:
        """Ask a task to stop and keep its best so far."""
        errand = self._errands.get(number)
        if errand is None or errand.standing.over:
            return
        _change(errand, stopping=True)
        with self._lock:
            if self._process is not None:
                self._send(self._process, Stop(number))

    def close(self) -> None:
        """End the worker."""
        with self._lock:
            process, self._process = self._process, None
        if process is None:
            return
        if process.stdin is not None:
            with suppress(BrokenPipeError):
                process.stdin.close()
        try:
            process.wait(timeout=3)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()

    def _started(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            command = [sys.executable, "-m", "snugbay.web.worker"]
            self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
            threading.Thread(target=self._listen, args=(self._process,), daemon=True).start()
        return self._process

    def _send(self, process: subprocess.Popen[bytes], message: Begin | Stop) -> None:
        if process.stdin is None:
            return
        try:
            send(process.stdin, message)
        except (BrokenPipeError, ValueError):
            self._abandon()

    def _listen(self, process: subprocess.Popen[bytes]) -> None:
        if process.stdout is None:
            return
        with process.stdout:
            while (message := receive(process.stdout)) is not None:
                errand = self._errands.get(message.number)
                if errand is None:
                    continue
                if isinstance(message, Progress):
                    _change(errand, stage=message.stage, share=message.share)
                elif isinstance(message, Done):
                    _finish(errand, message)
        process.wait()
        with self._lock:
            if process.stdin is not None:
                with suppress(BrokenPipeError):
                    process.stdin.close()
            if self._process is None or self._process is process:
                self._abandon()

    def _abandon(self) -> None:
        """Tell everybody who waits that the worker is gone."""
        gone = SnugbayError("The reckoning broke off.", hint="Start it again.", code="web.worker")
        for errand in list(self._errands.values()):
            if not errand.standing.over:
                _change(errand, over=True, error=gone)

    def _forget_old(self) -> None:
        over = [n for n, e in self._errands.items() if e.standing.over]
        for number in over[:-50]:
            del self._errands[number]


def _change(errand: _Errand, **changes: object) -> None:
    with errand.lock:
        now = errand.standing
        errand.standing = replace(now, **changes, turn=now.turn + 1)  # type: ignore[arg-type]
        errand.lock.notify_all()


def _finish(errand: _Errand, done: Done) -> None:
    error = done.error
    if error is None:
        try:
            errand.then(done.value)
        except SnugbayError as failed:
            error = failed
    _change(errand, over=True, share=1.0 if error is None else errand.standing.share, error=error)
