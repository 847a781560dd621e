"""The processes of the server: who is told to end finishes first, who dies is replaced."""

import contextlib
import http.client
import os
import signal
import socket
import sqlite3
import threading
import time
import uuid
from contextlib import closing

import pytest

from .served import HOST, Phone

ENDS_WITHIN_S = 5
SEVERAL = 12


def readings(served):
    """Who stored what, by the id made on the phone."""
    with closing(sqlite3.connect(served.folder / "navclass.sqlite3", timeout=10)) as database:
        return [
            uuid.UUID(row[0])
            for row in database.execute("SELECT client_id FROM exercises_reading ORDER BY id")
        ]


@pytest.fixture
def phone_in(serve):
    """A server, and a phone in its class."""
    served = serve()
    phone = Phone(served)
    phone.join(served.code)
    return served, phone


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_told_to_end_every_process_is_gone_within_five_seconds(serve, number):
    served = serve("--https", "--https-port", "0")
    children = served.children(5)

    assert served.end(number) < ENDS_WITHIN_S
    assert served.process.returncode == 0
    assert [pid for pid in children if os.path.exists(f"/proc/{pid}")] == []


def test_a_request_that_is_half_sent_is_still_taken_in_and_answered(serve):
    served = serve()
    with socket.create_connection(("127.0.0.1", served.port)) as half:
        half.sendall(f"GET / HTTP/1.1\r\nHost: {HOST}\r\nX-Forwarded-Proto: https\r\n".encode())
        time.sleep(0.3)  # until the server has taken that in, of which it gives no sign
        served.process.send_signal(signal.SIGTERM)
        time.sleep(0.3)  # and the signal
        half.sendall(b"\r\n")
        answer = http.client.HTTPResponse(half)
        answer.begin()

    assert answer.status == 200
    assert served.process.wait(ENDS_WITHIN_S) == 0


def test_readings_that_were_answered_are_stored_and_none_is_doubled(phone_in):
    """Phones send while the server ends, and again to the one that follows it."""
    served, phone = phone_in
    ids, answered = [str(uuid.uuid4()) for _ in range(SEVERAL)], []

    def send(client_id):
        # refused where there is no server any more: the phone keeps it
        with contextlib.suppress(OSError):
            if phone.read(served.code, client_id=client_id).status == 200:
                answered.append(client_id)

    senders = [threading.Thread(target=send, args=(one,)) for one in ids]
    for sender in senders[: SEVERAL // 2]:
        sender.start()
    ended = threading.Thread(target=served.end)
    ended.start()
    for sender in senders[SEVERAL // 2 :]:
        sender.start()
    for thread in [*senders, ended]:
        thread.join()

    stored = [str(one) for one in readings(served)]
    assert sorted(set(stored)) == sorted(stored)
    assert set(answered) <= set(stored)
    assert served.process.returncode == 0


def test_a_worker_that_dies_is_replaced_and_requests_go_on(phone_in):
    served, phone = phone_in
    before = served.children(4)

    os.kill(before[0], signal.SIGKILL)
    told = [phone.read(served.code).status for _ in range(SEVERAL)]
    while before[0] in (after := served.children(4)):
        time.sleep(0.05)  # the supervisor looks ten times a second

    assert told == [200] * SEVERAL
    assert len(readings(served)) == SEVERAL
    assert before[1] in after


def test_no_process_outlives_a_supervisor_that_is_killed(serve):
    served = serve()
    children = served.children(4)

    served.process.kill()
    served.process.wait()
    while any(os.path.exists(f"/proc/{pid}") for pid in children):
        time.sleep(0.05)  # ends of itself, or the test by the patience of who runs it

    with pytest.raises(OSError):
        Phone(served).get("/health/alive/")
