"""How well the diagnosis does on simulated classes (simulation.py), beside a naive rule and an
oracle that knows the true parameters.

    python -m tests.benchmark --classes 60

Prints a table and, last, the time that a reading takes as classes grow.

A persistent thing (a habit, an offset, a bias) is provable when its shift times the square root of
the readings it touches, over their scatter, is 5 or more; an offset also needs five readings, and
to be a degree away from the three that make it a fault; an offset and a habit of declination need
two readings each with and without arithmetic, a fault of the ground three people. A reading is
identifiable when the oracle, who knows every habit, offset, scatter and bias but not the slip, is
at least 95 % sure of some cause, when all that is persistent in it is provable, and when what was
done only once moved it by 2.5 sigma. A sound reading is one without a mistake of the person.
"""

import argparse
import math
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

import numpy as np

from exercises.domain.diagnosis import diagnosis, priors
from exercises.domain.diagnosis.ascent import LEAST_PEOPLE, Fit
from exercises.domain.diagnosis.biases import FAULT_DEG, NO_BIAS
from exercises.domain.diagnosis.class_arrays import arranged
from exercises.domain.diagnosis.explaining import Surroundings, explain
from exercises.domain.diagnosis.people import OFFSETS_DEG
from exercises.domain.diagnosis.priors import HABITS, SIGMAS_DEG
from exercises.domain.diagnosis.residuals import CODES, INDEX, gather
from exercises.domain.diagnosis.verdicts import Verdict, ranked
from exercises.domain.earth.angles import difference
from exercises.domain.mistakes import causes
from exercises.domain.planning.visibility import PROVABLE
from exercises.domain.tasks.kinds import kind_of
from tests.simulated_class import Setting, settings
from tests.simulation import hold

IDENTIFIABLE = 0.95
NO_MISTAKE = {"ok", "station_fault", "compass_offset"}
ONCE_SIGMAS = 2.5
LEAST_OF_A_CODE = 10


@dataclass
class Score:
    """What one way of judging got right. Pairs are (expected, found)."""

    causes: list = field(default_factory=list)
    identifiable: list = field(default_factory=list)
    chances: list = field(
        default_factory=list
    )  # (probability of the verdict, whether it was right)
    log_loss: list = field(default_factory=list)
    sound: list = field(default_factory=list)  # whether a sound reading was called a mistake
    sound_at_faults: list = field(default_factory=list)
    habits: list = field(default_factory=list)
    offsets: list = field(default_factory=list)
    offset_errors: list = field(default_factory=list)
    stations: list = field(default_factory=list)

    def take(self, truths, verdicts, certain, at_fault):
        """Add the verdicts of a class."""
        for truth, verdict, is_certain, is_at_fault in zip(
            truths, verdicts, certain, at_fault, strict=True
        ):
            self.causes.append((truth, verdict.cause))
            if is_certain:
                self.identifiable.append((truth, verdict.cause))
            self.chances.append((verdict.probability, truth == verdict.cause))
            listed = dict([(verdict.cause, verdict.probability), *verdict.alternatives])
            self.log_loss.append(-math.log(max(listed.get(truth, 0.0), 1e-3)))
            if not set(truth.split("+")) - NO_MISTAKE:
                is_accused = bool(set(verdict.cause.split("+")) - NO_MISTAKE)
                self.sound.append(is_accused)
                if is_at_fault:
                    self.sound_at_faults.append(is_accused)

    def row(self):
        """The figures of this way of judging, in the order of LABELS; nan where there is nothing to
        judge.
        """
        return (
            _share(a == b for a, b in self.causes),
            _share(a == b for a, b in self.identifiable),
            macro_f1(self.identifiable),
            _mean(self.log_loss),
            calibration_error(self.chances),
            _share(self.sound),
            _share(self.sound_at_faults),
            f1(self.habits, none="none"),
            *precision_recall(self.offsets),
            math.sqrt(_mean(error**2 for error in self.offset_errors)),
            *precision_recall(self.stations),
        )


LABELS = (
    "cause accuracy, all readings",
    "cause accuracy, identifiable",
    "macro-F1, identifiable",
    "log loss",
    "calibration error",
    "sound readings accused",
    "sound readings accused at faulty stations",
    "habit F1, provable",
    "offset precision",
    "offset recall",
    "offset RMSE, degrees",
    "station fault precision",
    "station fault recall",
)


def _mean(values):
    values = list(values)
    return sum(values) / len(values) if values else math.nan


def _share(flags):
    return _mean(float(flag) for flag in flags)


