"""One process that starts others and keeps them: who dies is replaced, and when it is told to end,
they end before it does.

It does nothing else, so that nothing can bring it down: it holds no thread, which a fork would
leave half alive in the child, and no connection, which two processes must not share.
"""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

ENDS_WITHIN_S = 4.5  # from being told to the last process's end; five is promised
LOOKS_EVERY_S = 0.1
# who dies at its start would be started again without a pause
STARTS_EVERY_S = 1
TOLD = (signal.SIGTERM, signal.SIGINT)


@dataclass
class Kept:
    """A process that is kept: what it does until it is told to end, its number once it runs, and
    when it was started by a clock that only goes forward.
    """

    act: Callable[[], None]
    pid: int = 0
    started_at: float = field(default=float("-inf"))

    def is_gone(self) -> bool:
        """Whether it does not run (any more); one that ended is taken note of."""
        if self.pid and os.waitpid(self.pid, os.WNOHANG)[0]:
            self.pid = 0
        return not self.pid

    def tell(self, number: int) -> None:
        """Send it a signal, where it runs."""
        if not self.is_gone():
            os.kill(self.pid, number)


def keep(*rows: Sequence[Callable[[], None]]) -> None:
    """Run what each row holds in a process of its own until this one is told to end; then end the
    rows one after the other, for what a later one does, an earlier one may still need.
    """
    told: list[int] = []
    for number in TOLD:
        signal.signal(number, lambda number, _frame: told.append(number))
    alive = os.pipe()  # its end is closed with this process, however that ends
    kept = [[Kept(act) for act in row] for row in rows]
    while not told:
        for one in (one for row in kept for one in row):
            if one.is_gone() and time.monotonic() - one.started_at >= STARTS_EVERY_S:
                _start(one, alive)
        time.sleep(LOOKS_EVERY_S)
    _end(kept, time.monotonic() + ENDS_WITHIN_S)


def _start(one: Kept, alive: tuple[int, int]) -> None:
    one.started_at = time.monotonic()
    one.pid = os.fork()
    if one.pid == 0:
        _be(one.act, alive)


def _be(act: Callable[[], None], alive: tuple[int, int]) -> None:
    """What a child does, and its end: nothing of its parent's may run in it."""
    status = 1
    try:
        for number in TOLD:
            signal.signal(number, signal.SIG_DFL)
        os.close(alive[1])
        threading.Thread(target=_end_with_parent, args=(alive[0],), daemon=True).start()
        act()
        status = 0
    except SystemExit as end:
        status = int(end.code or 0)
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def _end_with_parent(alive: int) -> None:
    """A parent that was killed cannot tell its children to end."""
    os.read(alive, 1)
    os.kill(os.getpid(), signal.SIGTERM)


def _end(kept: Sequence[Sequence[Kept]], deadline: float) -> None:
    for row in kept:
        for one in row:
            one.tell(signal.SIGTERM)
        while not all([one.is_gone() for one in row]) and time.monotonic() < deadline:
            time.sleep(LOOKS_EVERY_S / 5)
    for one in (one for row in kept for one in row):
        one.tell(signal.SIGKILL)
