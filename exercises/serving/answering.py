"""A process that answers requests: waitress, which takes in a whole request before it uses a
thread, so that a phone that stalls in mid-request holds nobody up. Told to end, it takes no more
connections, answers what it was asked, and ends.
"""

import select
import signal
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from waitress import wasyncore

from . import doorkeeper
from .doorkeeper import Limits

LARGEST_REQUEST = 2_000_000  # bytes; waitress would take a gigabyte
GRACE_S = 3.5  # a phone that stalls in mid-request is waited for no longer
LOOKS_EVERY_S = 0.05
POLLS = hasattr(select, "poll")  # select() itself ends at file 1,023
HEADERS_OF_PROXY = {"x-forwarded-for", "x-forwarded-proto"}


@dataclass(frozen=True)
class Door:
    """A listening socket, how what comes in there was encrypted ("http", or "https" by who passes
    it on), and the address of the proxy whose word on who asks is believed, None without one. What
    anybody else says of that is taken out of the request.
    """

    listening: Any
    scheme: str = "http"
    proxy: str | None = None


def answer(application: Callable[..., Any], doors: Sequence[Door], threads: int) -> None:
    """Answer at some doors until told to end (SIGTERM, or Ctrl+C)."""
    doorkeeper.raise_open_files()
    told: list[int] = []
    connections: dict[int, Any] = {}
    servers = [_server(application, door, threads, connections) for door in doors]

    def end(number: int, _frame: Any) -> None:
        told.append(number)
        servers[0].pull_trigger()  # the loop waits for connections, not for signals

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, end)
    while not told:
        wasyncore.loop(timeout=1, use_poll=POLLS, map=connections, count=1)
    _finish(servers, connections)


def _server(application: Any, door: Door, threads: int, connections: dict[int, Any]) -> Any:
    believed = (
        {"trusted_proxy": door.proxy, "trusted_proxy_headers": HEADERS_OF_PROXY}
        if door.proxy
        else {}
    )
    # from a proxy all connections come from one address, as from the encryption on some systems:
    # both count them by themselves
    is_first_hand = door.scheme == "http" and not door.proxy
    return doorkeeper.Server(
        application,
        door.listening,
        Limits() if is_first_hand else Limits(of_one_address=None),
        connections,
        threads=threads,
        url_scheme=door.scheme,
        clear_untrusted_proxy_headers=True,
        max_request_body_size=LARGEST_REQUEST,
        **believed,
    )


def _finish(servers: Sequence[Any], connections: dict[int, Any]) -> None:
    """Take no more connections, and go on until whoever asked has their answer."""
    for server in servers:
        server.accepting = False
    deadline = time.monotonic() + GRACE_S
    while _owes_answers(servers) and time.monotonic() < deadline:
        wasyncore.loop(timeout=LOOKS_EVERY_S, use_poll=POLLS, map=connections, count=1)


def _owes_answers(servers: Sequence[Any]) -> bool:
    """Whether a request is being taken in, answered or sent."""
    return any(
        channel.request is not None or channel.requests or channel.total_outbufs_len
        for server in servers
        for channel in list(server.active_channels.values())
    )
