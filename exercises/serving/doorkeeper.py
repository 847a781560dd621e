"""Who may hold a connection, and for how long: waitress with a bound for each address, which it has
not itself. The only importer of waitress's insides.

Full, it would take no more connections at all, so that a hundred idle ones of a single phone shut
the server for everybody. Here the one that has been idle longest gives way to the new one: within
its own address where that holds too many, else within the address that holds the most.
"""

import contextlib
import select
import time
from collections import Counter
from dataclasses import dataclass

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

try:
    import resource
except ImportError:  # Windows, where no process is held to a number of files
    resource = None

FILES_BESIDE = 100  # that a process holds open besides its connections: database, log, templates


@dataclass(frozen=True)
class Limits:
    """How many connections, and for how many seconds. `of_one_address` is None behind a proxy, from
    which all come.
    """

    of_one_address: int | None = 200  # a class behind one: 30 phones of 6, a browser's most
    in_all: int = 800  # of a process, which may open 1,024 files as a rule
    idle_s: float = 30.0  # without a request
    sending_s: float = 120.0  # for a whole request: its 2 MB at 140 kbit/s


class Channel(HTTPChannel):
    """A connection that knows since when a request has been on its way."""

    sending_since = 0.0  # time.time()

    def received(self, data):
        """Take in what has come, as waitress does."""
        if self.request is None:
            self.sending_since = time.time()
        return super().received(data)


class Server(TcpWSGIServer):
    """waitress's server, with limits."""

    channel_class = Channel

    def __init__(self, application, listening, limits, connections=None, **adjustments):
        adjusted = Adjustments(
            sockets=[listening],
            connection_limit=limits.in_all + FILES_BESIDE,  # never reached: room is made before
            channel_timeout=limits.idle_s,
            cleanup_interval=limits.idle_s / 6,
            asyncore_use_poll=hasattr(select, "poll"),  # select() itself ends at file 1,023
            **adjustments,
        )
        dispatcher = ThreadedTaskDispatcher()
        dispatcher.set_thread_count(adjusted.threads)
        self.limits = limits
        super().__init__(
            application,
            map=connections,
            _sock=listening,
            dispatcher=dispatcher,
            adj=adjusted,
            sockinfo=(listening.family, listening.type, listening.proto, listening.getsockname()),
            bind_socket=False,
        )

    def handle_accept(self):
        """Take a connection, and make room for it."""
        super().handle_accept()
        self._make_room()

    def maintenance(self, now):
        """Close what has been idle for long, and what has been sending a request for too long."""
        super().maintenance(now)
        for channel in self.active_channels.values():
            is_sending = channel.request is not None and not channel.requests
            if is_sending and channel.sending_since < now - self.limits.sending_s:
                channel.will_close = True

    def _make_room(self):
        """Let one connection go where there are too many."""
        staying = [one for one in self.active_channels.values() if not one.will_close]
        if not staying:
            return
        counts = Counter(one.addr[0] for one in staying)
        newest = max(staying, key=lambda one: one.creation_time)
        address = newest.addr[0]
        if len(staying) > self.limits.in_all:
            address = max(counts, key=counts.get)
        elif not self.limits.of_one_address or counts[address] <= self.limits.of_one_address:
            return
        # what is being answered stays, and so does the new one where there is another
        going = [one for one in staying if one.addr[0] == address and not one.requests]
        others = [one for one in going if one is not newest] or going
        if others:
            min(others, key=lambda one: one.last_activity).will_close = True


def raise_open_files(most=Limits().in_all + FILES_BESIDE):
    """Let this process open so many files, where the system leaves that to it."""
    if resource is None:
        return
    with contextlib.suppress(ValueError, OSError):
        least, highest = resource.getrlimit(resource.RLIMIT_NOFILE)
        is_endless = highest == resource.RLIM_INFINITY
        wanted = most if is_endless else min(most, highest)
        if least != resource.RLIM_INFINITY and least < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, highest))
