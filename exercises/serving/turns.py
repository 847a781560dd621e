"""Few threads compute at a time, however many wait for something else.

More than two that compute only wait for the interpreter's lock; a thread that waits for the pool of
`reckoning.py` holds no lock, and must keep no reading from being answered.
"""

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from .reckoning import Pool

BESIDE = "navclass.beside"  # in the environment of a request: where it may be reckoned beside
WAITING = 6  # threads of a process that may wait for the pool


class Beside:
    """The pool as a request sees it: waiting for it leaves one's turn to others."""

    def __init__(self, pool: Pool, computing: int) -> None:
        self.pool = pool
        self._turns = threading.Semaphore(computing)
        self._places = threading.Semaphore(WAITING)

    @contextmanager
    def waiting(self) -> Iterator[bool]:
        """Step aside while waiting; False where too many wait already, and then nobody steps."""
        if not self._places.acquire(blocking=False):
            yield False
            return
        self._turns.release()
        try:
            yield True
        finally:
            self._turns.acquire()
            self._places.release()

    def application(self, inner: Callable[..., Any]) -> Callable[..., Any]:
        """A WSGI application in which a request waits for its turn."""

        def in_turn(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
            with self._turns:
                answer: Iterable[bytes] = inner({**environ, BESIDE: self}, start_response)
                return answer

        return in_turn
