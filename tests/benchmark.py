"""How well the diagnosis does on simulated classes (simulation.py), beside a naive rule and an
oracle that knows the true parameters.

    python -m tests.benchmark --classes 60 --world messy

Prints a table for each world (worlds.py; `first` is the family of simulated_class.py) and, last,
the time that a reading takes as classes grow.

A persistent thing (a habit, an offset, a bias) is provable when its shift times the square root of
the readings it touches, over their scatter, is 5 or more; an offset also needs five readings, and
to be a degree away from the three that make it a fault; an offset and a habit of declination need
two readings each with and without arithmetic, a fault of the ground three people. A reading is
identifiable when the oracle, who knows every habit, offset, scatter and bias but not the slip, is
at least 95 % sure of some cause, when all that is persistent in it is provable, when what was done
only once moved it by 2.5 sigma, and when it was not copied. A sound
reading is one without a mistake of the person.
"""

import argparse
import math
import time
from collections import Counter, defaultdict
from dataclasses import replace

import numpy as np

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.ascent import LEAST_PEOPLE
from exercises.domain.diagnosis.biases import FAULT_DEG
from exercises.domain.diagnosis.class_arrays import arranged
from exercises.domain.diagnosis.residuals import gather
from exercises.domain.diagnosis.verdicts import CAUTION
from exercises.domain.earth.angles import difference
from exercises.domain.mistakes import causes
from exercises.domain.planning.visibility import PROVABLE
from exercises.domain.tasks.kinds import kind_of
from tests.persistent_scores import judge_ground, judge_passed, judge_people
from tests.scoring import LABELS, NO_MISTAKE, Score, is_at_fault, mean, naive, oracle
from tests.simulated_class import Setting, settings
from tests.simulation import hold
from tests.told import told
from tests.worlds import WORLDS

FIRST = "first"  # the family of simulated_class.settings
IDENTIFIABLE = 0.95  # before the caution with which verdicts are said
SAID_OF_IT = 1.0 / (1.0 + (1.0 / IDENTIFIABLE - 1.0) ** CAUTION)
ONCE_SIGMAS = 2.5


def tells_apart(held):
    """People whose offset can be told from a habit of declination: they read where arithmetic was
    wanted, and where none was, twice each.
    """
    by_task, wanted = {answer.task: answer for answer in held.answers}, defaultdict(Counter)
    for reading in held.readings:
        answer = by_task[reading.task]
        if kind_of(answer.kind).reads_needle:
            wanted[reading.person][
                (answer.north == "magnetic" and not reading.instrument.declination_is_set)
                or (answer.north != "magnetic" and reading.instrument.declination_is_set)
            ] += 1
    return {name for name, counts in wanted.items() if min(counts[True], counts[False]) >= 2}


def spread(person):
    """A person's scatter and rounding together, one sigma, degrees."""
    return math.hypot(person.scatter_deg, person.graduation_deg / math.sqrt(12.0))


def provable_habits(held):
    """{person: habit or none} of those whose habit is provable or who have none; others are left
    out.
    """
    by_task, touched = {answer.task: answer for answer in held.answers}, defaultdict(list)
    tells = tells_apart(held)
    used = {reading.person: set() for reading in held.readings}
    for reading, truth, is_copied in zip(held.readings, held.truths, held.copied, strict=True):
        used[reading.person].add(reading.compass)
        for habit in held.people[reading.person].habits:
            if habit in truth.split("+") and not is_copied:
                moved_deg = _moved(by_task[reading.task], habit, reading.instrument)
                touched[reading.person, habit].append(abs(moved_deg))
    found = {}
    for name, compasses in used.items():
        person = held.people[name]
        if len(compasses) == 1 and _is_persons_or_compasss(held, person):
            continue
        if person.habit != "reversed" and name not in tells:
            continue  # an offset may look alike
        moves = [[move for move in touched[name, habit] if move] for habit in person.habits]
        if all(
            moved and mean(moved) * math.sqrt(len(moved)) / spread(person) >= PROVABLE
            for moved in moves
        ):
            found[name] = person.habit
    return found


def _is_persons_or_compasss(held, person):
    """Whether it cannot be told if it is the person or the compass that reverses."""
    users = [other.habit for other in held.people.values() if other.compass == person.compass]
    is_reversed = held.compasses[person.compass].is_reversed
    return (is_reversed and (len(users) < 2 or person.habit != "none")) or (
        len(users) > 1 and set(users) == {"reversed"}
    )


