"""A rotation for the time there is: which tasks to leave out, by the least information lost."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from ..planning.visibility import PROVABLE, habit_strengths, view
from ..tasks.answer import Answer
from ..words import say
from .rotation import Rotation, plain, rotate
from .rotation_grid import rounds_needed, visits
from .rotation_values import NoRotation, Problem, Station

EXACT_TASKS = 8  # with so many or fewer, every choice of tasks is weighed
TRIES = 4  # how often a search that turns out too long is begun again for less time
# beside a habit that one person's readings prove: a cause more that can be seen, and any task; no
# source
CAUSE_WORTH, TASK_WORTH = 0.1, 0.01

Information = Callable[[Collection[str]], float]  # of the tasks of some codes


class CourseInformation:
    """How much one person's readings of some tasks of a course can show.

    The sum over habits of the share of a proof (`visibility.habit_strengths` squared, over PROVABLE
    squared, 1 at most), a tenth for each cause that some task shows, a hundredth for each task.
    A task more never makes it less. Cheap, and no chance: `planning.power` draws people for that.
    """

    def __init__(self, answers: Sequence[Answer]) -> None:
        self._squares = {
            answer.task: [(one / PROVABLE) ** 2 for one in habit_strengths([answer]).values()]
            for answer in answers
        }
        self._shows = {answer.task: frozenset(view(answer).shows) for answer in answers}

    def __call__(self, tasks: Collection[str]) -> float:
        """The information of tasks by their codes, 0 or more; unknown ones say nothing."""
        known = sorted(set(tasks) & self._squares.keys())
        habits = (
            sum(column) for column in zip(*(self._squares[one] for one in known), strict=True)
        )
        causes = frozenset[str]().union(*(self._shows[one] for one in known))
        proved = sum(min(1.0, square) for square in habits)
        return proved + CAUSE_WORTH * len(causes) + TASK_WORTH * len(known)


def fitted(problem: Problem, information: Information, *, rng: np.random.Generator) -> Rotation:
    """A rotation that ends within `problem.minutes`, with what was left out and what that loses.

    Left out are tasks for all, and stations that lose all of theirs. Where there are more groups
    than places, fewer stations do not make fewer rounds: then groups may miss some stations as
    well, not all the same. Chosen is what leaves the most information to the group that gets least,
    then to a group on the average; with EXACT_TASKS tasks or fewer the most there is by the plain
    loop, else the most found.

    Raises NoRotation where there is not even time for one round of one task.
    """
    if problem.minutes is None:
        return rotate(problem, rng=rng)
    search = _Search(problem, information)
    limit_min = problem.minutes
    fallback = None
    for _ in range(TRIES):
        choice = search.best(limit_min)
        if choice is None:
            break
        smaller = _kept(problem, choice[0])
        found = rotate(smaller, rng=rng, rounds=choice[1])
        if found.minutes <= problem.minutes:
            return search.told(found, choice[0])
        fallback = fallback or search.told(plain(smaller, choice[1]), choice[0])
        limit_min -= found.minutes - problem.minutes
    if fallback is None:
        raise NoRotation(
            say(
                "{minutes:.0f} minutes are too few for a single round. Give the class more time, "
                "or a shorter task.",
                minutes=problem.minutes,
            )
        )
    return fallback


def _kept(problem: Problem, tasks: Collection[str]) -> Problem:
    """A problem with some of its tasks, and the stations that have any."""
    stations = (
        replace(station, asked=tuple(one for one in station.asked if one.task in tasks))
        for station in problem.stations
    )
    return replace(problem, stations=tuple(station for station in stations if station.asked))


class _Search:
    """What to keep of a problem's tasks. A choice is a set of tasks and a number of rounds."""

    def __init__(self, problem: Problem, information: Information) -> None:
        self.problem, self.information = problem, information
        self.tasks = tuple(one.task for station in problem.stations for one in station.asked)
        self.groups = len(problem.groups)
        self._plain: dict[tuple[frozenset[str], int], Rotation] = {}

    def best(self, limit_min: float) -> tuple[frozenset[str], int] | None:
        """The choice that leaves the most information in the time, or None where nothing fits."""
        every = frozenset(self.tasks)
        kept: Iterable[frozenset[str]]
        if self.minutes(every, self.needed(every)) <= limit_min:
            kept = [every]
        elif len(self.tasks) <= EXACT_TASKS:
            kept = self._all_choices()
        else:
            kept = self._by_rounds_and_minutes(limit_min)
        choices = [(tasks, rounds) for tasks in kept if (rounds := self.rounds(tasks, limit_min))]
        if not choices:
            return None
        return max(choices, key=lambda one: (self.worth(*one), sorted(one[0])))

    def _all_choices(self) -> Iterator[frozenset[str]]:
        """Every set of tasks but none."""
        for count in range(1, len(self.tasks) + 1):
            yield from map(frozenset, itertools.combinations(self.tasks, count))

    def needed(self, tasks: frozenset[str]) -> int:
        """The rounds that it takes for everybody to get some tasks."""
        stations = _kept(self.problem, tasks).stations
        return rounds_needed(self.groups, [one.places for one in stations])

    def rounds(self, tasks: frozenset[str], limit_min: float) -> int:
        """The most rounds of some tasks for which there is time by the plain loop, 0 for none."""
        needed = self.needed(tasks)
        # Where each group is at a station in each round, dropping stations does as well and leaves
        # all groups with the same tasks.
        fewest = 1 if needed > len(_kept(self.problem, tasks).stations) else needed
        for rounds in range(needed, fewest - 1, -1):
            if self.minutes(tasks, rounds) <= limit_min:
                return rounds
        return 0

    def minutes(self, tasks: frozenset[str], rounds: int) -> float:
        """How long some rounds of some tasks take by the plain loop."""
        smaller = _kept(self.problem, tasks)
        codes = frozenset(station.code for station in smaller.stations)
        if (codes, rounds) not in self._plain:
            self._plain[codes, rounds] = plain(smaller, rounds)
        loop = self._plain[codes, rounds]
        # the loop depends on stations only; its rounds on what is left at them
        needs = {station.code: station.minutes for station in smaller.stations}
        busy = sum(one.until_min - one.from_min for one in loop.rounds)
        return (
            loop.minutes
            - busy
            + sum(
                max((needs[code] for code in one.at.values()), default=0.0) for one in loop.rounds
            )
        )

    def worth(self, tasks: frozenset[str], rounds: int) -> tuple[float, float]:
        """The information of the group that gets least, and of a group on the average."""
        if rounds >= self.needed(tasks):
            return self.information(tasks), self.information(tasks)
        stations = _kept(self.problem, tasks).stations
        had: list[set[str]] = [set() for _ in range(self.groups)]
        for group, station in visits(self.groups, [one.places for one in stations], rounds):
            had[group] |= stations[station].tasks
        each = [self.information(one) for one in had]
        return min(each), sum(each) / self.groups

    def _by_rounds_and_minutes(self, limit_min: float) -> Iterator[frozenset[str]]:
        """Sets of tasks: for each length that a round may have, stations cut down to it, and then
        stations left out one by one, each time the one that loses the least; and tasks put back
        into each that fits.
        """
        for longest_min in self._lengths():
            tasks = frozenset(
                task
                for station in self.problem.stations
                for task in self._cut(station, longest_min)
            )
            while tasks and not self.rounds(tasks, limit_min):
                tasks = self._without_a_station(tasks)
            if tasks:
                yield self._put_back(tasks, limit_min)

    def _lengths(self) -> list[float]:
        """The lengths that a round may have: those of stations with some of their tasks."""
        lengths = set()
        for station in self.problem.stations:
            minutes = sorted(one.minutes for one in station.asked)
            for order in (minutes, minutes[::-1]):
                lengths |= {
                    station.settle_min + sum(order[:count]) for count in range(1, 1 + len(order))
                }
        return sorted(round(length, 6) for length in lengths)

    def _cut(self, station: Station, longest_min: float) -> frozenset[str]:
        """The tasks of a station left within some minutes, the least telling gone first."""
        asked = list(station.asked)
        while asked and station.settle_min + sum(one.minutes for one in asked) > longest_min + 1e-6:
            asked.remove(
                max(asked, key=lambda gone: self.information(set(self.tasks) - {gone.task}))
            )
        return frozenset(one.task for one in asked)

    def _without_a_station(self, tasks: frozenset[str]) -> frozenset[str]:
        """Some tasks without those of the station without which most is left."""
        stations = _kept(self.problem, tasks).stations
        return max((tasks - one.tasks for one in stations), key=self.information)

    def _put_back(self, tasks: frozenset[str], limit_min: float) -> frozenset[str]:
        """Some tasks with others for which there is time as well, the most telling first."""
        rounds = self.rounds(tasks, limit_min)
        left = set(self.tasks) - tasks
        for task in sorted(left, key=lambda one: (-self.information(tasks | {one}), one)):
            if self.rounds(tasks | {task}, limit_min) >= rounds:
                tasks |= {task}
        return tasks

    def told(self, found: Rotation, tasks: frozenset[str]) -> Rotation:
        """A rotation with what it leaves out."""
        stations = {station.code: station.tasks for station in found.problem.stations}
        left = [
            self.information(
                [
                    task
                    for one in found.rounds
                    if group.code in one.at
                    for task in stations[one.at[group.code]]
                ]
            )
            for group in self.problem.groups
        ]
        lost = self.information(self.tasks) - sum(left) / len(left)
        dropped = tuple(task for task in self.tasks if task not in tasks)
        return replace(found, dropped=dropped, lost=max(0.0, lost))