def macro_f1(pairs):
    """Mean F1 of the codes that are the truth of at least LEAST_OF_A_CODE readings."""
    truth, found, hit = (
        Counter(a for a, _ in pairs),
        Counter(b for _, b in pairs),
        Counter(a for a, b in pairs if a == b),
    )
    return _mean(
        2 * hit[code] / (number + found[code])
        for code, number in truth.items()
        if number >= LEAST_OF_A_CODE
    )


def f1(pairs, none):
    """F1 of what is not `none`, over (expected, found)."""
    hit = sum(a == b != none for a, b in pairs)
    total = sum(a != none for a, _ in pairs) + sum(b != none for _, b in pairs)
    return 2 * hit / total if total else math.nan


def precision_recall(pairs):
    """Precision and recall of (is, is said)."""
    hit = sum(a and b for a, b in pairs)
    return _share(a for a, b in pairs if b) if hit else math.nan, _share(b for a, b in pairs if a)


def calibration_error(chances, bins=10):
    """Expected calibration error: mean gap of probability and share of right verdicts, over bins,
    weighted by their readings. Source: Naeini, Cooper & Hauskrecht (2015), AAAI 29, with
    equal-width bins; from memory."""
    groups = defaultdict(list)
    for probability, is_right in chances:
        groups[min(int(probability * bins), bins - 1)].append((probability, is_right))
    return sum(abs(sum(p - right for p, right in group)) for group in groups.values()) / len(
        chances
    )


