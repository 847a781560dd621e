"""What a course with some number of people will be able to show, before anybody has read anything:
which habits, which stations, with what chance; and which task more would add most.

A small simulation of single people (`drawn_people.py`) stands for the class: a habit is one
person's affair, and of a station only how much one person's readings say of it is drawn, for that
adds up over people. tests/domain/test_power.py holds both against the diagnosis of whole classes.
Left out: people who copy, two habits at once, ground that changes, rates that a class teaches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..diagnosis import priors
from ..diagnosis.arrays import Indices, Singles
from ..diagnosis.ascent import LEAST_PEOPLE
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
from .drawn_people import Effect, People, by_effect, draw, effect, log_prior, log_table

KNOWN = 0.7  # from here a habit is said of a person at the debrief (README.md of diagnosis)
FOUND = 0.5  # from here the debrief says that a station is at fault
ASKED_DEG = 5.0  # the bias whose chance is told for each station
SURE = 0.8  # the chance with which the smallest bias told is found
SURE_SIGMAS = 0.8416  # of a normal distribution, below which the share SURE of it lies
LARGEST_DEG = 40.0  # beyond this the diagnosis seeks no bias (`biases.BIASES_DEG`)
DRAWN = 160  # people: a chance is good to 0.04 (one sigma) at worst; no source, for speed
# Gains of chance, of belief and of degrees nearer than these are alike; no source: the first is
# three of the people drawn.
ALIKE, ALIKE_BELIEF, ALIKE_DEG = 0.02, 0.01, 0.05


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
    """A station at which a needle is read: how well its bias is known from everybody's readings, as
    a standard error, and how much they must show for the station to be thought at fault; degrees.
    """

    station: str
    error_deg: float
    found_from_deg: float

    def chance(self, bias_deg: float = ASKED_DEG) -> float:
        """The chance with which a bias is found."""
        if self.found_from_deg > LARGEST_DEG:
            return 0.0
        return _beyond(bias_deg, self.error_deg, self.found_from_deg)

    @property
    def least_deg(self) -> float | None:
        """The smallest bias that is found with the chance SURE; None of none to LARGEST_DEG."""
        size_deg = self.found_from_deg + SURE_SIGMAS * self.error_deg
        return size_deg if size_deg <= LARGEST_DEG else None


@dataclass(frozen=True)
class Further:
    """The task more that would add most: its answer, and what it would make of the habit whose
    chance is the least (`habit`, `was`, `would_be`), else, where none gains, of the station whose
    smallest bias is the largest (`station`, before `was_deg`, after `would_be_deg`).
    """

    answer: Answer
    habit: str = ""
    was: float = 0.0
    would_be: float = 0.0
    station: str = ""
    was_deg: float | None = None
    would_be_deg: float | None = None


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
    if not effects:
        return Power(people, (), (), None)
    drawn = draw(DRAWN, len(effects) + 1, rng)  # the last task is that of a candidate
    ground = _Ground(effects, drawn, people)
    possible = [(answer, effect(answer)) for answer in candidates if _can_be_seen(answer)]
    habits = _Habits(
        [ground.blurred(each) for each in effects],
        [ground.blurred(each) for _, each in possible],
        drawn,
    )
    here = {PERSISTENT[habit] for habit in acting_on(effects)}
    chances = habits.powers()
    return Power(
        people,
        tuple(one for one in chances if one.habit in here),
        ground.powers,
        _further(possible, habits, chances, ground),
    )


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
        self.shown = {station: self._shown(station) for station in self.stations}
        self.precision = {code: _precision(*shown) for code, shown in self.shown.items()}
        self.powers = tuple(self.power(station) for station in self.stations)

    def _table(self, like: Effect, bias_deg: float) -> Singles:
        """The log likelihoods of answers by a bias, without a habit: (answers, rest)."""
        key = like, bias_deg
        if key not in self.tables:
            table = log_table(like, (), bias_deg)
            self.tables[key] = table.reshape(len(table), -1)
        return self.tables[key]

    def _log_likelihood(self, task: int, like: Effect, bias_deg: float) -> Singles:
        """Of the readings of one task: (people, offsets times scatters)."""
        found: Singles = self._table(like, bias_deg)[self.drawn.cells(task, like, 0.0)]
        return found

    def _shown(self, station: str) -> tuple[Singles, Singles]:
        """The log likelihood of all readings where the station is a degree off to the one side and
        to the other, while it is not: twice (people, offsets times scatters), with the prior.
        """
        above, below = (np.zeros((DRAWN, self.prior.size), np.float32) for _ in range(2))
        for task in self.needles:
            bias_deg = 1.0 if self.effects[task].station == station else 0.0
            above += self._log_likelihood(task, self.like[task], bias_deg)
            below += self._log_likelihood(task, self.like[task], -bias_deg)
        return above + self.prior.ravel(), below + self.prior.ravel()

    def blurred(self, each: Effect) -> Effect:
        """An effect with what so many people leave unknown of its ground."""
        own = self.precision.get(each.station, 0.0) * self.people
        return each.blurred(math.sqrt(1.0 / (1.0 / STATION_NARROW_DEG**2 + own)) * bool(each.sign))

    def power(self, station: str, more: Effect | None = None) -> StationPower:
        """What is found of a station, with a task more there or without."""
        lines = [one for one in self.effects if one.sign and one.station == station]
        precision = self.precision[station]
        if more and more.sign:
            above, below = self.shown[station]
            last, like = len(self.effects), more.blurred(0.0)
            precision = _precision(
                above + self._log_likelihood(last, like, 1.0),
                below + self._log_likelihood(last, like, -1.0),
            )
            lines = [*lines, more]
        survey = math.fsum(line.survey_deg**2 for line in lines) / len(lines) ** 2
        error_deg = math.sqrt(1.0 / max(self.people * precision, 1e-9) + survey)
        share = STATION_SHARE + LINE_SHARE * (len(lines) == 1)
        found_from_deg = _found_from(error_deg, share)
        # what fewer people show is taken for slips
        return StationPower(
            station, error_deg, found_from_deg if self.people >= LEAST_PEOPLE else math.inf
        )

    def widest(self) -> StationPower | None:
        """The station at which the smallest bias that is found is the largest."""
        return max(self.powers, key=_size, default=None)

    def widest_with(self, more: Effect) -> float:
        """How large that bias would be with a task more, degrees."""
        widest = self.widest()
        if widest is None or widest.station != more.station:
            return 0.0 if widest is None else _size(widest)
        others = [_size(one) for one in self.powers if one.station != more.station]
        return max([*others, _size(self.power(more.station, more))])


def _precision(above: Singles, below: Singles) -> float:
    """How much one person's readings say of a station's bias: the mean square of the score, per
    square degree, by what `_Ground._shown` says.
    """
    return float(np.mean(((log_sum(above) - log_sum(below)) / 2.0) ** 2))


def _size(power: StationPower) -> float:
    """The smallest bias that is found, degrees; without end where none is."""
    return math.inf if power.least_deg is None else power.least_deg


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
    """What drawn people's readings say of their habits. People come once for each habit that acts
    on the course, or on one of the tasks that it might ask as well: (habits, people).
    """

    def __init__(self, effects: Sequence[Effect], more: Sequence[Effect], drawn: People) -> None:
        self.effects, self.drawn = effects, drawn
        self.prior = log_prior(sum(bool(each.sign) for each in effects))
        self.habits = acting_on([*effects, *more])
        self.log_likelihood = self._of_course()

    def _of_course(self) -> Singles:
        """(habits times people, (1 + habits) times offsets times scatters)."""
        columns = (1 + len(self.habits)) * self.prior.size
        total = np.zeros((len(self.habits) * DRAWN, columns), np.float32)
        for like, tasks in by_effect(self.effects).items():
            table = self._table(like)
            for task in tasks:
                total += table[self._cells(task, like)]
        return total

    def _table(self, like: Effect) -> Singles:
        """The log likelihoods of answers: (answers, (1 + habits) times offsets times scatters)."""
        table = log_table(like, self.habits)
        return table.reshape(len(table), -1)

    def _cells(self, task: int, like: Effect) -> Indices:
        """What everybody answers at a task: (habits times people,)."""
        of_habits = [self.drawn.cells(task, like, like.shifts_deg[habit]) for habit in self.habits]
        return np.concatenate([np.zeros(0, int), *of_habits])

    def powers(self, more: Effect | None = None) -> tuple[HabitPower, ...]:
        """The chances of the habits, with a task more or without."""
        total = self.log_likelihood
        if more:
            total = total + self._table(more)[self._cells(len(self.effects), more)]
        shape = len(self.habits), DRAWN, 1 + len(self.habits), self.prior.size
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
    possible: Sequence[tuple[Answer, Effect]],
    habits: _Habits,
    before: Sequence[HabitPower],
    ground: _Ground,
) -> Further | None:
    """The candidate that raises the least of the habit chances most, else lowers the largest of the
    stations' smallest biases; None where none does either.
    """
    likes = [ground.blurred(each) for _, each in possible]
    after = {like: habits.powers(like) for like in dict.fromkeys(likes)}
    places, weakest = list(range(len(possible))), _weakest(before)
    is_raised = False
    if weakest:
        least = [_weakest(after[like]) or weakest for like in likes]
        places = _highest(places, [one.chance for one in least], ALIKE)
        places = _highest(places, [one.belief for one in least], ALIKE_BELIEF)
        is_raised = bool(places) and (
            least[places[0]].chance > weakest.chance + ALIKE
            or least[places[0]].belief > weakest.belief + ALIKE_BELIEF
        )
    widest = ground.widest()
    lowered = {place: ground.widest_with(possible[place][1]) for place in places}
    places = _highest(places, {place: -deg for place, deg in lowered.items()}, ALIKE_DEG)
    if weakest and is_raised:
        chosen = after[likes[places[0]]]
        would_be = next(one.chance for one in chosen if one.habit == weakest.habit)
        return Further(possible[places[0]][0], weakest.habit, weakest.chance, would_be)
    if not places or widest is None or not lowered[places[0]] < _size(widest) - ALIKE_DEG:
        return None  # two that are without end are alike
    answer, more = possible[places[0]]
    would_be_deg = ground.power(widest.station, more).least_deg
    return Further(
        answer, station=widest.station, was_deg=widest.least_deg, would_be_deg=would_be_deg
    )


def _highest(
    places: Sequence[int], values: Sequence[float] | Mapping[int, float], alike: float
) -> list[int]:
    """Of some places those whose value is the highest or like it, in order."""
    top = max((values[place] for place in places), default=0.0)
    return [place for place in places if values[place] >= top - alike]


def _weakest(powers: Iterable[HabitPower]) -> HabitPower | None:
    """The habit with the least chance, of those that some course could show."""
    return min(
        (one for one in powers if one.habit != UNPROVABLE),
        key=lambda one: (one.chance, one.belief),
        default=None,
    )
