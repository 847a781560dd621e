"""What a course with some number of people will be able to show, before anybody has read anything:
which habits, which stations, with what chance; and which task more would add most.

A small simulation of single people (`drawn_people.py`) stands for the class: a habit is one
person's affair, and of a station only how much one person's readings say of it is drawn, for that
adds up over people. tests/domain/test_power.py holds both against the diagnosis of whole classes.
Left out: people who copy, two habits at once, ground that changes, rates that a class teaches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..diagnosis import priors
from ..diagnosis.arrays import Floats, Indices, Singles
from ..diagnosis.biases import (
    FAULT_DEG,
    LINE_SHARE,
    STATION_NARROW_DEG,
    STATION_SHARE,
    STATION_WIDE_DEG,
    log_sum,
)
from ..mistakes.causes import PERSISTENT
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from .course_check import UNPROVABLE
from .drawn_people import Effect, People, by_effect, counted, draw, effect, log_prior, log_table

KNOWN = 0.7  # from here a habit is said of a person at the debrief (README.md of diagnosis)
FOUND = 0.5  # from here the debrief says that a station is at fault
ASKED_DEG = 5.0  # the bias whose chance is told for each station
SURE = 0.8  # the chance with which the smallest bias told is found
LARGEST_DEG = 40.0  # beyond this the diagnosis seeks no bias (`biases.BIASES_DEG`)
DRAWN = 160  # people: a chance is good to 0.04 (one sigma) at worst; no source, for speed
ALIKE = 0.005  # gains of chance nearer than this are alike: less than one of the people drawn


@dataclass(frozen=True)
class HabitPower:
    """A habit that acts on a course: the chance that one person who has it would be known to have
    it, and how probable it would be thought of them on the average.
    """

    habit: str
    chance: float
    belief: float


@dataclass(frozen=True)
class StationPower:
    """A station at which a needle is read: the smallest bias in degrees that is found with the
    chance SURE, None of none up to LARGEST_DEG, and the chance with which one of ASKED_DEG is.
    """

    station: str
    least_deg: float | None
    chance: float


@dataclass(frozen=True)
class Further:
    """The task more that would add most: its answer, the habit whose chance was the least and what
    it was and would be; where no habit gains, the station whose smallest bias sinks.
    """

    answer: Answer
    habit: str
    was: float
    would_be: float
    station: str = ""


@dataclass(frozen=True)
class Power:
    """What a course can show with so many people. `habits` in the order of PERSISTENT, `stations`
    in that of the course.
    """

    people: int
    habits: tuple[HabitPower, ...]
    stations: tuple[StationPower, ...]
    further: Further | None


def power(
    answers: Sequence[Answer],
    people: int,
    *,
    rng: np.random.Generator,
    candidates: Sequence[Answer] = (),
) -> Power:
    """What a course shows with some people, 1 or more; `candidates` are answers of tasks that it
    might ask as well, the best first. Answers that are places say too little, and are left out.

    The same generator state gives the same people, however many come: more never make it worse.
    """
    effects = [effect(answer) for answer in answers if _can_be_seen(answer)]
    drawn = draw(DRAWN, len(effects) + 1, rng)  # the last task is that of a candidate
    ground = _Ground(effects, drawn, people)
    stations = tuple(ground.power(station) for station in ground.stations)
    if not effects:
        return Power(people, (), (), None)
    likelihood = _Habits([ground.blurred(each) for each in effects], drawn)
    possible = [answer for answer in candidates if _can_be_seen(answer)]
    further = _further(possible, likelihood, ground)
    return Power(people, likelihood.powers(), stations, further)


def _can_be_seen(answer: Answer) -> bool:
    """Whether an answer is a direction on the circle."""
    return any(True for _ in kind_of(answer.kind).predictions(answer))


class _Ground:
    """What drawn people's readings say of stations."""

    def __init__(self, effects: Sequence[Effect], drawn: People, people: int) -> None:
        self.effects, self.drawn, self.people = effects, drawn, people
        self.needles = [task for task, each in enumerate(effects) if each.sign]
        self.stations = list(dict.fromkeys(effects[task].station for task in self.needles))
        self.like = [each.blurred(0.0) for each in effects]
        self.prior = log_prior(len(self.needles))
        self.tables: dict[tuple[Effect, float], Singles] = {}
        self.precision = {
            station: self._precision([effects[task].station == station for task in self.needles])
            for station in self.stations
        }

    def _table(self, like: Effect, bias_deg: float) -> Singles:
        """The log likelihoods of answers by a bias, without a habit: (answers, rest)."""
        key = like, bias_deg
        if key not in self.tables:
            table = log_table(like, (), bias_deg)
            self.tables[key] = table.reshape(len(table), -1)
        return self.tables[key]

    def _log_likelihood(self, tasks: Iterable[tuple[int, Effect]], bias_deg: float) -> Singles:
        """Of some tasks' readings: (people, offsets times scatters)."""
        total = np.zeros((len(self.drawn.offset_deg), self.prior.size), np.float32)
        for task, like in tasks:
            total += self._table(like, bias_deg)[self.drawn.cells(task, like, 0.0)]
        return total

    def _precision(self, is_here: Sequence[bool], more: Effect | None = None) -> float:
        """How much one person's readings say of a bias of the station at which some of the needles
        are read: the mean square of the score, per square degree. `more` is a task more there.
        """
        read = [(task, self.like[task]) for task in self.needles]
        elsewhere = [one for one, here in zip(read, is_here, strict=True) if not here]
        own = [one for one, here in zip(read, is_here, strict=True) if here]
        own += [(len(self.effects), more)] if more else []
        rest = self.prior.ravel() + self._log_likelihood(elsewhere, 0.0)
        above, below = (log_sum(rest + self._log_likelihood(own, by)) for by in (1.0, -1.0))
        return float(np.mean(((above - below) / 2.0) ** 2))

    def blurred(self, each: Effect) -> Effect:
        """An effect with what so many people leave unknown of its ground."""
        own = self.precision.get(each.station, 0.0) * self.people
        return each.blurred(math.sqrt(1.0 / (1.0 / STATION_NARROW_DEG**2 + own)) * bool(each.sign))

    def power(self, station: str, more: Effect | None = None) -> StationPower:
        """What is found of a station, with a task more or without."""
        is_here = [self.effects[task].station == station for task in self.needles]
        lines = [self.effects[task] for task in self.needles if self.effects[task].station == station]
        precision = self.precision.get(station, 0.0)
        if more:
            lines, precision = [*lines, more], self._precision(is_here, more.blurred(0.0))
        survey = math.fsum(line.survey_deg**2 for line in lines) / len(lines) ** 2
        error_deg = math.sqrt(1.0 / max(self.people * precision, 1e-9) + survey)
        found_deg = _found_from(error_deg, STATION_SHARE + LINE_SHARE * (len(lines) == 1))
        least_deg = found_deg + SURE_SIGMAS * error_deg
        return StationPower(
            station,
            least_deg if least_deg <= LARGEST_DEG else None,
            _beyond(ASKED_DEG, error_deg, found_deg),
        )


