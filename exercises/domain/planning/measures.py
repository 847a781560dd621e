"""What a course is as a whole: its bearings round the dial, the causes it can show, answers that
can be copied, the walk from station to station.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..earth import geodesy
from ..earth.angles import wrap
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from ..tasks.site import Site
from .hazards import Hazard
from .visibility import PROVABLE, habit_strengths, view
from .walking import Walk, walk

# people at marks this near hear one another; common practice, no source
HEARING_M = 15.0


@dataclass(frozen=True)
class Gap:
    """The widest part of the dial without an answer: from, to (clockwise), degrees, and how wide it
    is.
    """

    from_deg: float
    to_deg: float
    width_deg: float


@dataclass(frozen=True)
class Twins:
    """Two tasks whose answers lie within twice the tolerance of each other, and how near; `near`
    says that the people there can hear each other or come one after the other.
    """

    one: str
    other: str
    apart_deg: float
    near: bool


@dataclass(frozen=True)
class Measures:
    """A course as a whole. `quadrants` counts answers in each quarter from north clockwise;
    `strengths` is `visibility.habit_strengths`.
    """

    bearings_deg: tuple[float, ...]
    quadrants: tuple[int, int, int, int]
    gap: Gap | None
    shows: tuple[str, ...]
    never_shows: tuple[str, ...]
    strengths: dict[str, float]
    twins: tuple[Twins, ...]
    walk: Walk

    @property
    def weak_habits(self) -> tuple[str, ...]:
        """Codes of the habits that one person's readings of the whole course could not prove."""
        return tuple(cause for cause, strength in self.strengths.items() if strength < PROVABLE)


def measure(answers: Sequence[Answer], site: Site, hazards: Sequence[Hazard] = ()) -> Measures:
    """The measures of a course on a site. Answers in order; bearings are the asked ones."""
    dial = (kind_of(answer.kind).dial_bearing_deg(answer) for answer in answers)
    bearings = [bearing_deg for bearing_deg in dial if bearing_deg is not None]
    views = [view(answer) for answer in answers]
    possible = dict.fromkeys(seen.cause for each in views for seen in each.seen)
    shows = dict.fromkeys(cause for each in views for cause in each.shows)
    return Measures(
        bearings_deg=tuple(bearings),
        quadrants=_quadrants(bearings),
        gap=widest_gap(bearings),
        shows=tuple(cause for cause in possible if cause in shows),
        never_shows=tuple(cause for cause in possible if cause not in shows),
        strengths=habit_strengths(answers),
        twins=tuple(twins(answers, site)),
        walk=walk([answer.station for answer in answers], site, hazards),
    )


def _quadrants(bearings_deg: Sequence[float]) -> tuple[int, int, int, int]:
    """How many bearings lie in each quarter from north clockwise."""
    quarters = [int(bearing_deg // 90) for bearing_deg in bearings_deg]
    return quarters.count(0), quarters.count(1), quarters.count(2), quarters.count(3)


def widest_gap(bearings_deg: Iterable[float]) -> Gap | None:
    """The widest part of the dial between neighbouring bearings, or None without any.

    >>> widest_gap([350, 10, 100])
    Gap(from_deg=100.0, to_deg=350.0, width_deg=250.0)
    """
    ordered = sorted({round(wrap(bearing), 6) for bearing in bearings_deg})
    if not ordered:
        return None
    pairs = list(zip(ordered, ordered[1:] + ordered[:1], strict=True))
    return max(
        (Gap(one, other, wrap(other - one) or 360.0) for one, other in pairs),
        key=lambda gap: gap.width_deg,
    )


def twins(answers: Sequence[Answer], site: Site) -> Iterator[Twins]:
    """Pairs of tasks in which one answer, copied, would earn credit at the other."""
    for (index, one), (later, other) in itertools.combinations(enumerate(answers), 2):
        apart_deg = copied_apart_deg(one, other)
        if apart_deg is not None:
            near = later - index == 1 or _are_in_hearing(one.station, other.station, site)
            yield Twins(one.task, other.task, apart_deg, near)


def copied_apart_deg(one: Answer, other: Answer) -> float | None:
    """How far apart two answers lie of which one, copied, would earn credit for the other, degrees;
    None where it would not.
    """
    apart_deg = one.form.copy_gap_deg(one, other)
    limit_deg = 2.0 * max(one.band.full_credit_deg, other.band.full_credit_deg)
    return apart_deg if apart_deg is not None and apart_deg <= limit_deg else None


def _are_in_hearing(one: str, other: str, site: Site) -> bool:
    """Whether people at two marks hear one another."""
    apart_m = geodesy.apart_m(site.point(one).position, site.point(other).position)
    return apart_m <= HEARING_M
