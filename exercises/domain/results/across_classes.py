"""What several classes say together: shares of causes over time, the stations' biases pooled, and
counts without names.
"""

from collections import Counter
from dataclasses import dataclass

from ..earth.angles import difference
from ..mistakes import causes
from ..tasks.kinds import reads_needle
from . import cohort

# groups of fewer people, and causes of fewer readings in a group, are merged before they are given
# away
LEAST_PEOPLE, LEAST_READINGS = (
    5,
    3,
)
COLUMNS = ("year", "kind", "north", "declination_deg", "cause", "readings", "of_readings", "people")


@dataclass(frozen=True)
class Share:
    """A share of readings with its 95 % interval."""

    hits: int
    number: int
    low: float
    high: float

    @property
    def share(self):
        """The share itself, 0 of nothing."""
        return self.hits / self.number if self.number else 0.0


def shares(verdict_causes):
    """The share of each mistake in the verdicts of a class, by code."""
    counts, number = (
        Counter(code for cause in verdict_causes for code in causes.mistakes(cause)),
        len(verdict_causes),
    )
    return {
        code: Share(hits, number, *cohort.share_interval(hits, number))
        for code, hits in counts.items()
    }


def trend(first, last):
    """What can be said of a share between two classes: "falling" or "rising" where the intervals
    lie apart, else "steady".
    """
    return "falling" if last.high < first.low else "rising" if last.low > first.high else "steady"


def station_biases(found, answers, first_answers):
    """What the readings of a class say alone of each station against its first key, as {code:
    (degrees, error)}.

    Corrections made since are added back; a fault that began or ended while the class was held is
    the day's and not the station's.
    """
    before, moved = {answer.task: answer for answer in first_answers}, {}
    for answer in answers:
        if (
            answer.task in before
            and reads_needle(answer)
            and answer.target == before[answer.task].target
        ):
            moved.setdefault(answer.station, []).append(
                difference(answer.bearings_deg["true"], before[answer.task].bearings_deg["true"])
            )
    return {
        code: (
            bias.seen_deg + (min(moved[code], key=abs) if code in moved else 0.0),
            bias.seen_error_deg,
        )
        for code, bias in found.stations.items()
        if bias.since is None and bias.until is None
    }


def counts_without_names(readings):
    """Rows under COLUMNS from (year, kind, north, declination in degrees, cause, person) of each
    reading.

    Groups are (year, kind, north, declination to five degrees). Groups of fewer than LEAST_PEOPLE
    people are merged into one with "merged" in their place, which is left out if it is still too
    small; causes of fewer than LEAST_READINGS readings in a group become "merged".
    """
    groups = {}
    for year, kind, north, declination_deg, cause, person in readings:
        groups.setdefault((year, kind, north, 5 * round(declination_deg / 5.0)), []).append(
            (cause, person)
        )
    merged = [pair for own in groups.values() if _people(own) < LEAST_PEOPLE for pair in own]
    kept = {group: own for group, own in groups.items() if _people(own) >= LEAST_PEOPLE}
    if _people(merged) >= LEAST_PEOPLE:
        kept["merged", "merged", "merged", "merged"] = merged
    rows = []
    for group, own in sorted(kept.items(), key=str):
        counts = Counter(cause for cause, _ in own)
        rare = sum(number for number in counts.values() if number < LEAST_READINGS)
        told = {cause: number for cause, number in counts.items() if number >= LEAST_READINGS} | (
            {"merged": rare} if rare else {}
        )
        rows += [
            (*group, cause, number, len(own), _people(own))
            for cause, number in sorted(told.items())
        ]
    return rows


def _people(own):
    return len({person for _, person in own})