def _moved(answer, code, instrument, once=False):
    """How far a persistent cause moves the answer of a task, degrees; 0 where it does not act as a
    habit, unless it was done once.
    """
    if (
        answer.kind != "convert"
        and answer.north == "magnetic"
        and not instrument.declination_is_set
        and code.startswith("declination")
        and not once
    ):
        return 0.0
    alone = {
        p.habit: p.centre_deg
        for p in kind_of(answer.kind).predictions(answer, instrument)
        if p.slip == "ok"
    }
    return difference(alone[code], alone["ok"]) if code in alone else 0.0


class Provable:
    """What could be known of a class by somebody with its readings: habits and offsets of people,
    faults of the ground.
    """

    def __init__(self, held):
        self.held, self.by_task = held, {answer.task: answer for answer in held.answers}
        self.tells = tells_apart(held)
        needles = [
            (reading.person, self.by_task[reading.task].station, reading.task, minute)
            for reading, minute, is_copied in zip(
                held.readings, held.minutes, held.copied, strict=True
            )
            if kind_of(self.by_task[reading.task].kind).reads_needle and not is_copied
        ]
        self.needles = Counter(person for person, *_ in needles)
        self.habits = provable_habits(held)
        self.people_at, self.sigma_at, self.times_at = (
            defaultdict(set),
            defaultdict(list),
            Counter(),
        )
        for person, station, task, minute in needles:
            for where in (station, ("line", task)):
                self.people_at[where].add(person)
                if self.by_task[task].kind != "follow" and (
                    where != station or abs(held.stations[station].at(minute)) > FAULT_DEG
                ):
                    self.sigma_at[where].append(spread(held.people[person]))

    def offset(self, name, offset_deg):
        """Whether it can be said if a person with a compass is off by some degrees."""
        person, size = self.held.people[name], abs(offset_deg)
        shown = (
            name in self.tells
            and self.needles[name] >= 5
            and size * math.sqrt(self.needles[name]) / spread(person) >= PROVABLE
        )
        return abs(size - FAULT_DEG) > 1.0 and (size < FAULT_DEG or shown)

    def spread_of(self, name):
        """A person's scatter and rounding together, one sigma, degrees."""
        return spread(self.held.people[name])

    def ground(self, where, size_deg):
        """Whether a fault of a station, or of a line, could be seen."""
        sigmas = self.sigma_at[where]
        return (
            len(self.people_at[where]) >= LEAST_PEOPLE
            and len(sigmas) >= 4
            and abs(size_deg) * math.sqrt(len(sigmas)) / mean(sigmas) >= PROVABLE
        )

    def reading(self, reading, truth, minute):
        """Whether all in a reading's truth but the slips that are far off could be known."""
        held, answer, person = (
            self.held,
            self.by_task[reading.task],
            self.held.people[reading.person],
        )
        if kind_of(answer.kind).reads_needle:
            offset_deg = held.offset_deg(reading)
            mixes = person.habit not in ("none", "reversed") or abs(offset_deg) > FAULT_DEG
            is_known = self.offset(reading.person, offset_deg)
            if not is_known or (mixes and reading.person not in self.tells):
                return False
            bias_deg, line_deg = held.stations[answer.station].at(minute), held.lines[answer.task]
            if (abs(bias_deg) > FAULT_DEG and not self.ground(answer.station, bias_deg)) or (
                abs(line_deg) > FAULT_DEG and not self.ground(("line", answer.task), line_deg)
            ):
                return False
        for code in set(truth.split("+")) & set(causes.PERSISTENT):
            own = code in person.habits
            if (own and code not in self.habits.get(reading.person, "").split("+")) or (
                not own
                and abs(_moved(answer, code, reading.instrument, True))
                < ONCE_SIGMAS * spread(person)
            ):
                return False
        return True

    def slip(self, reading, truth, seen):
        """Whether the slips in a reading's truth moved it by ONCE_SIGMAS from what would have been
        read without them.
        """
        answer, parts = self.by_task[reading.task], set(truth.split("+")) - NO_MISTAKE
        if answer.kind == "follow" or not parts - set(causes.PERSISTENT):
            return True
        habit = next(iter(sorted(parts & set(causes.PERSISTENT))), "ok")
        without = {
            p.habit: p
            for p in kind_of(answer.kind).predictions(answer, reading.instrument)
            if p.slip == "ok"
        }.get(habit)
        gap_deg = (
            difference(reading.seen.degrees, without.centre_deg + without.sign * seen.shift_deg)
            if without
            else 180.0
        )
        return abs(gap_deg) >= ONCE_SIGMAS * (
            spread(self.held.people[reading.person]) if answer.kind == "sight" else 0.5
        )


