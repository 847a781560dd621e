"""How much what takes long holds up readings: `python -m tests.benchmark_waiting`.

A server as behind a proxy, on SQLite; a phone sends readings one by one, alone and while five
debriefs of classes of 100 people and two proposals are asked for again and again, in turn. What is
told is the ratio of the times, for wall times differ between machines and minutes; they are
measured here and never asserted in tests. `--reckoners 0` reckons where it is asked, for
comparison.
"""

import argparse
import json
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing
from pathlib import Path

from .serving.served import ROOT, Phone, Served, environment

DEBRIEFS, PROPOSERS, PROMISED = 5, 2, 1.5
PAUSE_S = 0.02  # between two readings, as of a class that sends
PREPARE = f"""
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.utils import timezone
from exercises.usecases.load_demo import PASSWORD, USERNAME, load_demo
from tests.benchmark_pages import large_class
waiting = load_demo(now=timezone.now())
made = [large_class(timezone.now(), f"Forty {{n}}").pk for n in range({DEBRIEFS})]
import json
print(json.dumps([made, waiting.course_id, waiting.code, [USERNAME, PASSWORD]]))
"""
DEMONSTRATION = {"NAVCLASS_DEMONSTRATION": "yes"}


def forget_count(folder, course_class):
    """Let a class be counted anew at the next look."""
    with closing(sqlite3.connect(folder / "navclass.sqlite3", timeout=30)) as database, database:
        database.execute("DELETE FROM exercises_results WHERE course_class_id = ?", [course_class])


def ask(browser, path):
    """Ask for a page until it has come."""
    while (status := browser.get(path).status) == 503:
        time.sleep(1)
    if status != 200:
        raise RuntimeError(f"{path} answered {status}.")


class Work:
    """What instructors ask for beside, until it is ended."""

    def __init__(self, served, cookies, classes, course):
        self.served, self.cookies, self.is_over, self.done = served, cookies, False, []
        asked = [(f"/classes/{pk}/debrief/", pk) for pk in classes]
        proposal = f"/courses/{course}/propose/?number=12&kind=sight&north=mixed&preset=usual"
        asked += [(proposal, None)] * PROPOSERS
        self.threads = [threading.Thread(target=self._go_on, args=one) for one in asked]
        for thread in self.threads:
            thread.start()

    def _go_on(self, path, course_class):
        browser = Phone(self.served)
        browser.cookies = dict(self.cookies)
        while not self.is_over:
            if course_class:
                forget_count(self.served.folder, course_class)
            ask(browser, path)
            self.done.append(path)

    def end(self):
        """Let what was begun come to its end; how much was done."""
        self.is_over = True
        for thread in self.threads:
            thread.join()
        return len(self.done)


def signed_in(served, name, password):
    """The cookies of the instructor's browser."""
    browser = Phone(served)
    answer = browser.post("/sign-in/", {"username": name, "password": password})
    assert answer.status == 302
    return browser.cookies


def times_ms(phone, code, number):
    """How long some readings took to be answered."""
    found = []
    for _ in range(number):
        began = time.perf_counter()
        assert phone.read(code).status == 200
        found.append((time.perf_counter() - began) * 1000)
        time.sleep(PAUSE_S)
    return found


def p95(found):
    """The 95th percentile."""
    return statistics.quantiles(found, n=20)[-1]


def main():
    """Measure, and tell the ratio."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--reckoners", default="2")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--readings", type=int, default=150)
    wanted = parser.parse_args()
    folder = Path(tempfile.mkdtemp()) / "data"
    told = subprocess.run(
        [sys.executable, "-c", PREPARE],
        cwd=ROOT,
        env=environment(folder, **DEMONSTRATION),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    ).stdout
    classes, course, code, account = json.loads(told.splitlines()[-1])
    served = Served(folder, code, "--reckoners", wanted.reckoners, **DEMONSTRATION)
    try:
        phone = Phone(served)
        phone.join(code, "Benchmark")
        cookies = signed_in(served, *account)
        times_ms(phone, code, 20)  # what is reckoned once
        alone, beside, done = [], [], 0
        for _ in range(wanted.rounds):
            alone += times_ms(phone, code, wanted.readings)
            work = Work(served, cookies, classes, course)
            time.sleep(3)  # until everybody is in
            beside += times_ms(phone, code, wanted.readings)
            done += work.end()
    finally:
        served.kill()
    print(
        f"| readings, ms | median | p95 |\n| --- | --- | --- |\n| alone | "
        f"{statistics.median(alone):.1f} | {p95(alone):.1f} |\n| beside | "
        f"{statistics.median(beside):.1f} | {p95(beside):.1f} |"
    )
    print(
        f"ratio of p95: {p95(beside) / p95(alone):.2f} (promised: at most {PROMISED}); pages that "
        f"came: {done}"
    )


if __name__ == "__main__":
    main()
