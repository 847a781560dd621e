"""What a class and its instructor wait for, against a bare idempotent POST in the same server and
database, as ratios: `python -m tests.benchmark_main_path`, with `DATABASE_URL` for an empty
database of PostgreSQL.

Both go through the same middleware; the bare one stores a row and says so (`tests/bare.py`). Rates
are of as many clients as there are connections, in turns with each other so that a busy minute
takes from both. Wall times are measured here and never asserted in tests. The clients run on the
same machine and cost both the same, which brings the ratio nearer to 1 than it is.
"""

import argparse
import http.client
import json
import os
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from contextlib import closing
from pathlib import Path

import psycopg

from .benchmark_waiting import DEBRIEFS, Counting, Pages, ask, beside
from .serving.served import ROOT, Phone, Served, environment

PHONES, KEPT, CONNECTIONS = 30, 20, 50
ALONE = 20  # clients that send one after the other
POLLS, POLLED_EVERY_S = 20, 15  # of each phone here; as `class-page.js` does
PREPARE = f"""
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.db import connection
from django.utils import timezone
from exercises.usecases.join_class import join_class
from exercises.usecases.load_demo import PASSWORD, USERNAME, load_demo
from tests.benchmark_pages import large_class
now = timezone.now()
waiting = load_demo(now=now)
with connection.cursor() as cursor:
    cursor.execute("CREATE TABLE bare (client_id varchar(36) PRIMARY KEY, body text)")
people = [
    join_class(
        course_class=waiting,
        names=[f"P{{number}}"],
        compass_number=str(number % 12),
        graduation_deg=2,
        declination_is_set=False,
        now=now,
    )[0]
    for number in range({CONNECTIONS + PHONES})
]
import json
print(json.dumps({{
    "course_class": waiting.pk,
    "code": waiting.code,
    "course": waiting.course_id,
    "people": [[one.pk, secret] for one, secret in people],
    "tasks": [
        [answer.task, getattr(answer, "expected_deg", None) and round(answer.expected_deg) % 360]
        for answer in waiting.keys.get().as_domain()
        if answer.form.in_figures
    ],
    "large": [large_class(now, f"Forty {{n}}").pk for n in range({DEBRIEFS})],
    "account": [USERNAME, PASSWORD],
}}))
"""


class Client:
    """A phone's connection, kept open."""

    def __init__(self, served, there, person):
        self.pk, secret = person
        self.there, self.tasks, self.stamp = there, 0, ""
        self.class_path = f"/c/{there['code']}"
        self.connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
        self.headers = {
            "Host": "class.example",
            "X-Forwarded-Proto": "https",
            "Referer": "https://class.example/",
            "X-CSRFToken": "a" * 32,
            "Content-Type": "application/json",
            "Cookie": f"navclass_{there['course_class']}={self.pk}:{secret}; csrftoken={'a' * 32}",
        }

    def ask(self, method, path, body=None):
        """Send it; what came."""
        self.connection.request(method, path, body and json.dumps(body), self.headers)
        answer = self.connection.getresponse()
        told = answer.read()
        if answer.status not in (200, 204):
            raise RuntimeError(f"{path} answered {answer.status}: {told[:200]}")
        return told

    def readings(self, number=1):
        """So many readings as a phone sends them, each of the next task and off in turn."""
        made = []
        for _ in range(number):
            task, degrees = self.there["tasks"][self.tasks % len(self.there["tasks"])]
            off = (0, 180, 4, 20)[(self.tasks + self.pk) % 4]
            self.tasks += 1
            made.append(
                {
                    "id": str(uuid.uuid4()),
                    "person": self.pk,
                    "task": task,
                    "text": f"{(degrees + off) % 360:03d}",
                    "unit": "deg",
                }
            )
        return {"readings": made}

    def bare(self):
        """A row, stored once."""
        self.ask("POST", "/bare/", self.readings())

    def send(self, number=1):
        """Readings, kept; what the server says of them."""
        sent = self.ask("POST", f"{self.class_path}/readings/", self.readings(number))
        return json.loads(sent)["readings"]

    def send_and_hear(self):
        """A reading, kept, and what it was worth."""
        (outcome,) = self.send()
        self.ask("GET", f"{self.class_path}/shown/?task={outcome['tells']}")

    def poll(self):
        """Whether anything is new, as a page that is open asks."""
        told = self.ask("GET", f"{self.class_path}/state/?have={self.stamp}")
        self.stamp = json.loads(told)["stamp"] if told else self.stamp


def timed(acts, each):
    """How long each of so many goes of some acts at once took, seconds, and how many came in a
    second.
    """
    found, lock = [], threading.Lock()

    def go_on(act):
        own = []
        for _ in range(each):
            began = time.perf_counter()
            act()
            own.append(time.perf_counter() - began)
        with lock:
            found.extend(own)

    took = at_once([lambda act=act: go_on(act) for act in acts])
    return found, len(found) / took


