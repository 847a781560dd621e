"""How long grading from files takes as a course grows: `python -m tests.benchmark_batch`.

An invented site of 30 stations and 30 targets (`--points-grow`: as many points as tasks), mixed
kinds of task in one class, 20 people; each task is read by `--times` of them. Prints seconds of
processor time for the key and for the whole, and how many times as many they are as at the size
before: where time grows with tasks and readings, as many as the tasks. Times are measured here and
never asserted; tests/exchange/test_batch_growth.py counts.
"""

import argparse
import contextlib
import io
import math
import random
import tempfile
import time
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from exercises.domain.diagnosis import residuals
from exercises.domain.earth import geodesy
from exercises.domain.tasks import carried_bearing, key
from exercises.domain.tasks.answer import NoAnswer
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.kinds.base import Sighted
from exercises.domain.tasks.site import Site
from exercises.domain.tasks.spots import lettered
from exercises.exchange import batch, tables

ON = date(2026, 10, 3)
SIZES = "54,108,216,432,742"
STATIONS, TARGETS, PEOPLE = 30, 30, 20
MIDDLE = geodesy.Position(-45.13, 170.1, 400.0)
# what a course is made of: of twenty tasks so many of each kind
KINDS = (
    *["sight"] * 8,
    *["follow"] * 3,
    *["map", "face"] * 2,
    *["back", "convert", "fix", "intersect", "walk"],
)
NORTHS = ("magnetic", "true", "grid")


@dataclass(frozen=True)
class Files:
    """The three tables of a class, as text."""

    points: str
    course: str
    readings: str

    def write(self, folder):
        """The paths of the three, written to a folder."""
        for name, text in vars(self).items():
            Path(folder, f"{name}.csv").write_text(text, encoding="utf-8")
        return [Path(folder, f"{name}.csv") for name in ("points", "course", "readings")]


def files(tasks, *, times=2, seed=1, kinds=KINDS, stations=STATIONS, targets=TARGETS):
    """The tables of an invented class with so many tasks, each read by `times` people."""
    rng = random.Random(seed)
    points = _points(rng, stations, targets)
    site = Site(tables.read_points("points.csv", io.StringIO(points)))
    extra = ("given_deg", "given_north", "more", "legs")
    lines, answers, line = [",".join((*tables.COURSE_COLUMNS, *extra))], [], ("", "")
    for number in range(tasks):
        kind = kind_of(kinds[number % len(kinds)])
        if kind.code != "face":  # which is the field half of the map task before it
            line = (
                f"S{number % stations + 1}",
                f"T{(number * 7 + number // stations) % targets + 1}",
            )
        row, answer = _task(rng, site, number + 1, kind, line)
        lines.append(row)
        answers.append(answer)
    answers = lettered(carried_bearing.linked(answers), site.points)
    return Files(points, "\n".join(lines) + "\n", _readings(rng, answers, times))


def _points(rng, stations, targets):
    """Marks within 300 m of the middle, and targets from 150 to 900 m away from it."""
    lines = [",".join(tables.POINT_COLUMNS)]
    for number in range(stations + targets):
        is_station = number < stations
        code = f"S{number + 1}" if is_station else f"T{number + 1 - stations}"
        far_m = rng.uniform(20, 300) if is_station else rng.uniform(150, 900)
        turn = rng.uniform(0, 2 * math.pi)
        place = geodesy.moved(MIDDLE, far_m * math.sin(turn), far_m * math.cos(turn))
        at = f"{place.latitude_deg:.7f},{place.longitude_deg:.7f}"
        lines.append(f"{code},{code},{at},400,1,{'peg' if is_station else ''}")
    return "\n".join(lines) + "\n"


def _task(rng, site, number, kind, line):
    """(its row, its answer) of a task along a line; further points and legs are drawn until it has
    an answer.
    """
    station, target = line
    north = kind.norths[number % len(kind.norths)]
    others = [code for code in site.points if code[0] == "T" and code != target]
    marks = [code for code in site.points if code[0] == "S" and code != station]
    head = [",".join(tables.COURSE_COLUMNS), "given_deg", "given_north", "more", "legs"]
    while True:
        cells = {
            "convert": [str(rng.randrange(360)), rng.choice(sorted({*NORTHS} - {north})), "", ""],
            "fix": ["", "", " ".join(rng.sample(others, 2)), ""],
            "intersect": ["", "", " ".join(rng.sample(marks, 2)), ""],
            "walk": ["", "", "", f"{rng.randrange(360):03d} 60; {rng.randrange(360):03d} 45"],
        }.get(kind.code, ["", "", "", ""])
        row = ",".join([str(number), kind.code, station, target, north, "5", "10", *cells])
        text = io.StringIO(f"{','.join(head)}\n{row}\n")
        ((task, _),) = tables.read_course("course.csv", text, site.points)
        with contextlib.suppress(NoAnswer):
            return row, kind.answer(task, site, ON, Sighted([line]))


def _readings(rng, answers, times):
    """Each task read by some people, right within a few degrees or not: one in ten is turned
    round, and one target or spot in ten another one.
    """
    lines = ["person,task,answer,compass"]
    for number, answer in enumerate(answers):
        for turn in range(times):
            person = (number * times + turn) % PEOPLE
            lines.append(f"Person {person},{answer.task},{_text(rng, answer)},{person // 2}")
    return "\n".join(lines) + "\n"


def _text(rng, answer):
    """What somebody wrote."""
    slips = rng.random() < 0.1
    if answer.form.in_figures:
        read_deg = round(answer.expected_deg + rng.gauss(0, 2) + 180 * slips) % 360
        return f"{read_deg:03d}"
    right = getattr(answer.form, "right", answer.target)  # of a place its spot
    return rng.choice(answer.form.choices(answer)) if slips else right


def forget():
    """Forget what was kept from one class to the next, so that each size begins with nothing."""
    geodesy.sight_line.cache_clear()
    residuals._kept.clear()


def measured(tasks, told):
    """(readings, processor seconds for the key, for the whole) of a class."""
    points = {"stations": tasks // 2, "targets": tasks // 2} if told.points_grow else {}
    made = files(tasks, times=told.times, seed=told.seed, **points)
    with tempfile.TemporaryDirectory() as folder:
        points, course, readings = made.write(folder)
        forget()
        begun_s = time.process_time()
        site = Site(tables.read_points("points.csv", io.StringIO(made.points)))
        rows = tables.read_course("course.csv", io.StringIO(made.course), site.points)
        key.compute([task for task, _ in rows], site, ON)
        key_s = time.process_time() - begun_s
        forget()
        begun_s = time.process_time()
        results = batch.grade_tables(points, course, readings, on=ON)
        return len(results["graded.csv"][1]), key_s, time.process_time() - begun_s


def main():
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sizes", default=SIZES, help="numbers of tasks, with commas")
    parser.add_argument("--times", type=int, default=2, help="readings of each task")
    parser.add_argument("--points-grow", action="store_true", help="as many points as tasks")
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    measured(10, told)  # what is loaded once is loaded now
    print("| tasks | readings | key, s | all, s | tasks, times | all, times |")
    print("| --- | --- | --- | --- | --- | --- |")
    before = None
    for tasks in map(int, told.sizes.split(",")):
        readings, key_s, all_s = measured(tasks, told)
        ratios = f"{tasks / before[0]:.2f} | {all_s / before[1]:.2f}" if before else " | "
        print(f"| {tasks} | {readings} | {key_s:.2f} | {all_s:.2f} | {ratios} |", flush=True)
        before = tasks, all_s


if __name__ == "__main__":
    main()
