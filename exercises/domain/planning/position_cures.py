"""Which other known point would mend lines of position most, beside the rest or instead of one."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..earth import geodesy
from ..surveying.position_lines import PositionLine
from ..tasks.answer import Answer
from ..tasks.forms import Place
from ..tasks.kinds import kind_of
from ..tasks.site import Site, Task
from .findings import Finding
from .hazards import Hazard, crossed
from .position_geometry import OFFSET_DEG, CommonError, common_error, major_m

# an ellipse this much shorter, and a triangle this much larger than sound lines leave, are worth
# another point; common practice, no source
SHORTER, OPENED_TIMES = 0.8, 1.5
WORST_TIMES = 1.25  # by which a point that opens the triangle may lengthen the ellipse

Lines = tuple[PositionLine, ...]
Worth = Callable[[Lines, Lines], float]


@dataclass(frozen=True)
class Mend:
    """The known point to take, its true bearing from the place sought, degrees, the one that it
    stands instead of (empty: beside the others), and what it comes to, metres: the longer axis of
    the ellipse, one sigma; the triangle that a compass off by OFFSET_DEG then leaves, the smaller
    of both signs, and that of sound lines.
    """

    point: str
    towards_deg: float
    instead: str
    ellipse_m: float
    triangle_m: float
    usual_m: float


def with_mends(
    findings: Sequence[Finding],
    tasks: Sequence[Task],
    answers: Sequence[Answer],
    site: Site,
    hazards: Sequence[Hazard],
) -> list[Finding]:
    """Findings on lines of position with the known point that mends them most among their values
    (`mend`, a `Mend` or None), the same for all of a task's where one mends them all; the other
    findings as they are.
    """
    asked = {task.label: (task, answer) for task, answer in zip(tasks, answers, strict=True)}

    @functools.cache
    def mend_of(label: str, codes: tuple[str, ...]) -> Mend | None:
        return best([MENDED[code] for code in codes], *asked[label], site, hazards)

    def mended(finding: Finding) -> Finding:
        codes = tuple(one.code for one in findings if one.task == finding.task)
        all_of_it = tuple(code for code in codes if code in MENDED)
        if finding.code not in all_of_it:
            return finding
        mend = mend_of(finding.task, all_of_it) or mend_of(finding.task, (finding.code,))
        return replace(finding, values={**finding.values, "mend": mend})

    return [mended(finding) for finding in findings]


def best(
    worths: Sequence[Worth], task: Task, answer: Answer, site: Site, hazards: Sequence[Hazard]
) -> Mend | None:
    """The known point of the site that makes the lines of a task worth most, by all of some
    measures, if one is worth the trouble by each. No mark to which the straight way crosses a
    danger.
    """
    place = Place.of(answer)
    now = place.position_lines()
    start = site.point(task.station).position
    tried = [
        (math.prod(worth(now, other.lines) for worth in worths), other)
        for other in kind_of(answer.kind).lines_with_another(task, site, answer)
        if not (other.is_stood_on and crossed(start, site.point(other.point).position, hazards))
    ]
    most, other = max(tried, key=lambda found: found[0], default=(0.0, None))
    if other is None or most <= 0.0:
        return None
    towards = geodesy.sight_line(place.position, site.point(other.point).position)
    opened = _least_opened(other.lines)
    return Mend(
        other.point,
        towards.bearing_deg,
        other.instead,
        major_m(other.lines),
        opened.side_m if opened else 0.0,
        opened.usual_m if opened else 0.0,
    )


def _shorter(now: Lines, other: Lines) -> float:
    """By how much other lines shorten the ellipse; 0 where that is not worth another point."""
    times = major_m(other) / major_m(now)
    return 1.0 / times if times < SHORTER else 0.0


def _shorter_than_fewer(now: Lines, other: Lines) -> float:
    """By how much other lines shorten the ellipse; 0 where to leave one out does it as well."""
    fewer = min(major_m(rest) for rest in itertools.combinations(now, len(now) - 1))
    return _shorter(now, other) if major_m(other) < fewer else 0.0


def _opened(now: Lines, other: Lines) -> float:
    """How far a common error opens the triangle of other lines, in triangles of sound ones; 0 where
    it is still hidden or the place less well known.
    """
    if major_m(other) > WORST_TIMES * major_m(now):
        return 0.0
    opened = _least_opened(other)
    times = opened.side_m / opened.usual_m if opened else 0.0
    return times if times > OPENED_TIMES else 0.0


def _least_opened(lines: Lines) -> CommonError | None:
    """What a compass off by OFFSET_DEG does, to the side on which the triangle stays smaller; None
    where it leaves none.
    """
    errors = [common_error(lines, angle_deg) for angle_deg in (OFFSET_DEG, -OFFSET_DEG)]
    drawn = [error for error in errors if error]
    return min(drawn, key=lambda error: error.side_m) if len(drawn) == len(errors) else None


# What is mended of a finding: how much other lines are better than those now, 0 for not at all.
MENDED: dict[str, Worth] = {
    "poor_cut": _shorter,
    "wide_place": _shorter,
    "middle_spoilt": _shorter_than_fewer,
    "danger_circle": _opened,
    "closes_falsely": _opened,
}
