"""The signals of a rotation that runs: everybody change, and a little longer.

A rotation runs by its clock. A signal moves what comes after it: who changes early, or later, does
not lose what was planned between. Without any it goes on as planned.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from .rotation import Rotation
from .rotation_timing import Round, Walked

CHANGE, MORE = "change", "more"
MORE_MIN = 2.0  # what one "a little longer" adds to a round, minutes; no source


@dataclass(frozen=True)
class Signal:
    """A signal for a round, by its number from 0: CHANGE ends it, MORE makes it longer. `minute` is
    when it was given, from the start of the rotation.
    """

    what: str
    round: int
    minute: float


@dataclass(frozen=True)
class Turn:
    """What everybody does at a moment: a round, by its number from 0, or the walk to it.
    `until_min` is when that ends, minutes from the start.
    """

    number: int
    is_walk: bool
    until_min: float


def signalled(rotation: Rotation, signals: Iterable[Signal]) -> Rotation:
    """The rotation with its minutes as signals have moved them.

    Of several CHANGE for a round the first holds, so that one given twice counts once; a round does
    not end before it begins. Each MORE adds MORE_MIN to a round that no CHANGE ended. Walks last as
    planned. A signal for a round that there is not says nothing.
    """
    given = sorted(signals, key=lambda one: one.minute)
    rounds: list[Round] = []
    for number, planned in enumerate(rotation.rounds):
        before_min = rotation.rounds[number - 1].until_min if number else planned.from_min
        clock = rounds[-1].until_min if rounds else planned.from_min
        from_min = clock + planned.from_min - before_min
        rounds.append(_ended(planned, from_min, [one for one in given if one.round == number]))
    return replace(
        rotation,
        rounds=tuple(rounds),
        walks=tuple(_moved(walk, rotation.rounds, rounds) for walk in rotation.walks),
        minutes=rotation.minutes + _shift_min(len(rounds), rotation.rounds, rounds),
    )


def _ended(planned: Round, from_min: float, signals: Sequence[Signal]) -> Round:
    """A round that begins at a minute, as its signals end it; these are in order of time."""
    changes = [one.minute for one in signals if one.what == CHANGE]
    longer_min = MORE_MIN * sum(one.what == MORE for one in signals)
    until_min = from_min + planned.until_min - planned.from_min + longer_min
    if changes:
        until_min = max(from_min, changes[0])
    return replace(planned, from_min=from_min, until_min=until_min)


def _shift_min(before: int, planned: Sequence[Round], moved: Sequence[Round]) -> float:
    """By how much the end of the round before one of a number has moved, minutes."""
    return moved[before - 1].until_min - planned[before - 1].until_min if before else 0.0


def _moved(walk: Walked, planned: Sequence[Round], moved: Sequence[Round]) -> Walked:
    """A walk as it begins after the signals."""
    return replace(walk, from_min=walk.from_min + _shift_min(walk.before, planned, moved))


def turn_at(rotation: Rotation, now_min: float) -> Turn | None:
    """What everybody does at a minute of a rotation (`signalled`, where there are signals), or None
    when the last round is over. Before the start it is the walk to the first round.
    """
    for number, one in enumerate(rotation.rounds):
        if now_min < one.from_min:
            return Turn(number, True, one.from_min)
        if now_min < one.until_min:
            return Turn(number, False, one.until_min)
    return None


def round_to_change(rotation: Rotation, now_min: float) -> int | None:
    """The round that a signal to change ends at a minute: the one under way, or while all walk the
    one that is just over, as when the signal comes late. None before the first and after the last.
    """
    begun = [number for number, one in enumerate(rotation.rounds) if one.from_min <= now_min]
    is_over = turn_at(rotation, now_min) is None
    return begun[-1] if begun and not is_over else None


def next_stations(rotation: Rotation, group: str) -> list[tuple[str, float]]:
    """Where a group goes round by round, as (station, minute): "" where it waits, and a wait of
    several rounds once.
    """
    every = [(one.at.get(group, ""), one.from_min) for one in rotation.rounds]
    return [next(some) for code, some in itertools.groupby(every, key=lambda stop: stop[0])]
