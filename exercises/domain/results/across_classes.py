"""What several classes say together: shares of causes over time, the stations' biases pooled, and
counts without names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..diagnosis.diagnosis import Diagnosis
from ..earth.angles import difference
from ..mistakes import causes
from ..tasks.answer import Answer
from ..tasks.kinds import reads_needle
from . import cohort

# Of one reading: year, kind, north, declination in degrees, cause, person.
Counted = tuple[int, str, str, float, str, str]
CountRow = tuple[int | str, ...]  # under COLUMNS
CauseOfPerson = tuple[str, str]

# groups of fewer people, and causes of fewer readings in a group, are merged before they are given
# away
LEAST_PEOPLE, LEAST_READINGS = 5, 3
COLUMNS = ("year", "kind", "north", "declination_deg", "cause", "readings", "of_readings", "people")


@dataclass(frozen=True)
class Share:
    """A share of readings with its 95 % interval."""

    hits: int
    number: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself, 0 of nothing."""
        return self.hits / self.number if self.number else 0.0


def shares(verdict_causes: Sequence[str]) -> dict[str, Share]:
    """The share of each mistake in the verdicts of a class, by code."""
    counts = Counter(code for cause in verdict_causes for code in causes.mistakes(cause))
    number = len(verdict_causes)
    return {
        code: Share(hits, number, *cohort.share_interval(hits, number))
        for code, hits in counts.items()
    }


def trend(first: Share, last: Share) -> str:
    """What can be said of a share between two classes: "falling" or "rising" where the intervals
    lie apart, else "steady".
    """
    if last.high < first.low:
        return "falling"
    return "rising" if last.low > first.high else "steady"


def station_biases(
    diagnosis: Diagnosis, answers: Sequence[Answer], first_answers: Iterable[Answer]
) -> dict[str, tuple[float, float]]:
    """What the readings of a class say alone of each station against its first key, as {code:
    (degrees, error)}.

    Corrections made since are added back; a fault that began or ended while the class was held is
    the day's and not the station's.
    """
    before = {answer.task: answer for answer in first_answers}
    moved_deg: dict[str, list[float]] = {}
    for answer in answers:
        first = before.get(answer.task)
        if first and reads_needle(answer) and answer.target == first.target:
            turned_deg = difference(answer.bearings_deg["true"], first.bearings_deg["true"])
            moved_deg.setdefault(answer.station, []).append(turned_deg)
    return {
        station: (
            bias.seen_deg + min(moved_deg.get(station, [0.0]), key=abs),
            bias.seen_error_deg,
        )
        for station, bias in diagnosis.stations.items()
        if bias.since is None and bias.until is None
    }


def counts_without_names(readings: Iterable[Counted]) -> list[CountRow]:
    """Rows under COLUMNS from (year, kind, north, declination in degrees, cause, person) of each
    reading.

    Groups are (year, kind, north, declination to five degrees). Groups of fewer than LEAST_PEOPLE
    people are merged into one with "merged" in their place, which is left out if it is still too
    small; causes of fewer than LEAST_READINGS readings in a group become "merged".
    """
    groups: dict[tuple[int | str, ...], list[CauseOfPerson]] = {}
    for year, kind, north, declination_deg, cause, person in readings:
        group = (year, kind, north, 5 * round(declination_deg / 5.0))
        groups.setdefault(group, []).append((cause, person))
    merged = [
        pair for members in groups.values() if _people(members) < LEAST_PEOPLE for pair in members
    ]
    kept = {group: members for group, members in groups.items() if _people(members) >= LEAST_PEOPLE}
    if _people(merged) >= LEAST_PEOPLE:
        kept["merged", "merged", "merged", "merged"] = merged
    return [
        (*group, cause, number, len(members), _people(members))
        for group, members in sorted(kept.items(), key=str)
        for cause, number in _counts(members)
    ]


def _counts(members: Sequence[CauseOfPerson]) -> list[tuple[str, int]]:
    """How often each cause stands in a group, by code, the rare ones merged."""
    counts = Counter(cause for cause, _ in members)
    often = {cause: number for cause, number in counts.items() if number >= LEAST_READINGS}
    rare = sum(number for number in counts.values() if number < LEAST_READINGS)
    if rare:
        often["merged"] = rare
    return sorted(often.items())


def _people(members: Iterable[CauseOfPerson]) -> int:
    """How many different people are in a group."""
    return len({person for _, person in members})
