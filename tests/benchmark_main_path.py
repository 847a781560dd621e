"""The main path against a bare idempotent POST in the same server and database, as ratios:
`python -m tests.benchmark_main_path`, with `DATABASE_URL` for PostgreSQL.

Both go through the same middleware; the bare one stores a row and says so (`tests/bare.py`). Rates
are of as many clients as there are connections, in turns with each other so that a busy minute
takes from both. Wall times are measured here and never asserted in tests. The clients run on the
same machine and cost both the same, which brings the ratio nearer to 1 than it is.
"""

import argparse
import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from pathlib import Path

from .serving.served import ROOT, Phone, Served, environment

PHONES, KEPT, CONNECTIONS = 30, 20, 50
PREPARE = f"""
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.db import connection
from django.utils import timezone
from exercises.usecases.join_class import join_class
from exercises.usecases.load_demo import load_demo
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
tasks = [
    [answer.task, getattr(answer, "expected_deg", None) and round(answer.expected_deg) % 360]
    for answer in waiting.keys.get().as_domain()
    if answer.form.in_figures
]
print(json.dumps([waiting.pk, waiting.code, [[one.pk, secret] for one, secret in people], tasks]))
"""


class Client:
    """A phone's connection, kept open."""

    def __init__(self, served, course_class, code, person):
        self.pk, secret = person
        self.code, self.tasks = code, 0
        self.connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
        self.headers = {
            "Host": "class.example",
            "X-Forwarded-Proto": "https",
            "Referer": "https://class.example/",
            "X-CSRFToken": "a" * 32,
            "Content-Type": "application/json",
            "Cookie": f"navclass_{course_class}={self.pk}:{secret}; csrftoken={'a' * 32}",
        }

    def post(self, path, body):
        """Send it; what came."""
        self.connection.request("POST", path, json.dumps(body), self.headers)
        answer = self.connection.getresponse()
        told = answer.read()
        if answer.status != 200:
            raise RuntimeError(f"{path} answered {answer.status}: {told[:200]}")
        return told

    def readings(self, tasks, number=1):
        """So many readings as a phone sends them, each of the next task and off in turn."""
        made = []
        for _ in range(number):
            task, degrees = tasks[self.tasks % len(tasks)]
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


def timed(clients, tasks, path, each):
    """How long each of so many posts of some clients at once took, seconds, and how many came in a
    second.
    """
    found, lock = [], threading.Lock()

    def go_on(client):
        own = []
        for _ in range(each):
            body = client.readings(tasks)
            began = time.perf_counter()
            client.post(path, body)
            own.append(time.perf_counter() - began)
        with lock:
            found.extend(own)

    began = time.perf_counter()
    threads = [threading.Thread(target=go_on, args=[client]) for client in clients]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found, len(found) / (time.perf_counter() - began)


def p95(found):
    """The 95th percentile."""
    return statistics.quantiles(found, n=20)[-1]


def compared(clients, tasks, rounds, each):
    """Rates and 95th percentiles of readings and of bare posts, in turns."""
    rates, times = {"bare": [], "readings": []}, {"bare": [], "readings": []}
    for _ in range(rounds):
        for name, path in (("bare", "/bare/"), ("readings", f"/c/{clients[0].code}/readings/")):
            took, rate = timed(clients, tasks, path, each)
            rates[name].append(rate)
            times[name] += took
    rate = {name: statistics.median(found) for name, found in rates.items()}
    late = {name: p95(found) for name, found in times.items()}
    return rate, late


def at_once(acts):
    """How long it takes until all have done what they do at once, seconds."""
    began = time.perf_counter()
    threads = [threading.Thread(target=act) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - began


def prepared(folder, more):
    """A database with the demonstration and people; what there is in it."""
    told = subprocess.run(
        [sys.executable, "-c", PREPARE],
        cwd=ROOT,
        env=environment(folder, **more),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    ).stdout
    return json.loads(told.splitlines()[-1])


def main():
    """Measure, and print a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--each", type=int, default=20)
    wanted = parser.parse_args()
    folder = Path(tempfile.mkdtemp()) / "data"
    url = os.environ.get("DATABASE_URL")
    more = {"NAVCLASS_DEMONSTRATION": "yes", **({"DATABASE_URL": url} if url else {})}
    course_class, code, people, tasks = prepared(folder, more)
    served = Served(folder, code, DJANGO_SETTINGS_MODULE="tests.bare_settings", **more)
    try:
        clients = [Client(served, course_class, code, person) for person in people]
        sending, kept = clients[:CONNECTIONS], clients[CONNECTIONS:]
        compared(sending[:4], tasks, 1, 5)  # what is reckoned once
        one = compared(sending[:1], tasks, wanted.rounds, 4 * wanted.each)
        many = compared(sending, tasks, wanted.rounds, wanted.each)
        path = f"/c/{code}/readings/"
        batch_s = at_once(
            [lambda one=one: one.post(path, one.readings(tasks, KEPT)) for one in kept]
        )
        joining = [Phone(served) for _ in range(PHONES)]
        join_s = at_once(
            [
                lambda phone=phone, number=number: phone.join(code, f"Newcomer {number}")
                for number, phone in enumerate(joining)
            ]
        )
    finally:
        served.kill()
    print(
        f"| {'PostgreSQL' if url else 'SQLite'} | bare, 1/s | readings, 1/s | ratio | p95 ratio |"
    )
    print("| --- | --- | --- | --- | --- |")
    for name, (rate, late) in (("1 connection", one), (f"{CONNECTIONS} connections", many)):
        print(
            f"| {name} | {rate['bare']:.0f} | {rate['readings']:.0f} | "
            f"{rate['readings'] / rate['bare']:.2f} | {late['readings'] / late['bare']:.2f} |"
        )
    print(f"\n{PHONES} phones send {KEPT} kept readings each: {batch_s:.1f} s")
    print(f"{PHONES} phones join: {join_s:.1f} s")


if __name__ == "__main__":
    main()
