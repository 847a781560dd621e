"""The scores of the benchmark, and the judges that it is compared with."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

import numpy as np

from exercises.domain.diagnosis.ascent import nothing_found
from exercises.domain.diagnosis.biases import FAULT_DEG
from exercises.domain.diagnosis.class_arrays import arranged
from exercises.domain.diagnosis.explaining import Surroundings, explain
from exercises.domain.diagnosis.people import Guesses
from exercises.domain.diagnosis.priors import HABITS, SIGMAS_DEG
from exercises.domain.diagnosis.residuals import gather
from exercises.domain.diagnosis.verdicts import Verdict, ranked, shares
from exercises.domain.earth.angles import difference
from exercises.domain.mistakes import causes
from exercises.domain.tasks.kinds import kind_of
from tests.told import rates_of

NO_MISTAKE = {"ok", "station_fault", "compass_offset"}
LEAST_OF_A_CODE = 10
LEAST_PROBABILITY = 1e-3  # that log loss takes a cause to have, listed or not


def codes(cause):
    """The single codes of a cause; none of "ok"."""
    return set(cause.split("+")) - {"ok"}


def is_accusation(cause):
    """Whether a cause names something that the person did."""
    return bool(codes(cause) - NO_MISTAKE)


def folded(truth, said):
    """(truth, said) without the faults of ground or compass that only one of the two names. A
    verdict that blames the person rightly is right, whatever else it says of the needle.

    >>> folded("reversed+station_fault", "reversed"), folded("station_fault", "ten_off")
    (('reversed', 'reversed'), ('ok', 'ten_off'))
    """
    truth, said = codes(truth), codes(said)
    only_one = (truth ^ said) & NO_MISTAKE
    return causes.combined(truth - only_one), causes.combined(said - only_one)


def is_right(truth, said):
    """Whether a verdict is right but for ground and compass: see `folded`."""
    expected, found = folded(truth, said)
    return expected == found


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
    folded: list = field(default_factory=list)
    folded_identifiable: list = field(default_factory=list)
    folded_chances: list = field(default_factory=list)
    folded_log_loss: list = field(default_factory=list)
    accused_chances: list = field(default_factory=list)  # of verdicts that name a mistake, folded
    missed: list = field(default_factory=list)  # whether an identifiable mistake was called ok
    bias_errors: list = field(default_factory=list)  # of stations that are faulty
    own_errors: list = field(default_factory=list)
    compass_offsets: list = field(default_factory=list)
    compass_reversals: list = field(default_factory=list)

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
            self.log_loss.append(-math.log(max(listed.get(truth, 0.0), LEAST_PROBABILITY)))
            self._take_folded(truth, verdict, listed, is_certain)
            if not is_accusation(truth):
                is_accused = is_accusation(verdict.cause)
                self.sound.append(is_accused)
                if is_at_fault:
                    self.sound_at_faults.append(is_accused)

    def _take_folded(self, truth, verdict, listed, is_certain):
        """Add one verdict, ground and compass folded away; `listed` has its probabilities."""
        pair = folded(truth, verdict.cause)
        chance = (verdict.probability, pair[0] == pair[1])
        self.folded.append(pair)
        self.folded_chances.append(chance)
        given = sum(share for cause, share in listed.items() if is_right(truth, cause))
        self.folded_log_loss.append(-math.log(min(1.0, max(given, LEAST_PROBABILITY))))
        if is_accusation(verdict.cause):
            self.accused_chances.append(chance)
        if is_certain:
            self.folded_identifiable.append(pair)
            if is_accusation(truth):
                self.missed.append(pair[1] == "ok")

    def row(self):
        """The figures of this way of judging, in the order of LABELS; nan where there is nothing to
        judge.
        """
        return (
            _share(a == b for a, b in self.causes),
            _share(a == b for a, b in self.identifiable),
            macro_f1(self.identifiable),
            mean(self.log_loss),
            calibration_error(self.chances),
            _share(self.sound),
            _share(self.sound_at_faults),
            f1(self.habits, none="none"),
            *precision_recall(self.offsets),
            root_mean_square(self.offset_errors),
            *precision_recall(self.stations),
            _share(a == b for a, b in self.folded),
            _share(a == b for a, b in self.folded_identifiable),
            macro_f1(self.folded_identifiable),
            mean(self.folded_log_loss),
            calibration_error(self.folded_chances),
            calibration_error(self.accused_chances),
            _share(self.missed),
            root_mean_square(self.bias_errors),
            float(np.median(np.abs(self.own_errors))) if self.own_errors else math.nan,
            root_mean_square(self.own_errors),
            *precision_recall(self.compass_offsets),
            *precision_recall(self.compass_reversals),
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
    "cause accuracy, folded, all readings",
    "cause accuracy, folded, identifiable",
    "macro-F1, folded, identifiable",
    "log loss, folded",
    "calibration error, folded",
    "calibration error, folded, accused",
    "identifiable mistakes called ok",
    "faulty station RMSE, degrees",
    "own offset median error, degrees",
    "own offset RMSE, degrees",
    "passed compass offset precision",
    "passed compass offset recall",
    "passed compass reversed precision",
    "passed compass reversed recall",
)


def mean(values):
    values = list(values)
    return sum(values) / len(values) if values else math.nan


def root_mean_square(errors):
    """Root mean square of errors; nan of none."""
    return math.sqrt(mean(error**2 for error in errors))


def _share(flags):
    return mean(float(flag) for flag in flags)


def macro_f1(pairs):
    """Mean F1 of the codes that are the truth of at least LEAST_OF_A_CODE readings."""
    truth, found, hit = (
        Counter(a for a, _ in pairs),
        Counter(b for _, b in pairs),
        Counter(a for a, b in pairs if a == b),
    )
    return mean(
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
    gaps = sum(abs(sum(p - right for p, right in group)) for group in groups.values())
    return gaps / len(chances) if chances else math.nan


def oracle_of(held):
    """The oracle's verdicts on a class."""
    residuals = gather(held.answers, held.readings)
    return oracle(held, arranged(held.answers, held.readings, residuals), residuals)


