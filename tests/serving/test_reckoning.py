"""What takes long is reckoned in processes beside: with the real pool, and processes that are
stopped, killed and too slow.
"""

import json
import os
import signal
import time

import pytest
from django.urls import get_resolver

from exercises.serving import reckoning
from exercises.serving.reckoning import Full, Job, NotReckoned, Pool
from exercises.views.slow_pages import BUTTONS, PAGES, PARTS

from .served import Phone

PASSWORD = "ridge line 240 paces"


def echo(environ, start_response):
    """Answers with what it was asked; an address may ask it to wait, or to die."""
    if environ["PATH_INFO"] == "/dies":
        os.kill(os.getpid(), signal.SIGKILL)
    if environ["PATH_INFO"] == "/waits":
        time.sleep(60)
    start_response("201 Created", [("X-Process", str(os.getpid())), ("Set-Cookie", "a=b")])
    told = {key: text for key, text in environ.items() if isinstance(text, str)}
    yield json.dumps(told | {"body": environ["wsgi.input"].read().decode()}).encode()


@pytest.fixture
def pool(tmp_path_factory):
    made = Pool(tmp_path_factory.mktemp("q"))
    made.pids = []

    def start():
        made.pids.append(os.fork())
        if made.pids[-1] == 0:
            try:
                made.reckon(echo)
            finally:
                os._exit(0)

    made.start = start
    yield made
    for pid in made.pids:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
    made.close()


def job(name="one", path="/page", body=b""):
    return Job.of(
        name,
        {
            "REQUEST_METHOD": "GET",
            "PATH_INFO": path,
            "HTTP_COOKIE": "sessionid=abc",
            "wsgi.url_scheme": "https",
            "wsgi.input": object(),
        },
        body,
    )


def test_a_request_goes_in_as_plain_values_and_its_answer_comes_out(pool):
    pool.start()

    answer = pool.ask(job(body=b"a=1"), 20)

    assert (answer.status, answer.headers) == (
        201,
        [("X-Process", str(pool.pids[0])), ("Set-Cookie", "a=b")],
    )
    assert json.loads(answer.body) == {
        "REQUEST_METHOD": "GET",
        "PATH_INFO": "/page",
        "HTTP_COOKIE": "sessionid=abc",
        "CONTENT_LENGTH": "3",
        "wsgi.url_scheme": "https",
        "body": "a=1",
    }
    assert list(pool.folder.glob("one*")) == []


def test_what_is_not_ready_in_time_is_there_when_asked_again_and_reckoned_once(pool):
    before = pool.ask(job(), 0)
    pool.start()

    assert (before, pool.ask(job(), 20).status) == (None, 201)
    assert list(pool.folder.glob("one*")) == []


def test_a_full_queue_is_told_at_once(pool):
    with pytest.raises(Full):
        for number in range(2 * reckoning.QUEUE):
            pool.ask(job(str(number)), 0)


def test_a_process_that_dies_is_told_to_who_waits(pool):
    pool.start()

    with pytest.raises(NotReckoned):
        pool.ask(job(path="/dies"), 20)


def test_a_process_that_died_meanwhile_is_told_to_who_comes_again(pool):
    pool.start()
    pool.ask(job(path="/waits"), 0)
    while not (pool.folder / "one.begun").read_text():
        time.sleep(0.05)  # until it was taken, of which there is no other sign
    os.kill(pool.pids[0], signal.SIGKILL)
    os.waitpid(pool.pids[0], 0)
    pool.pids.clear()

    with pytest.raises(NotReckoned):
        pool.ask(job(path="/waits"), 20)
    assert list(pool.folder.glob("one*")) == []


def test_what_takes_too_long_is_broken_off_and_told(pool, monkeypatch):
    monkeypatch.setattr(reckoning, "LONGEST_S", 1)
    pool.start()

    with pytest.raises(NotReckoned):
        pool.ask(job(path="/waits"), 20)


def test_an_answer_that_nobody_came_for_is_swept(pool, monkeypatch):
    monkeypatch.setattr(reckoning, "KEPT_S", -1)
    pool.start()
    pool.ask(job("left"), 0)

    pool.ask(job("next"), 20)

    assert list(pool.folder.glob("left*")) == []


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="cores are chosen on Linux alone")
def test_who_reckons_gives_way_and_keeps_off_one_core(pool):
    own = os.sched_getaffinity(0)
    pool.start()
    pool.ask(job(), 20)

    (pid,) = pool.pids
    gives_way = os.getpriority(os.PRIO_PROCESS, pid) - os.getpriority(os.PRIO_PROCESS, 0)
    assert gives_way == reckoning.GIVES_WAY
    assert os.sched_getaffinity(pid) == (own - {min(own)} or own)


@pytest.fixture
def desk(serve):
    """A server whose pool is stopped, Ines signed in, and Mia's phone."""
    served = serve()
    ines, mia = Phone(served), Phone(served)
    ines.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    mia.join(served.code)
    served.reckoners = served.children(4)[2:]
    for pid in served.reckoners:
        os.kill(pid, signal.SIGSTOP)
    return served, ines, mia


def test_a_page_that_is_not_ready_says_so_and_comes_by_itself(desk):
    served, ines, mia = desk

    first = ines.get("/classes/1/debrief/")
    read = mia.read(served.code)
    for pid in served.reckoners:
        os.kill(pid, signal.SIGCONT)
    then = first
    while then.status == 503:
        then = ines.get("/classes/1/debrief/")

    assert (first.status, first.headers["Refresh"]) == (503, "2")
    assert b"This page is being reckoned. It comes by itself" in first.body
    assert (read.status, then.status, b"Debrief" in then.body) == (200, 200, True)
    assert then.cookies["navclass_reckoned"] == '""'


def test_readings_are_answered_while_more_pages_are_asked_for_than_there_are_threads(desk):
    served, ines, mia = desk
    pages = [ines.get("/classes/1/debrief/").status for _ in range(5)]

    assert (pages, mia.read(served.code).status) == ([503] * 5, 200)


def test_a_stranger_fills_no_queue(desk):
    _served, _ines, mia = desk

    assert [mia.get("/classes/1/debrief/").status, mia.get("/season/").status] == [302, 302]


def test_every_page_that_takes_long_is_one_that_there_is():
    named = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    assert (PAGES | PARTS | BUTTONS) - named == set()