def at_once(acts):
    """How long it takes until all have done what they do at once, seconds."""
    began = time.perf_counter()
    threads = [threading.Thread(target=act) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - began


def p95(found):
    """The 95th percentile."""
    return statistics.quantiles(found, n=20)[-1]


def compared(rounds, each):
    """Rates and 95th percentiles of bare posts, readings, and readings with what they were worth,
    in turns, with other clients each round: nobody gives hundreds of answers in a class.
    """
    names = ("bare", "send", "send_and_hear")
    rates, times = ({name: [] for name in names} for _ in range(2))
    for clients in rounds:
        for name in names:
            took, rate = timed([getattr(client, name) for client in clients], each)
            rates[name].append(rate)
            times[name] += took
    return {name: (statistics.median(rates[name]), p95(times[name])) for name in names}


class Database:
    """The database of the server, from outside."""

    def __init__(self, folder, url):
        self.folder, self.url = folder, url

    def execute(self, sql):
        """Run a statement."""
        file = self.folder / "navclass.sqlite3"
        connect = psycopg.connect if self.url else lambda _: sqlite3.connect(file, timeout=30)
        with closing(connect(self.url)) as connection, connection:
            connection.execute(sql)


def processor_s(served):
    """What the server's processes have used of processors so far, seconds."""
    ticks = 0
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            told = path.read_text().rpartition(")")[2].split()
        except OSError:  # ended meanwhile
            continue
        if int(told[2]) == served.process.pid:  # of its group
            ticks += int(told[11]) + int(told[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def polling_share(served, clients):
    """What share of a core some phones take that ask as often as a page does."""
    for client in clients:
        client.poll()
    before = processor_s(served)
    for _ in range(POLLS):
        for client in clients:
            client.poll()
    return (processor_s(served) - before) / POLLS / POLLED_EVERY_S


def prepared(folder, more):
    """A database with the demonstration, people and large classes; what there is in it."""
    told = subprocess.run(
        [sys.executable, "-c", PREPARE],
        cwd=ROOT,
        env=environment(folder, **more),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    ).stdout
    return json.loads(told.splitlines()[-1])


def signed_in(served, name, password):
    """The cookies of the instructor's browser."""
    browser = Phone(served)
    answer = browser.post("/sign-in/", {"username": name, "password": password})
    assert answer.status == 302
    return browser.cookies


def print_rates(found):
    """A table of the main path, one row for each number of connections."""
    print("| connections | bare, 1/s | kept | and told | p95 kept | and told |")
    print("| --- | --- | --- | --- | --- | --- |")
    for connections, of in found.items():
        (rate, late), *others = of.values()
        print(
            f"| {connections} | {rate:.0f} | "
            + " | ".join(f"{other / rate:.2f}" for other, _ in others)
            + " | "
            + " | ".join(f"{other / late:.1f}" for _, other in others)
            + " |"
        )


def print_class(served, clients, there):
    """What a class of 30 phones does at once."""
    kept_s = at_once([lambda one=one: one.send(KEPT) for one in clients])
    joining = [Phone(served) for _ in range(PHONES)]
    join_s = at_once(
        [
            lambda phone=phone, number=number: phone.join(there["code"], f"Newcomer {number}")
            for number, phone in enumerate(joining)
        ]
    )
    print(f"\n{PHONES} phones send {KEPT} kept readings each: {kept_s:.1f} s")
    print(f"{PHONES} phones join: {join_s:.1f} s")
    share = polling_share(served, clients)
    print(f"{PHONES} phones ask every {POLLED_EVERY_S} s: {share:.1%} of a core")


def print_large(browser, large):
    """Pages of a class of 100 people from stored results."""
    for name, path in (
        ("debrief", f"/classes/{large}/debrief/"),
        ("for you alone", f"/classes/{large}/debrief/alone/"),
        ("one person's sheet", f"/classes/{large}/people/"),
    ):
        there = browser.get(path).headers.get("Location", path)
        took = statistics.median(ask(browser, there) for _ in range(5))
        print(f"{name}, 100 people: {took:.2f} s")


def print_waiting(client, begin, wanted, what):
    """How readings fare beside something."""
    alone, with_it, done = beside(client.send, begin, wanted.rounds, wanted.waiting)
    print(
        f"beside {what}: median {statistics.median(with_it) / statistics.median(alone):.2f}, "
        f"p95 {p95(with_it) / p95(alone):.2f} ({1000 * p95(alone):.1f} to "
        f"{1000 * p95(with_it):.1f} ms){f', {done} pages' if done else ''}"
    )


def main():
    """Measure, and print tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--each", type=int, default=10)
    parser.add_argument("--waiting", type=int, default=150, help="readings beside pages, a round")
    wanted = parser.parse_args()
    folder = Path(tempfile.mkdtemp()) / "data"
    url = os.environ.get("DATABASE_URL")
    more = {"NAVCLASS_DEMONSTRATION": "yes", **({"DATABASE_URL": url} if url else {})}
    there = prepared(folder, more)
    folder.mkdir(exist_ok=True)  # the database may lie elsewhere
    served = Served(folder, there["code"], DJANGO_SETTINGS_MODULE="tests.bare_settings", **more)
    try:
        print("PostgreSQL" if url else "SQLite", flush=True)
        clients = [Client(served, there, person) for person in there["people"]]
        sending, others = clients[:CONNECTIONS], clients[CONNECTIONS:]
        compared([sending[-4:]], 5)  # what is reckoned once
        print_rates(
            {
                1: compared([[one] for one in sending[:ALONE]], wanted.each),
                CONNECTIONS: compared([sending] * wanted.rounds, wanted.each),
            }
        )
        print_class(served, others, there)
        browser = Phone(served)
        browser.cookies = signed_in(served, *there["account"])
        print_large(browser, there["large"][0])
        database = Database(folder, url)

        def pages():
            return Pages(served, browser.cookies, there["large"], there["course"], database)

        print_waiting(sending[0], pages, wanted, "debriefs and proposals")
        print_waiting(sending[0], Counting, wanted, "two processes that count")
    finally:
        served.kill()


if __name__ == "__main__":
    main()
