"""Who is where while a class is out, by the last reading of each person, and of whom nothing was
heard for a while. Somebody who reads nothing is not seen to move: it is where they were last heard
of that is known, and no more.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

# after the last reading there; a task takes beginners 4 to 8 minutes: common practice, no source
HERE_FOR = datetime.timedelta(minutes=12)


@dataclass(frozen=True)
class Given:
    """One reading: whose, at which station, and when it was made."""

    person: str
    station: str
    at: datetime.datetime


@dataclass(frozen=True)
class StationNow:
    """A station: who was last heard of there a short while ago, how many people read there by now,
    how many readings, and when the last one was made, or None.
    """

    code: str
    here: tuple[str, ...]
    people: int
    readings: int
    last: datetime.datetime | None


def last_given(given: Iterable[Given]) -> dict[str, Given]:
    """The last reading of each person, by when it was made."""
    return {one.person: one for one in sorted(given, key=lambda one: one.at)}


def stations_now(
    codes: Sequence[str], given: Sequence[Given], now: datetime.datetime
) -> list[StationNow]:
    """The stations in their order."""
    last = last_given(given).values()
    return [
        StationNow(
            code,
            tuple(one.person for one in last if one.station == code and now - one.at <= HERE_FOR),
            len({one.person for one in given if one.station == code}),
            sum(one.station == code for one in given),
            max((one.at for one in given if one.station == code), default=None),
        )
        for code in codes
    ]


def silent(
    since: Mapping[str, datetime.datetime],
    heard: Mapping[str, datetime.datetime],
    now: datetime.datetime,
    longest: datetime.timedelta,
) -> list[str]:
    """Of whom nothing was heard for longer, those the longest ago first. `since` holds from when
    on something might have been heard of each person, `heard` when something was heard last.
    """
    last = {person: max(begun, heard.get(person, begun)) for person, begun in since.items()}
    return sorted(
        (person for person, at in last.items() if now - at > longest), key=lambda one: last[one]
    )