def judge(held, scores):
    """Add one class to the scores of the model, the naive rule and the oracle; and to those of the
    model that is told what the class's world is like, if it is among them.
    """
    residuals = gather(held.answers, held.readings)
    arrays = arranged(held.answers, held.readings, residuals)
    by_task = {answer.task: answer for answer in held.answers}
    knows = oracle(held, arrays, residuals)
    provable = Provable(held)
    certain = [
        verdict.probability >= SAID_OF_IT
        and not is_copied
        and provable.reading(reading, truth, minute)
        and provable.slip(reading, truth, seen)
        for verdict, reading, truth, minute, seen, is_copied in zip(
            knows,
            held.readings,
            held.truths,
            held.minutes,
            held.seen_by,
            held.copied,
            strict=True,
        )
    ]
    at_fault = [
        is_at_fault(held, by_task[reading.task], minute)
        for reading, minute in zip(held.readings, held.minutes, strict=True)
    ]
    found, simple = diagnosis.diagnose(held.answers, held.readings), naive(held)
    for name, verdicts in (("model", found.verdicts), ("naive", simple), ("oracle", knows)):
        scores[name].take(held.truths, verdicts, certain, at_fault)
    judge_lasting(held, provable, found, simple, scores)
    if "told" in scores:
        found = diagnosis.diagnose(held.answers, held.readings, told(held))
        scores["told"].take(held.truths, found.verdicts, certain, at_fault)
        judge_lasting(held, provable, found, simple, {"model": scores["told"], "naive": Score()})


def judge_lasting(held, provable, found, simple, scores):
    """Add what lasts of one class to the scores of a model and of the naive rule."""
    judge_people(held, provable, found, simple, scores)
    judge_ground(held, provable, found, simple, scores)
    judge_passed(held, provable, found, simple, scores)


def growth(sizes=((25, 20), (200, 20), (2000, 20))):
    """(readings, seconds) of classes of growing size, diagnosed once each."""
    for people, tasks in sizes:
        held = hold(Setting(people=people, tasks=tasks), np.random.default_rng(people))
        begin = time.perf_counter()
        diagnosis.diagnose(held.answers, held.readings)
        yield len(held.readings), time.perf_counter() - begin


def classes(world, number, seed, paper_share=0.0):
    """The classes of a world (worlds.py), or of the family that is called FIRST."""
    if world == FIRST:
        drawn = settings(np.random.default_rng(seed), number)
        for place, setting in enumerate(drawn):
            rng = np.random.default_rng((seed, place))
            yield hold(replace(setting, paper_share=paper_share), rng)
        return
    for place in range(number):
        rng = np.random.default_rng((seed, place))
        yield hold(replace(WORLDS[world](rng), paper_share=paper_share), rng)


def print_table(world, number, seed, paper_share):
    """Judge the classes of one world, and print what came of it."""
    scores = {name: Score() for name in ("model", "told", "naive", "oracle")}
    for held in classes(world, number, seed, paper_share):
        judge(held, scores)
    rows = {name: score.row() for name, score in scores.items()}
    print(
        f"{world}: {number} classes, {len(scores['model'].causes)} readings, "
        f"{len(scores['model'].identifiable)} of them identifiable\n"
    )
    print(f"{'':44}" + "".join(f"{name:>10}" for name in rows))
    for label, *figures in zip(LABELS, *rows.values(), strict=True):
        print(
            f"{label:44}"
            + "".join(f"{'' if math.isnan(figure) else f'{figure:.3f}':>10}" for figure in figures)
        )
    print()


def main():
    """Parse the arguments, run, print."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--classes", type=int, default=60, help="of each world")
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument(
        "--world",
        action="append",
        choices=[*WORLDS, FIRST],
        help=f"may be given again; without it {', '.join(WORLDS)} one after the other",
    )
    arguments.add_argument(
        "--paper-share",
        type=float,
        default=0.0,
        help="of tasks that are turned round or measured on the map",
    )
    arguments.add_argument("--no-growth", action="store_true")
    given = arguments.parse_args()
    for world in given.world or WORLDS:
        print_table(world, given.classes, given.seed, given.paper_share)
    if not given.no_growth:
        for readings, seconds in growth():
            print(
                f"{readings:6} readings: {seconds:6.2f} s, {1000 * seconds / readings:.2f} ms each"
            )


if __name__ == "__main__":
    main()
