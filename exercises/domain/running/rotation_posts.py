"""Where helpers stand, and why: at dangers all the time, then where groups begin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .rotation_timing import Round, Walked
from .rotation_values import Problem

DANGER, CROSSING, FIRST = "danger", "crossing", "first"


@dataclass(frozen=True)
class Post:
    """A place for a helper: at a station, or on the way from it to `end`; why, as a code; from
    which round on, and until before which. The rounds of a crossing include the changes before
    and after.
    """

    station: str
    why: str
    from_round: int
    until_round: int
    end: str = ""


def posts(problem: Problem, rounds: Sequence[Round], walks: Sequence[Walked]) -> tuple[Post, ...]:
    """Where helpers should stand, the most needed first. Dangers come first and are no choice: a
    station near one in all rounds in which it is used, a kept crossing for each change in which it
    is walked. Then the first stations, in the first round, those of the largest groups first: there
    everybody does everything for the first time.
    """
    needed = [*_at_dangers(problem, rounds), *_at_crossings(problem, walks)]
    manned = {post.station for post in needed if post.why == DANGER}
    first = rounds[0].at if rounds else {}
    by_size = sorted(problem.groups, key=lambda group: -group.size)
    begun = dict.fromkeys(first[group.code] for group in by_size if group.code in first)
    return (*needed, *(Post(code, FIRST, 0, 1) for code in begun if code not in manned))


def _at_dangers(problem: Problem, rounds: Sequence[Round]) -> Iterator[Post]:
    """A post at each station near a danger that is used."""
    for station in problem.stations:
        used = [turn for turn, one in enumerate(rounds) if station.code in one.at.values()]
        if station.is_dangerous and used:
            yield Post(station.code, DANGER, used[0], used[-1] + 1)


def _at_crossings(problem: Problem, walks: Sequence[Walked]) -> Iterator[Post]:
    """A post on each way over a danger that is walked, one for both directions."""
    turns: dict[tuple[str, str], list[int]] = {}
    for walk in walks:
        if problem.way(walk.start, walk.end).kept:
            one, other = sorted((walk.start, walk.end))
            turns.setdefault((one, other), []).append(walk.before)
    for (one, other), before in turns.items():
        yield Post(one, CROSSING, max(0, min(before) - 1), max(before) + 1, other)