def oracle(held, arrays, residuals):
    """Verdicts of one who knows all but the slips, of which it knows the class's rates."""
    people = [held.people[str(name)] for name in arrays.people]
    joint, offset = (
        np.zeros((len(people), len(HABITS), len(SIGMAS_DEG))),
        np.zeros((len(people), len(HABITS), len(OFFSETS_DEG))),
    )
    offset[:, :, len(OFFSETS_DEG) // 2] = 1.0
    for place, person in enumerate(people):
        at = np.interp(person.scatter_deg, SIGMAS_DEG, range(len(SIGMAS_DEG)))
        joint[place, HABITS.index("ok" if person.habit == "none" else person.habit)] = np.maximum(
            0.0, 1.0 - np.abs(at - np.arange(len(SIGMAS_DEG)))
        )
    counts = np.zeros(len(CODES))
    for truth, reading in zip(held.truths, held.readings, strict=True):
        for code in set(truth.split("+")) - {held.people[reading.person].habit, *NO_MISTAKE}:
            counts[INDEX[code]] += 1
    counts[INDEX["ok"]] = len(held.truths) - counts.sum()
    fit = Fit(
        joint,
        offset,
        [NO_BIAS] * len(arrays.epochs),
        [NO_BIAS] * len(arrays.lines),
        [NO_BIAS] * len(arrays.compasses),
        np.zeros(len(arrays.compasses)),
        priors.mixed(priors.STATED.slips, 10.0, counts),
        np.ones(len(HABITS)),
        np.ones(len(SIGMAS_DEG)),
        0.0,
    )
    by_task = {answer.task: answer for answer in held.answers}
    turned = (
        np.array([held.compasses[reading.compass].is_reversed for reading in held.readings], float)
        * arrays.has_needle
    )
    fault = np.array(
        [
            is_at_fault(held, by_task[reading.task], minute)
            for reading, minute in zip(held.readings, held.minutes, strict=True)
        ],
        float,
    )
    shift = np.array([seen.shift_deg for seen in held.seen_by]) * arrays.has_needle + 180.0 * turned
    survey = arrays.line_sigma_deg[arrays.task] ** 2
    offsets = np.array([held.people[reading.person].offset_deg for reading in held.readings])
    around = Surroundings(shift, survey, fault * arrays.has_needle, offsets, turned)
    return [
        verdict
        for part in explain(arrays, residuals, fit, np.arange(len(held.readings)), around)
        for verdict in ranked(residuals, part)
    ]


def is_at_fault(held, answer, minute):
    """Whether the ground is at fault for a reading."""
    return (
        abs(held.stations[answer.station].at(minute)) > FAULT_DEG or held.lines[answer.task] != 0.0
    )


def naive(held):
    """Nearest signature within tolerance, for each reading by itself; the most frequent cause of a
    person's readings is their habit.
    """
    by_task, signatures, found = {answer.task: answer for answer in held.answers}, {}, []
    for reading in held.readings:
        answer = by_task[reading.task]
        if answer.task not in signatures:
            single = [
                p
                for p in kind_of(answer.kind).predictions(answer)
                if "ok" in (p.habit, p.slip) and p.writing == "plain"
            ]
            signatures[answer.task] = [
                (causes.combined({p.habit, p.slip} - {"ok"}), p.centre_deg) for p in single
            ]
        grade = answer.grade(reading.seen)
        seen_deg = (
            grade.reading_deg
            if answer.form.in_figures
            else grade.reading_deg + answer.norths.correction(answer.north, "true")
        )
        gap, code = min(
            (abs(difference(seen_deg, centre)), code) for code, centre in signatures[answer.task]
        )
        right = abs(grade.error_deg) <= answer.band.full_credit_deg
        found.append(
            Verdict(
                "ok" if right else code if gap <= answer.band.full_credit_deg else "unexplained",
                1.0,
            )
        )
    return found


def naive_people(held, verdicts):
    """(habit, offset) by person: the persistent cause of at least half of the readings, and the
    mean of small errors.
    """
    said, errors = defaultdict(list), defaultdict(list)
    by_task = {answer.task: answer for answer in held.answers}
    for reading, verdict in zip(held.readings, verdicts, strict=True):
        said[reading.person].append(verdict.cause)
        error = by_task[reading.task].grade(reading.seen).error_deg
        if abs(error) < 30.0:
            errors[reading.person].append(error)
    found = {}
    for person, codes in said.items():
        code, number = Counter(codes).most_common(1)[0]
        found[person] = (
            code if code in causes.PERSISTENT and 2 * number >= len(codes) else "none",
            _mean(errors[person]) if errors[person] else 0.0,
        )
    return found


def naive_stations(held, verdicts):
    """Stations whose readings err by more than FAULT_DEG on the average, mistakes aside."""
    by_task, errors = {answer.task: answer for answer in held.answers}, defaultdict(list)
    for reading in held.readings:
        error = by_task[reading.task].grade(reading.seen).error_deg
        if abs(error) < 30.0:
            errors[by_task[reading.task].station].append(error)
    return {station: abs(_mean(own)) > FAULT_DEG for station, own in errors.items()}


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
    for reading, truth in zip(held.readings, held.truths, strict=True):
        habit, answer = held.people[reading.person].habit, by_task[reading.task]
        touched[reading.person].append(
            _moved(answer, habit, reading.instrument) if habit in truth.split("+") else 0.0
        )
    found = {}
    for name, moves in touched.items():
        person, is_reversed = (
            held.people[name],
            held.compasses[held.people[name].compass].is_reversed,
        )
        users = [other.habit for other in held.people.values() if other.compass == person.compass]
        if (is_reversed and (len(users) < 2 or person.habit != "none")) or (
            len(users) > 1 and set(users) == {"reversed"}
        ):
            continue  # it cannot be told whether it is the person or the compass
        moved = [abs(move) for move in moves if move]
        if person.habit != "reversed" and name not in tells:
            continue  # an offset may look alike
        if person.habit == "none" or (
            moved and _mean(moved) * math.sqrt(len(moved)) / spread(person) >= PROVABLE
        ):
            found[name] = person.habit
    return found


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
            for reading, minute in zip(held.readings, held.minutes, strict=True)
            if kind_of(self.by_task[reading.task].kind).reads_needle
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

    def offset(self, name):
        """Whether it can be said if a person's compass is off."""
        person = self.held.people[name]
        size = abs(person.offset_deg)
        shown = (
            name in self.tells
            and self.needles[name] >= 5
            and size * math.sqrt(self.needles[name]) / spread(person) >= PROVABLE
        )
        return abs(size - FAULT_DEG) > 1.0 and (size < FAULT_DEG or shown)

    def ground(self, where, size_deg):
        """Whether a fault of a station, or of a line, could be seen."""
        sigmas = self.sigma_at[where]
        return (
            len(self.people_at[where]) >= LEAST_PEOPLE
            and len(sigmas) >= 4
            and abs(size_deg) * math.sqrt(len(sigmas)) / _mean(sigmas) >= PROVABLE
        )

    def reading(self, reading, truth, minute):
        """Whether all in a reading's truth but the slips that are far off could be known."""
        held, answer, person = (
            self.held,
            self.by_task[reading.task],
            self.held.people[reading.person],
        )
        if kind_of(answer.kind).reads_needle:
            mixes = person.habit not in ("none", "reversed") or abs(person.offset_deg) > FAULT_DEG
            if not self.offset(reading.person) or (mixes and reading.person not in self.tells):
                return False
            bias_deg, line_deg = held.stations[answer.station].at(minute), held.lines[answer.task]
            if (abs(bias_deg) > FAULT_DEG and not self.ground(answer.station, bias_deg)) or (
                line_deg and not self.ground(("line", answer.task), line_deg)
            ):
                return False
        for code in set(truth.split("+")) & set(causes.PERSISTENT):
            own = code == person.habit
            if (own and self.habits.get(reading.person) != code) or (
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
    """Add one class to the scores of the model, the naive rule and the oracle."""
    residuals = gather(held.answers, held.readings)
    arrays = arranged(held.answers, held.readings, residuals)
    by_task = {answer.task: answer for answer in held.answers}
    knows = oracle(held, arrays, residuals)
    provable = Provable(held)
    certain = [
        verdict.probability >= IDENTIFIABLE
        and provable.reading(reading, truth, minute)
        and provable.slip(reading, truth, seen)
        for verdict, reading, truth, minute, seen in zip(
            knows, held.readings, held.truths, held.minutes, held.seen_by, strict=True
        )
    ]
    at_fault = [
        is_at_fault(held, by_task[reading.task], minute)
        for reading, minute in zip(held.readings, held.minutes, strict=True)
    ]
    found, simple = diagnosis.diagnose(held.answers, held.readings), naive(held)
    for name, verdicts in (("model", found.verdicts), ("naive", simple), ("oracle", knows)):
        scores[name].take(held.truths, verdicts, certain, at_fault)
    simple_people, simple_stations = naive_people(held, simple), naive_stations(held, simple)
    for name, habit in provable.habits.items():
        scores["model"].habits.append((habit, found.people[name].habit))
        scores["naive"].habits.append((habit, simple_people[name][0]))
    for name in provable.needles:
        if name in provable.tells and provable.needles[name] >= 5:
            true_deg, said = held.people[name].offset_deg, found.people[name]
            for way, offset_deg, is_off in (
                ("model", said.offset_deg, said.offset_probability > 0.5),
                ("naive", simple_people[name][1], abs(simple_people[name][1]) > FAULT_DEG),
            ):
                scores[way].offset_errors.append(offset_deg - true_deg)
                if provable.offset(name):
                    scores[way].offsets.append((abs(true_deg) > FAULT_DEG, is_off))
    for station, bias in held.stations.items():
        is_bad = abs(bias.bias_deg) > FAULT_DEG
        lines = [
            held.lines[answer.task]
            for answer in held.answers
            if answer.station == station and kind_of(answer.kind).reads_needle
        ]
        if all(lines):
            continue  # one line alone: its fault cannot be told from the station's
        if len(provable.people_at[station]) >= LEAST_PEOPLE and (
            not is_bad or provable.ground(station, bias.bias_deg)
        ):
            scores["model"].stations.append(
                (is_bad, found.stations[station].fault_probability > 0.5)
            )
            scores["naive"].stations.append((is_bad, simple_stations.get(station, False)))
    return found


def growth(sizes=((25, 20), (200, 20), (2000, 20))):
    """(readings, seconds) of classes of growing size, diagnosed once each."""
    for people, tasks in sizes:
        held = hold(Setting(people=people, tasks=tasks), np.random.default_rng(people))
        begin = time.perf_counter()
        diagnosis.diagnose(held.answers, held.readings)
        yield len(held.readings), time.perf_counter() - begin


def main():
    """Parse the arguments, run, print."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--classes", type=int, default=60)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument(
        "--paper-share",
        type=float,
        default=0.0,
        help="of tasks that are turned round or measured on the map",
    )
    arguments.add_argument("--no-growth", action="store_true")
    given = arguments.parse_args()
    scores = {"model": Score(), "naive": Score(), "oracle": Score()}
    for number, setting in enumerate(
        replace(setting, paper_share=given.paper_share)
        for setting in settings(np.random.default_rng(given.seed), given.classes)
    ):
        judge(hold(setting, np.random.default_rng((given.seed, number))), scores)
    rows = {name: score.row() for name, score in scores.items()}
    print(
        f"{given.classes} classes, {len(scores['model'].causes)} readings, "
        f"{len(scores['model'].identifiable)} of them identifiable\n"
    )
    print(f"{'':44}" + "".join(f"{name:>10}" for name in rows))
    for label, *figures in zip(LABELS, *rows.values(), strict=True):
        print(
            f"{label:44}"
            + "".join(f"{'' if math.isnan(figure) else f'{figure:.3f}':>10}" for figure in figures)
        )
    if not given.no_growth:
        print()
        for readings, seconds in growth():
            print(
                f"{readings:6} readings: {seconds:6.2f} s, {1000 * seconds / readings:.2f} ms each"
            )


if __name__ == "__main__":
    main()