SURE_SIGMAS = 0.8416  # of a normal distribution, below which the share SURE of it lies


def _beyond(mean_deg: float, sigma_deg: float, limit_deg: float) -> float:
    """The chance that something normal lies further from zero than a limit."""
    root = sigma_deg * math.sqrt(2.0)
    above = math.erfc((limit_deg - mean_deg) / root)
    return 0.5 * (above + math.erfc((limit_deg + mean_deg) / root))


def _found_from(error_deg: float, share: float) -> float:
    """The bias that readings must show, degrees, for a station to be thought at fault as FOUND has
    it, where they are good to a standard error; by bisection. `share` of the stations are at fault.
    """
    low_deg, high_deg = 0.0, 4.0 * LARGEST_DEG
    for _ in range(40):
        middle_deg = (low_deg + high_deg) / 2.0
        if _fault_probability(middle_deg, error_deg, share) < FOUND:
            low_deg = middle_deg
        else:
            high_deg = middle_deg
    return high_deg


def _fault_probability(shown_deg: float, error_deg: float, share: float) -> float:
    """How probably a station is a fault whose readings show so much."""
    weights, faults = [], []
    for part, spread_deg in ((1.0 - share, STATION_NARROW_DEG), (share, STATION_WIDE_DEG)):
        whole_deg = math.hypot(spread_deg, error_deg)
        kept = (spread_deg / whole_deg) ** 2
        weights.append(part / whole_deg * math.exp(-0.5 * (shown_deg / whole_deg) ** 2) + 1e-300)
        faults.append(_beyond(kept * shown_deg, math.sqrt(kept) * error_deg, FAULT_DEG))
    total = math.fsum(weight * fault for weight, fault in zip(weights, faults, strict=True))
    return total / math.fsum(weights)