def oracle(held, arrays, residuals):
    """Verdicts of one who knows all but the slips, of which it knows the class's rates."""
    people = [held.people[str(name)] for name in arrays.people]
    joint = np.zeros((len(people), 1, len(SIGMAS_DEG)))
    for place, person in enumerate(people):
        at = np.interp(person.scatter_deg, SIGMAS_DEG, range(len(SIGMAS_DEG)))
        joint[place, 0] = np.maximum(0.0, 1.0 - np.abs(at - np.arange(len(SIGMAS_DEG))))
    guesses = Guesses(
        np.arange(len(people)),
        np.array([_habit_index(person) for person in people]),
        np.zeros((len(people), 1)),
        joint / joint.sum(axis=2, keepdims=True),
        np.zeros(len(people)),
    )
    fit = replace(nothing_found(arrays, rates_of(held)), guesses=guesses)
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
    offsets = np.array([held.offset_deg(reading) for reading in held.readings])
    nothing = np.zeros(len(held.readings))
    line = np.array([held.lines[reading.task] for reading in held.readings])
    elsewhere = np.zeros((2, len(residuals.row)))
    around = Surroundings(
        shift, survey, nothing, line, fault * arrays.has_needle, offsets, turned, *elsewhere
    )
    return ranked(
        [
            found
            for part in explain(arrays, residuals, fit, np.arange(len(held.readings)), around)
            for found in shares(residuals, part)
        ],
        arrays.original.tolist(),
    )


def _habit_index(person):
    """Where a person's habit stands in HABITS; of two that are not there together, the first."""
    known = [habit for habit in (person.habit, *person.habits) if habit in HABITS]
    return HABITS.index(known[0] if known else "ok")


def is_at_fault(held, answer, minute):
    """Whether the ground is at fault for a reading."""
    bent_deg = held.stations[answer.station].at(minute), held.lines[answer.task]
    return any(abs(degrees) > FAULT_DEG for degrees in bent_deg)


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
            mean(errors[person]) if errors[person] else 0.0,
        )
    return found


def naive_stations(held, verdicts):
    """Stations whose readings err by more than FAULT_DEG on the average, mistakes aside."""
    by_task, errors = {answer.task: answer for answer in held.answers}, defaultdict(list)
    for reading in held.readings:
        error = by_task[reading.task].grade(reading.seen).error_deg
        if abs(error) < 30.0:
            errors[by_task[reading.task].station].append(error)
    return {station: abs(mean(own)) > FAULT_DEG for station, own in errors.items()}


def naive_compasses(held, verdicts):
    """(is off, is reversed) by compass: small errors mean more than FAULT_DEG; at least half of the
    readings are called reversed.
    """
    errors, said = defaultdict(list), defaultdict(list)
    by_task = {answer.task: answer for answer in held.answers}
    for reading, verdict in zip(held.readings, verdicts, strict=True):
        said[reading.compass].append("reversed" in codes(verdict.cause))
        error = by_task[reading.task].grade(reading.seen).error_deg
        if abs(error) < 30.0:
            errors[reading.compass].append(error)
    return {
        number: (
            bool(errors[number]) and abs(mean(errors[number])) > FAULT_DEG,
            2 * sum(turned) >= len(turned),
        )
        for number, turned in said.items()
    }
