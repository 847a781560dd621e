"""Processes beside those that answer, for pages that take long to reckon: they give way, so that a
reading is answered as fast as without them.

What goes in is a request as plain values, what comes out its answer; in between such a process is
the same program, with a connection of its own to the database. The queue is that of a listening
socket in a folder of the server's own: whoever has nothing to do takes from it, and when it is full
that is told at once. An answer to a page lies in the folder until whoever asked comes for it.

Rejected: a queue with a server of its own, which a laptop would have to run; threads, which hold
the interpreter's lock; the computations themselves in the pool, which would send a whole diagnosis
to and fro and leave the drawing of it to who takes readings.
"""

import contextlib
import io
import os
import pickle
import signal
import socket
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from django.db import connections

PROCESSES, QUEUE = 2, 16
GIVES_WAY = 10  # a tenth of the share of one that does not
LONGEST_S = 120  # after which nobody waits any more
RECKONED_BESIDE = "navclass.reckoned_beside"  # in the environment of a request in the pool
KEPT_S = 60  # an answer that nobody came for is old
PASSED_ON = frozenset(
    (
        "CONTENT_LENGTH",
        "CONTENT_TYPE",
        "PATH_INFO",
        "QUERY_STRING",
        "REMOTE_ADDR",
        "REQUEST_METHOD",
        "SCRIPT_NAME",
        "SERVER_NAME",
        "SERVER_PORT",
        "SERVER_PROTOCOL",
        "wsgi.url_scheme",
    )
)


class Full(Exception):
    """The queue is full."""


class NotReckoned(Exception):
    """The process that reckoned died, or took too long."""


class _TookTooLong(BaseException):
    """Not an Exception, for the program makes a page of those."""


@dataclass(frozen=True)
class Job:
    """A request: what a server tells of it, and its body. `name` is what its answer is called."""

    name: str
    environ: dict[str, str]
    body: bytes = b""

    @classmethod
    def of(cls, name: str, environ: dict[str, Any], body: bytes) -> "Job":
        """The job of a request: nothing of the process that took it in goes along."""
        told = {
            key: value
            for key, value in environ.items()
            if key in PASSED_ON or key.startswith("HTTP_")
        }
        return cls(name, told | {"CONTENT_LENGTH": str(len(body))}, body)


@dataclass(frozen=True)
class Answer:
    """What came out: the status, the headers as they were sent, and the body."""

    status: int = 0
    headers: list[tuple[str, str]] = field(default_factory=list)
    body: bytes = b""