class _Habits:
    """What drawn people's readings say of their habits. People come once for each habit that acts:
    (habits, people).
    """

    def __init__(self, effects: Sequence[Effect], drawn: People) -> None:
        self.effects, self.drawn = effects, drawn
        self.prior = log_prior(sum(bool(each.sign) for each in effects))
        self.habits = acting_on(effects)
        self.log_likelihood = self._of_course()

    def _cells(self, task: int, like: Effect, habit: int) -> Indices:
        return self.drawn.cells(task, like, like.shifts_deg[habit])

    def _of_course(self) -> Singles:
        """(habits times people, (1 + habits) times offsets times scatters)."""
        columns = (1 + len(self.habits)) * self.prior.size
        total = np.zeros((len(self.habits) * len(self.drawn.offset_deg), columns), np.float32)
        for like, tasks in by_effect(self.effects).items():
            table = log_table(like, self.habits)
            cells = [
                np.concatenate([self._cells(task, like, habit) for habit in self.habits])
                for task in tasks
                if self.habits
            ]
            if cells:
                total += counted(cells, len(table)) @ table.reshape(len(table), -1)
        return total

    def powers(self, more: Effect | None = None) -> tuple[HabitPower, ...]:
        """The chances of the habits, with a task more or without."""
        total = self.log_likelihood
        if more and self.habits:
            table = log_table(more, self.habits)
            last = len(self.effects)
            cells = np.concatenate([self._cells(last, more, habit) for habit in self.habits])
            total = total + table.reshape(len(table), -1)[cells]
        shape = len(self.habits), len(self.drawn.offset_deg), 1 + len(self.habits), -1
        by_habit = log_sum(total.reshape(shape) + self.prior.ravel())
        by_habit += np.log([priors.STATED.habits[place] for place in (0, *self._places())])
        probability = np.exp(by_habit - log_sum(by_habit)[..., None])
        return tuple(
            HabitPower(
                PERSISTENT[habit],
                float(np.mean(probability[at, :, 1 + at] >= KNOWN)),
                float(np.mean(probability[at, :, 1 + at])),
            )
            for at, habit in enumerate(self.habits)
        )

    def _places(self) -> list[int]:
        """The places of the habits in `priors.HABITS`."""
        return [priors.HABITS.index(PERSISTENT[habit]) for habit in self.habits]


def acting_on(effects: Iterable[Effect]) -> list[int]:
    """The habits that can be told at some task, as places in PERSISTENT."""
    acts = [each.acts for each in effects]
    return [habit for habit in range(len(PERSISTENT)) if any(one[habit] for one in acts)]


def _further(
    candidates: Sequence[Answer], habits: _Habits, ground: _Ground
) -> Further | None:
    """The candidate that raises the least of the habit chances most, else lowers the largest of the
    stations' smallest biases; None where none does either.
    """
    return None
