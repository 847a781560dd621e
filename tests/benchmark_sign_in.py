"""How much wrong passwords hold up readings: `python -m tests.benchmark_sign_in`.

A server as in the field; one phone sends readings one by one, alone and beside twenty that send
wrong passwords one after the other, in turn. What is told is the ratio of the times, for wall times
differ between machines and minutes; they are measured here and never asserted in tests.

`--apart` lets each of the twenty guess another account from another address, which no door slows:
what is left is the hashing alone.
"""

import argparse
import http.client
import json
import multiprocessing
import re
import statistics
import tempfile
import threading
import time
import uuid
from pathlib import Path
from urllib.parse import urlencode

from .browser.field import Field

STRANGERS, PAUSE_S = 20, 0.05


class Phone:
    """Somebody's phone in the open class."""

    def __init__(self, field):
        self.field = field
        self.connection = http.client.HTTPConnection("127.0.0.1", field.port, timeout=60)
        self.cookies = {}
        page = self.ask("GET", f"/c/{field.code}/join/")
        hidden = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)[1]
        name = f"P{uuid.uuid4().hex[:8]}"
        filled = {"names": name, "graduation": "2", "is_set": "no", "csrfmiddlewaretoken": hidden}
        self.ask("POST", f"/c/{field.code}/join/", urlencode(filled))
        self.person = json.loads(self.ask("GET", f"/c/{field.code}/state/"))["people"][0]["id"]

    def ask(self, method, path, body=None, kind="application/x-www-form-urlencoded"):
        """What the server answers."""
        headers = {
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "Content-Type": kind,
            "X-CSRFToken": self.cookies.get("csrftoken", ""),
        }
        self.connection.request(method, path, body, headers)
        answer = self.connection.getresponse()
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = line.partition(";")[0].partition("=")
            self.cookies[name] = value.strip('"')
        return answer.read().decode()

    def reading(self):
        """Send one, and the milliseconds until it was stored."""
        sent = {
            "id": str(uuid.uuid4()),
            "person": self.person,
            "task": "1",
            "text": "044",
            "measured_at": "2026-10-03T09:40:00Z",
        }
        start = time.perf_counter()
        said = self.ask(
            "POST",
            f"/c/{self.field.code}/readings/",
            json.dumps({"readings": [sent]}),
            "application/json",
        )
        took = (time.perf_counter() - start) * 1000
        assert json.loads(said)["readings"][0]["status"] == "stored", said
        return took


def guess(port, number, stop, counted, apart):
    """A stranger who sends wrong passwords, one after the other."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    connection.request("GET", "/sign-in/")
    answer = connection.getresponse()
    hidden = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', answer.read().decode())[1]
    cookie = answer.headers["Set-Cookie"].partition(";")[0]
    tries = 0
    while not stop.is_set():
        tries += 1
        name = f"name{number}-{tries}" if apart else "demo"
        body = urlencode({"username": name, "password": "no", "csrfmiddlewaretoken": hidden})
        headers = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
        if apart:
            headers["X-Forwarded-For"] = f"10.{number}.{tries // 250}.{tries % 250 + 1}"
        connection.request("POST", "/sign-in/", body, headers)
        answer = connection.getresponse()
        answer.read()
        counted[answer.status] = counted.get(answer.status, 0) + 1
        time.sleep(PAUSE_S)


def guess_beside(port, stop, told, apart):
    """Twenty strangers, in a process of their own."""
    counted = {}
    strangers = [
        threading.Thread(target=guess, args=(port, number, stop, counted, apart), daemon=True)
        for number in range(STRANGERS)
    ]
    for stranger in strangers:
        stranger.start()
    for stranger in strangers:
        stranger.join(120)
    told.put(counted)


def p95(times):
    """The time that one in twenty is above."""
    return statistics.quantiles(times, n=20)[-1]


def measured(field, readings, apart):
    """Milliseconds of readings without strangers and beside them, and what these were answered."""
    phone = Phone(field)
    alone = [phone.reading() for _ in range(readings)]
    stop, told = multiprocessing.Event(), multiprocessing.Queue()
    beside = multiprocessing.Process(
        target=guess_beside, args=(field.port, stop, told, apart), daemon=True
    )
    beside.start()
    time.sleep(1)  # until all of them have begun
    disturbed = [phone.reading() for _ in range(readings)]
    stop.set()
    return alone, disturbed, told.get()


def main():
    """Measure in turn, three times."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readings", type=int, default=100)
    parser.add_argument("--apart", action="store_true")
    asked = parser.parse_args()
    ratios = []
    with tempfile.TemporaryDirectory() as folder:
        field = Field(Path(folder) / "data").start("demo")
        try:
            for _ in range(3):
                alone, beside, counted = measured(field, asked.readings, asked.apart)
                ratios.append(p95(beside) / p95(alone))
                print(
                    f"alone: median {statistics.median(alone):.0f} ms, p95 {p95(alone):.0f}; "
                    f"beside {STRANGERS}: median {statistics.median(beside):.0f}, "
                    f"p95 {p95(beside):.0f}, longest {max(beside):.0f}; ratio {ratios[-1]:.1f}; "
                    f"strangers were answered {dict(sorted(counted.items()))}"
                )
        finally:
            field.kill()
    print(f"p95 beside strangers over p95 alone: {statistics.median(ratios):.1f}")


if __name__ == "__main__":
    main()
