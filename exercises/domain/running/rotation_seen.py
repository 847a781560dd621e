"""Where groups have been while a rotation runs: by their readings, by what helpers tapped, and
where nobody has said otherwise by the plan.

Silence is no delay: a phone without a signal sends later, and a group with paper sends nothing. So
a group is taken to be where it should be, until a reading or a helper says that it is elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import NamedTuple

from .rotation import Rotation
from .rotation_ground import SETTLE_MIN, TASK_MIN
from .rotation_live import Visit
from .rotation_timing import Round

READ, HERE, GONE, SKIPS = "read", "here", "gone", "skips"
LEAD_MIN = SETTLE_MIN + TASK_MIN  # a first reading is made so long after the group came


@dataclass(frozen=True)
class Sign:
    """What tells of a group at a station: a reading made there, or what a helper said: it is HERE,
    has GONE, or SKIPS it. The minute is that of the reading or of the tap, not of its receipt.
    """

    what: str
    group: str
    station: str
    minute: float


class Known(NamedTuple):
    """What is known of groups: their visits, and of each the stations from which nothing was heard
    though their round is over, where the plan alone speaks for a visit; and those that it skipped.
    """

    visits: tuple[Visit, ...]
    silent: dict[str, tuple[str, ...]]
    skipped: dict[str, tuple[str, ...]]


@dataclass
class _Stay:
    """The signs of a group at a station: the first and the last, and when it was said to have gone;
    a helper tapped when it came, or its first reading says so.
    """

    station: str
    first_min: float
    last_min: float
    is_tapped: bool
    gone_min: float | None = None


@dataclass
class _Group:
    """The signs of one group so far."""

    stays: list[_Stay] = field(default_factory=list)
    skips: list[str] = field(default_factory=list)

    @property
    def stations(self) -> list[str]:
        """Where it has been."""
        return [stay.station for stay in self.stays]

    @property
    def skipped(self) -> tuple[str, ...]:
        """What it skipped, and did not come to all the same."""
        return tuple(dict.fromkeys(code for code in self.skips if code not in self.stations))

    def take(self, sign: Sign) -> None:
        """Take in the next sign in order of time. What tells of a station that was left before says
        nothing new: a second try, or a phone that was late.
        """
        if sign.what == SKIPS:
            self.skips.append(sign.station)
            return
        if sign.station not in self.stations:
            self.stays.append(
                _Stay(sign.station, sign.minute, sign.minute, is_tapped=sign.what == HERE)
            )
        stay = self.stays[-1]
        if stay.station == sign.station and stay.gone_min is None:
            stay.last_min = sign.minute
            stay.gone_min = sign.minute if sign.what == GONE else None

    def visits(self, code: str, rounds: Sequence[Round], now_min: float) -> list[Visit]:
        """Its visits: those that signs tell of, and those by the plan."""
        presumed = [
            Visit(
                code,
                one.at[code],
                one.from_min,
                one.until_min if one.until_min <= now_min else None,
            )
            for one in rounds
            if one.from_min <= now_min and code in one.at and self._is_presumed(one, one.at[code])
        ]
        seen: list[Visit] = []
        for number, stay in enumerate(self.stays):
            before = self.stays[number - 1] if number else None
            after = self.stays[number + 1] if number + 1 < len(self.stays) else None
            ends = [one.until_min for one in presumed if one.until_min is not None]
            free_min = max([end for end in ends if end <= stay.first_min], default=0.0)
            free_min = max([free_min, *(one.until_min or 0.0 for one in seen[-1:])])
            from_min = max(free_min, _from_min(code, stay, before, rounds))
            until_min = _until_min(code, stay, after, rounds, now_min)
            seen.append(Visit(code, stay.station, from_min, until_min))
        return [*seen, *(one for one in presumed if not any(map(partial(_meet, one), seen)))]

    def _is_presumed(self, one: Round, station: str) -> bool:
        """Whether it is taken to have been at a station in a round without any sign from there."""
        elsewhere = any(
            stay.first_min < one.until_min and one.from_min <= stay.last_min for stay in self.stays
        )
        return not elsewhere and station not in self.stations and station not in self.skipped


def _meet(one: Visit, other: Visit) -> bool:
    """Whether two visits are at a time; without an end they go on."""
    ends = [math.inf if visit.until_min is None else visit.until_min for visit in (one, other)]
    return one.from_min < ends[1] and other.from_min < ends[0]


def known(rotation: Rotation, signs: Iterable[Sign], now_min: float) -> Known:
    """What is known at a minute of a rotation (`signalled`); signs of other groups and stations,
    and those of before the start or of later, say nothing.

    A visit begins as it was tapped, or with its planned round where no sign from elsewhere came
    after that; otherwise LEAD_MIN before its first reading. It ends as it was tapped, with its last
    sign before the first at the next station, or with its round. A round of which there is no sign
    is taken for a visit to the planned station, unless that was skipped or there are signs from
    elsewhere in it.
    """
    codes = {station.code for station in rotation.problem.stations}
    groups = {group.code: _Group() for group in rotation.problem.groups}
    for sign in sorted(signs, key=lambda one: one.minute):
        if sign.station in codes and sign.group in groups and 0.0 <= sign.minute <= now_min:
            groups[sign.group].take(sign)
    visits: dict[str, list[Visit]] = {}
    silent = {}
    for code, group in groups.items():
        visits[code] = group.visits(code, rotation.rounds, now_min)
        silent[code] = tuple(
            one.station
            for one in visits[code]
            if one.station not in group.stations and one.until_min is not None
        )
    every = tuple(visit for mine in visits.values() for visit in mine)
    return Known(every, silent, {code: group.skipped for code, group in groups.items()})


def _from_min(code: str, stay: _Stay, before: _Stay | None, rounds: Sequence[Round]) -> float:
    """When a stay began."""
    if stay.is_tapped:
        return stay.first_min
    left_min = before.last_min if before else 0.0
    planned = [
        one.from_min
        for one in rounds
        if one.at.get(code) == stay.station and left_min < one.until_min
    ]
    if planned and planned[0] <= stay.first_min:
        return max(planned[0], left_min)
    return max(left_min, stay.first_min - LEAD_MIN)


def _until_min(
    code: str, stay: _Stay, after: _Stay | None, rounds: Sequence[Round], now_min: float
) -> float | None:
    """When a stay ended: None while it goes on. Who gave their last sign in a round went with the
    signal; who gave it while the others walked, when the next round began.
    """
    if stay.gone_min is not None:
        return stay.gone_min
    if after is not None:
        only_tapped = stay.is_tapped and stay.last_min == stay.first_min
        return after.first_min if only_tapped else stay.last_min
    coming = (one for one in rounds if stay.last_min < one.until_min)
    one = next(coming, None)
    if one is None:
        return None
    is_late = stay.last_min < one.from_min and one.at.get(code) != stay.station
    end_min = one.from_min if is_late else one.until_min
    return end_min if end_min <= now_min else None