class Pool:
    """The folder in which those who ask and those who reckon meet."""

    def __init__(self, folder: str) -> None:
        self.folder = Path(folder)
        self.listening = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self.listening.bind(str(self.folder / "queue"))
        self.listening.listen(QUEUE)

    def ask(self, job: Job, patience_s: float) -> Answer | None:
        """The answer to a job, which is begun where it was not yet; None while it is reckoned.
        Raises Full, or NotReckoned.
        """
        deadline = time.monotonic() + patience_s
        if (self._begun(job.name)).exists():
            return self._wait(job.name, deadline)
        if (answer := self._taken(job.name)) is not None:
            return answer
        asked = self._put_in(job)
        with asked:
            try:
                is_told = asked.poll(max(0, deadline - time.monotonic()))
                if is_told:
                    asked.recv()
            except (EOFError, OSError) as error:
                self._begun(job.name).unlink(missing_ok=True)
                raise NotReckoned from error
        return self._taken(job.name) if is_told else None

    def _put_in(self, job: Job) -> Connection:
        """The end of a connection to whoever will reckon a job."""
        end = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        end.setblocking(False)
        try:
            end.connect(str(self.folder / "queue"))
        except BlockingIOError as error:
            end.close()
            raise Full from error
        end.setblocking(True)
        self._begun(job.name).touch()
        asked = Connection(end.detach())
        asked.send(job)
        return asked

    def _wait(self, name: str, deadline: float) -> Answer | None:
        """Wait for what somebody asked for before; raises NotReckoned where nobody is at it."""
        begun = self._begun(name)
        while begun.exists():
            if self._is_left(begun):
                begun.unlink(missing_ok=True)
                raise NotReckoned
            if time.monotonic() >= deadline:
                return None
            time.sleep(0.05)  # a file gives no other sign
        answer = self._taken(name)
        if answer is None:
            raise NotReckoned
        return answer

    def _is_left(self, begun: Path) -> bool:
        """Whether the process that took a job is gone. One that is still queued has none yet."""
        try:
            pid = int(begun.read_text() or 0)
            if pid:
                os.kill(pid, 0)
        except ProcessLookupError:
            return True
        except (OSError, ValueError):  # ended meanwhile
            return False
        return False

    def _begun(self, name: str) -> Path:
        return self.folder / f"{name}.begun"

    def _taken(self, name: str) -> Answer | None:
        """An answer that lies there; it is given once."""
        path = self.folder / f"{name}.answer"
        try:
            answer: Answer = pickle.loads(path.read_bytes())
        except FileNotFoundError:
            return None
        path.unlink(missing_ok=True)
        return answer

    def reckon(self, application: Callable[..., Any]) -> None:
        """Reckon what is asked for, one after the other, until told to end."""
        _give_way()
        told: list[int] = []
        idle = [True]

        def end(number: int, _frame: Any) -> None:
            told.append(number)
            if idle[0]:
                raise SystemExit(0)

        signal.signal(signal.SIGTERM, end)
        signal.signal(signal.SIGINT, end)
        signal.signal(signal.SIGALRM, _too_long)
        while not told:
            end_of_asker, _ = self.listening.accept()
            idle[0] = False
            with Connection(end_of_asker.detach()) as asked:
                self._reckon_one(application, asked)
            self._sweep()
            idle[0] = True

    def _reckon_one(self, application: Callable[..., Any], asked: Connection) -> None:
        try:
            job: Job = asked.recv()
        except (EOFError, OSError):  # gave up before it could be looked at
            return
        begun = self._begun(job.name)
        begun.write_text(str(os.getpid()))
        try:
            signal.alarm(LONGEST_S)
            answer = answered(application, job)
        except _TookTooLong:
            connections.close_all()
            raise SystemExit(1) from None  # what was left half done ends with this process
        finally:
            signal.alarm(0)
        path = self.folder / f"{job.name}.answer"
        path.with_suffix(".part").write_bytes(pickle.dumps(answer))
        path.with_suffix(".part").replace(path)
        begun.unlink(missing_ok=True)
        with contextlib.suppress(OSError):  # whoever asked is gone, and will come again
            asked.send(True)

    def _sweep(self) -> None:
        """What nobody came for."""
        for path in self.folder.glob("*.answer"):
            with contextlib.suppress(FileNotFoundError):  # taken, or swept by another
                if time.time() - path.stat().st_mtime > KEPT_S:
                    path.unlink()

    def close(self) -> None:
        """Take no more."""
        self.listening.close()


def _give_way() -> None:
    """Take the lower priority and, where there are several cores, keep off one: a reading that
    comes in finds it free, for not every kernel takes a core away at once from who gives way.
    """
    if hasattr(os, "nice"):
        os.nice(GIVES_WAY)
    if hasattr(os, "sched_setaffinity"):
        first, *others = sorted(os.sched_getaffinity(0))
        os.sched_setaffinity(0, others or [first])


def _too_long(_number: int, _frame: Any) -> None:
    raise _TookTooLong


def answered(application: Callable[..., Any], job: Job) -> Answer:
    """What a WSGI application answers to a job (PEP 3333)."""
    started: list[Any] = []

    def start_response(status: str, headers: list[tuple[str, str]], *_more: Any) -> None:
        started[:] = [int(status[:3]), headers]

    body = application(
        {
            **job.environ,
            RECKONED_BESIDE: True,
            "wsgi.version": (1, 0),
            "wsgi.input": io.BytesIO(job.body),
            "wsgi.errors": sys.stderr,
            "wsgi.multithread": False,
            "wsgi.multiprocess": True,
            "wsgi.run_once": False,
        },
        start_response,
    )
    try:
        content = b"".join(body)  # an application may start its response as late as here
        return Answer(started[0], list(started[1]), content)
    finally:
        if hasattr(body, "close"):
            body.close()
