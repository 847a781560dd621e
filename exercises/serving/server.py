"""The production server of a field laptop, and of a machine behind a proxy: two processes of two
threads that answer, kept by one that does nothing else (`supervisor.py`), where the system can
fork; one of four threads on Windows.
"""

import os
import shutil
import socket
import tempfile
import threading
import time
from functools import partial

from . import encryption, leftovers, reckoning, supervisor
from .answering import Door, answer
from .turns import WAITING, Beside

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


def run(
    application,
    listening,
    encrypted=None,
    proxy=None,
    daily=None,
    workers=PROCESSES,
    reckoners=reckoning.PROCESSES,
):
    """Serve until told to end; over https too, where `encrypted` holds its listening socket and the
    paths of certificate and key. What the proxy of an address says of who asks is heard where there
    is one. `daily` is done once a day beside it, in one of the `workers`. What takes long is
    reckoned by `reckoners`, or where it is asked without any.
    """
    doors, passing_on = [Door(listening, "http", proxy)], []
    if encrypted:
        inner = listen("127.0.0.1", 0)
        doors.append(Door(inner, "https"))
        passing_on.append(partial(encryption.pass_on, *encrypted, inner.getsockname()))
    if not hasattr(os, "fork"):
        for act in passing_on:
            threading.Thread(target=act, daemon=True).start()
        _with_daily(partial(answer, application, doors, THREADS * PROCESSES), daily)
        return
    leftovers.look_seldom()
    folder = tempfile.mkdtemp(prefix="navclass-")  # readable by this account alone
    try:
        pool = reckoning.Pool(folder)
        first, *others = [partial(_work, application, doors, pool if reckoners else None)] * workers
        supervisor.keep(
            [partial(_with_daily, first, daily), *others],
            [*[partial(pool.reckon, application)] * reckoners, *passing_on],
        )
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _work(application, doors, pool):
    """What one of the workers does."""
    if pool is None:
        answer(application, doors, THREADS)
    else:
        answer(Beside(pool, THREADS).application(application), doors, THREADS + WAITING)


def _with_daily(act, daily):
    if daily:
        threading.Thread(target=every_day, args=(daily,), daemon=True).start()
    act()


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
