"""What one connection is answered, over real sockets."""

import http.client
import threading

import pytest

from exercises.serving import answering, server
from exercises.serving.application import heads_alone


def says_hello(environ, start_response):
    start_response("200 OK", [("Content-Type", "text/plain"), ("Content-Length", "5")])
    return [b"hello"]


@pytest.fixture
def connection():
    listening = server.listen("127.0.0.1", 0)
    serving = answering._server(heads_alone(says_hello), answering.Door(listening), 1, {})
    threading.Thread(target=serving.run, daemon=True).start()
    asked = http.client.HTTPConnection(*listening.getsockname(), timeout=10)
    yield asked
    asked.close()


def test_what_is_asked_after_a_head_gets_its_own_answer(connection):
    told = []
    for method in ("HEAD", "GET", "HEAD", "GET"):
        connection.request(method, "/")
        answer = connection.getresponse()
        told.append((answer.status, answer.headers["Content-Length"], answer.read()))

    assert told == [(200, "5", b""), (200, "5", b"hello")] * 2
