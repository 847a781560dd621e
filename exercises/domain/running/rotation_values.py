"""What a rotation is made of: stations, groups, the ways between stations, and the time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..words import say, say_many

# at how many stations a group may come just after the same other group, or be there with it; with 2
# a loop walked both ways will do, 1 makes walks longer: see README.md
FOLLOW_LIMIT = 2


class NoRotation(ValueError):
    """There is no rotation as things are. The message says why and what to do."""


@dataclass(frozen=True)
class Asked:
    """A task at a station: its code, the north and the kind that it asks, and the minutes that the
    largest group needs for it, 0 or more.
    """

    task: str
    north: str
    kind: str
    minutes: float


@dataclass(frozen=True)
class Station:
    """A station: what is asked there, the minutes that go by before and between, how many groups
    it takes at once (1 or more), and whether somebody must stay there because a danger is near.
    """

    code: str
    asked: tuple[Asked, ...] = ()
    settle_min: float = 0.0
    places: int = 1
    is_dangerous: bool = False

    @property
    def minutes(self) -> float:
        """How long the largest group is there."""
        return self.settle_min + sum(one.minutes for one in self.asked)

    @property
    def tasks(self) -> frozenset[str]:
        """The codes of its tasks."""
        return frozenset(one.task for one in self.asked)


@dataclass(frozen=True)
class Group:
    """A group and its number of people, 1 or more."""

    code: str
    size: int = 1


@dataclass(frozen=True)
class Way:
    """How one walks from one mark to another: metres and minutes, by way of which other marks, and
    the names of the dangers on it that somebody keeps.
    """

    length_m: float
    minutes: float
    via: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()


Ways = Mapping[tuple[str, str], Way]  # (from, to), codes of marks


@dataclass(frozen=True)
class Problem:
    """What is to be rotated.

    `ways` has the way from each station to each other, and with a `base` from it to each and back:
    there all begin and end; empty, they begin at their first station. `minutes` is the time there
    is, None for as long as it takes; `helpers` how many can stand somewhere, None where nobody has
    said. `follow_limit`: at how many stations a group may come just after the same group, or be
    with it, 1 or more.

    Raises NoRotation for none of something, two of a name, and fewer helpers than dangers.
    """

    stations: tuple[Station, ...]
    groups: tuple[Group, ...]
    ways: Ways
    minutes: float | None = None
    base: str = ""
    helpers: int | None = None
    follow_limit: int = FOLLOW_LIMIT

    def __post_init__(self) -> None:
        if not self.stations or not self.groups:
            raise NoRotation(say("A rotation needs at least one station and one group."))
        for codes in ([one.code for one in self.stations], [one.code for one in self.groups]):
            for code in codes:
                if codes.count(code) > 1:
                    raise NoRotation(
                        say("“{code}” is there twice. Give each one a name of its own.", code=code)
                    )
        needed = sum(station.is_dangerous for station in self.stations)
        if self.helpers is not None and self.helpers < needed:
            raise NoRotation(
                say_many(
                    "{number} station is near a danger and needs a helper who stays there, and "
                    "{helpers} are there. Find more helpers, or leave out a station.",
                    "{number} stations are near a danger and need a helper each who stays there, "
                    "and {helpers} are there. Find more helpers, or leave out stations.",
                    needed,
                    helpers=self.helpers,
                )
            )

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The pairs of north and kind that are asked, in order."""
        asked = (one for station in self.stations for one in station.asked)
        return tuple(dict.fromkeys((one.north, one.kind) for one in asked))

    def way(self, start: str, end: str) -> Way:
        """The way between two marks; nothing from a mark to itself."""
        return self.ways[start, end] if start != end else Way(0.0, 0.0)
