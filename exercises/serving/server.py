"""The production server of a field laptop: waitress, which takes in a whole request before it uses
a thread, so that a phone that stalls in mid-request holds nobody up. Two processes of two threads
where the system can fork, one of four on Windows."""

import os
import socket
import threading
import time

from . import doorkeeper, encryption
from .doorkeeper import Limits

LARGEST_REQUEST = 2_000_000  # bytes; waitress would take a gigabyte
PROCESSES, THREADS = 2, 2
A_DAY_S = 86_400


def listen(host, port):
    """A listening socket. Raises OSError when the port is taken."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listening.bind((host, port))
    listening.listen(128)
    return listening


def every_day(act, wait=time.sleep):
    """Do something each day as long as this process lives."""
    while True:
        wait(A_DAY_S)
        act()


def run(application, listening, encrypted=None, behind_proxy=False, daily=None):
    """Serve until interrupted; over https too, where `encrypted` holds its listening socket and the
    paths of certificate and key. What a proxy says of who asks is heard where there is one. `daily`
    is done once a day beside it, in one of the processes.
    """
    inner = listen("127.0.0.1", 0) if encrypted else None
    threads, is_first = THREADS, True
    if hasattr(os, "fork"):
        for _ in range(PROCESSES - 1):
            if os.fork() == 0:
                is_first = False
                break
    else:
        threads *= PROCESSES
    if encrypted:
        threading.Thread(
            target=_serve, args=(application, inner, threads, "https", False), daemon=True
        ).start()
    if daily and is_first:
        threading.Thread(target=every_day, args=(daily,), daemon=True).start()
    if encrypted and is_first:
        threading.Thread(
            target=encryption.pass_on, args=(*encrypted, inner.getsockname()), daemon=True
        ).start()
    _serve(application, listening, threads, "http", behind_proxy)


def _serve(application, listening, threads, scheme, behind_proxy):
    # from a proxy all connections come from one address, as from the encryption on some systems:
    # both count them by themselves
    is_first_hand = scheme == "http" and not behind_proxy
    doorkeeper.serve(
        application,
        listening,
        Limits() if is_first_hand else Limits(of_one_address=None),
        threads=threads,
        url_scheme=scheme,
        clear_untrusted_proxy_headers=not behind_proxy,
        max_request_body_size=LARGEST_REQUEST,
    )


def host_for_phones(host, on_the_network):
    """The host under which a phone reaches this machine: a loopback name gives way to the address
    on the network; the port stays.

    >>> host_for_phones("localhost:8000", "192.0.2.7")
    '192.0.2.7:8000'
    >>> host_for_phones("field.example", "192.0.2.7")
    'field.example'
    """
    name, colon, port = (
        host.rpartition(":") if not host.endswith("]") and ":" in host else (host, "", "")
    )
    return f"{on_the_network}{colon}{port}" if name in ("localhost", "127.0.0.1", "[::1]") else host


def public_address(is_hotspot, hosts):
    """How people reach this server, as far as its settings tell: https and its first name, or on a
    hotspot this machine's address.

    >>> public_address(False, [".field.example"])
    'https://field.example'
    """
    named = [host.removeprefix(".") for host in hosts if host != "*"]
    if is_hotspot:
        return f"http://{named[0] if named else address_on_the_network()}:8000"
    return f"https://{named[0] if named else 'localhost'}"


def address_on_the_network():
    """This machine's address on its network, or 127.0.0.1 without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("10.255.255.255", 1)
            )  # choosing a route tells the address; a datagram socket sends nothing
            return probe.getsockname()[0]
        except OSError:
            return "127.0.0.1"
