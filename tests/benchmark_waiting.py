"""How much what takes long holds up readings: five debriefs of classes of 100 people and two
proposals, asked for again and again, in turn with nothing; a part of
`python -m tests.benchmark_main_path`.

Beside them stands what this machine does to readings while two processes of the same priority,
which may take every core, do nothing but count: priority alone reaches no less than that on it.
"""

import os
import subprocess
import sys
import threading
import time

from .serving.served import Phone

DEBRIEFS, PROPOSERS = 5, 2
PAUSE_S = 0.02  # between two readings, as of a class that sends
GIVES_WAY = 10  # as `exercises/serving/reckoning.py`
COUNT = f"import os\nos.nice({GIVES_WAY})\nwhile True:\n    sum(range(1000))"
FORGET = "DELETE FROM exercises_results WHERE course_class_id = {}"


def ask(browser, path):
    """Ask for a page until it has come; how long that took, seconds."""
    began = time.perf_counter()
    while (answer := browser.get(path)).status == 503 or b"http-equiv" in answer.body:
        time.sleep(0.2)
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}.")
    return time.perf_counter() - began


class Pages:
    """What instructors ask for beside, until it is ended. A class is counted anew at each look."""

    def __init__(self, served, cookies, classes, course, database):
        self.served, self.cookies, self.database = served, cookies, database
        self.is_over, self.done = False, []
        asked = [(f"/classes/{pk}/debrief/", pk) for pk in classes]
        proposal = f"/courses/{course}/propose/?number=12&kind=sight&north=mixed&preset=usual"
        asked += [(proposal, None)] * PROPOSERS
        self.threads = [threading.Thread(target=self._go_on, args=one) for one in asked]
        for thread in self.threads:
            thread.start()
        time.sleep(3)  # until everybody is in

    def _go_on(self, path, course_class):
        browser = Phone(self.served)
        browser.cookies = dict(self.cookies)
        while not self.is_over:
            if course_class:
                self.database.execute(FORGET.format(course_class))
            ask(browser, path)
            self.done.append(path)

    def end(self):
        """Let what was begun come to its end; how much was done."""
        self.is_over = True
        for thread in self.threads:
            thread.join()
        return len(self.done)


class Counting:
    """Two processes that count, of the priority of those that reckon."""

    def __init__(self):
        self.processes = [
            subprocess.Popen([sys.executable, "-c", COUNT], env=dict(os.environ)) for _ in range(2)
        ]
        time.sleep(1)

    def end(self):
        """Stop them."""
        for process in self.processes:
            process.kill()
            process.wait()
        return 0


def times_s(send, number):
    """How long some readings took to be answered, one after the other."""
    found = []
    for _ in range(number):
        began = time.perf_counter()
        send()
        found.append(time.perf_counter() - began)
        time.sleep(PAUSE_S)
    return found


def beside(send, begin, rounds, number):
    """How long readings took alone and beside what `begin()` begins, in turns, and how much of that
    was done.
    """
    alone, beside_it, done = [], [], 0
    for _ in range(rounds):
        alone += times_s(send, number)
        work = begin()
        beside_it += times_s(send, number)
        done += work.end()
    return alone, beside_it, done
