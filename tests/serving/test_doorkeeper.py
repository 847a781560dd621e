"""Connections that are held to shut others out, over real sockets on the loopback addresses, each
of which is a client's (Linux has them all; elsewhere there is but one, and these tests skip).
"""

import socket
import threading
import time

import pytest

from exercises.serving import server as serving
from exercises.serving.doorkeeper import Limits, Server

ANSWERED_S = 2.0  # for somebody else, while connections are held
MANY = 300
REQUEST = b"GET / HTTP/1.1\r\nHost: field\r\n\r\n"


def _has_other_loopbacks():
    try:
        with socket.socket() as one:
            one.bind(("127.0.0.9", 0))
    except OSError:
        return False
    return True


pytestmark = pytest.mark.skipif(not _has_other_loopbacks(), reason="one loopback address alone")


def hello(environ, start_response):
    start_response("200 OK", [("Content-Length", "5")])
    return [b"hello"]


@pytest.fixture
def served():
    """A function that serves with limits, and returns the server."""
    servers = []

    def serve(limits, application=hello):
        listening = serving.listen("127.0.0.1", 0)
        server = Server(application, listening, limits, threads=2)
        thread = threading.Thread(target=_run, args=(server,), daemon=True)
        thread.start()
        servers.append((server, thread))
        return server

    yield serve
    for server, thread in servers:
        server.is_over = True
        server.pull_trigger()
        thread.join(10)
        for channel in list(server.active_channels.values()):
            channel.handle_close()
        server.task_dispatcher.shutdown()
        server.close()


def _run(server):
    while not getattr(server, "is_over", False):
        server.asyncore.loop(timeout=0.1, map=server._map, count=1, use_poll=True)


@pytest.fixture
def connect():
    """A function that connects from an address; all are closed in the end."""
    held = []

    def one(server, address):
        connection = socket.create_connection(
            ("127.0.0.1", int(server.effective_port)), timeout=10, source_address=(address, 0)
        )
        held.append(connection)
        return connection

    yield one
    for connection in held:
        connection.close()


def asked(connection):
    """The first line of an answer; nothing where the connection was closed."""
    try:
        connection.sendall(REQUEST)
        return connection.recv(200).partition(b"\r\n")[0]
    except ConnectionError:
        return b""


def until(condition):
    """Wait until something is so, for ten seconds at most."""
    end = time.monotonic() + 10
    while not condition() and time.monotonic() < end:
        time.sleep(0.01)
    assert condition()


@pytest.mark.parametrize("address", ["127.0.0.2", "127.0.0.1"])
def test_three_hundred_idle_connections_of_one_address_keep_nobody_waiting(
    served, connect, address
):
    server = served(Limits())
    for _ in range(MANY):
        connect(server, "127.0.0.1")

    begun = time.monotonic()
    answer = asked(connect(server, address))

    assert answer == b"HTTP/1.1 200 OK"
    assert time.monotonic() - begun < ANSWERED_S
    until(lambda: len(server.active_channels) <= 201)


def test_a_whole_class_behind_one_address_is_answered(served, connect):
    server = served(Limits())
    phones = [connect(server, "127.0.0.3") for _ in range(30 * 6)]

    assert [asked(phone) for phone in phones] == [b"HTTP/1.1 200 OK"] * 180


def test_where_all_places_are_held_the_address_with_most_gives_way(served, connect):
    server = served(Limits(of_one_address=20, in_all=30))
    greedy = [connect(server, "127.0.0.4") for _ in range(20)]
    phones = [connect(server, f"127.0.1.{number}") for number in range(1, 15)]

    assert [asked(phone) for phone in phones] == [b"HTTP/1.1 200 OK"] * 14
    until(lambda: len(server.active_channels) <= 30)
    left = [one.addr[0] for one in server.active_channels.values()]
    assert left.count("127.0.0.4") == 16
    assert asked(greedy[0]) == b""  # that was idle longest


def test_what_is_being_answered_stays_though_there_are_too_many(served, connect):
    may_answer = threading.Event()

    def slow(environ, start_response):
        may_answer.wait(10)
        return hello(environ, start_response)

    server = served(Limits(of_one_address=3), slow)
    at_work = connect(server, "127.0.0.5")
    at_work.sendall(REQUEST)
    until(lambda: any(one.requests for one in server.active_channels.values()))
    for _ in range(10):
        connect(server, "127.0.0.5")
    until(lambda: len(server.active_channels) == 3)
    may_answer.set()

    assert at_work.recv(200).startswith(b"HTTP/1.1 200 OK")


@pytest.mark.parametrize(
    "begun", [b"GET / HTTP/1.1\r\nX: ", b"POST / HTTP/1.1\r\nContent-Length: 9"]
)
def test_a_request_that_is_sent_for_two_minutes_is_given_up_though_bytes_still_come(
    served, connect, begun
):
    server = served(Limits())
    sender = connect(server, "127.0.0.6")
    sender.sendall(begun)
    until(lambda: any(one.request for one in server.active_channels.values()))
    (channel,) = server.active_channels.values()
    channel.last_activity = time.time() + 121  # a byte has just come

    server.maintenance(time.time() + 119)
    assert not channel.will_close
    server.maintenance(time.time() + 121)
    assert channel.will_close


def test_an_idle_connection_is_closed_after_half_a_minute(served, connect):
    server = served(Limits())
    connect(server, "127.0.0.7")
    until(lambda: server.active_channels)
    (channel,) = server.active_channels.values()

    server.maintenance(time.time() + 29)
    assert not channel.will_close
    server.maintenance(time.time() + 31)
    assert channel.will_close
