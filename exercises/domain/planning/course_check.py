"""What is unfair, unclear or unsafe about a course as a whole, each finding with its numbers and
the smallest changes that cure it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ..earth.angles import wrap
from ..surveying.ground.estimate import Estimate
from ..tasks import key
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of, reads_needle
from ..tasks.site import Site, Task
from . import answer_checks, position_cures
from .answer_checks import chance_of_full_credit
from .cures import cured
from .findings import Finding
from .ground_checks import ground_findings, station_findings
from .hazards import Hazard, crossed
from .measures import Measures, measure
from .surroundings import Surroundings
from .twice import asked_twice, given_away
from .visibility import view
from .walking import Walk

# of the dial without an answer: more leaves a quarter untouched; common practice, no source
WIDEST_GAP_DEG = 150.0
ENOUGH_TASKS = 3  # from which the dial and the habits of a course are worth a word
# a walk this much longer than need be is worth a word; common practice, no source
LONGER_WALK, LONGER_BY_M = 1.25, 20.0
UNPROVABLE = "convergence_ignored"  # too small to be proved anywhere: no fault of a course


def findings(answers: Sequence[Answer]) -> list[Finding]:
    """All findings on the answers of a course by themselves, task by task. What the ground says as
    well: `findings_on_site`.
    """
    if not answers:
        return [Finding("no_tasks")]
    each = [finding for answer in answers for finding in answer_checks.answer_findings(answer)]
    return [*each, *_offset_hidden(answers)]


def findings_on_site(
    tasks: Sequence[Task],
    site: Site,
    on: datetime.date,
    hazards: Sequence[Hazard] = (),
    bent: Mapping[str, Estimate] = MappingProxyType({}),
    measures: Measures | None = None,
) -> list[Finding]:
    """All findings on a course on its site for a date, dangers first, with the changes that cure
    them; `bent` are the stations that were found at fault, `measures` those of the course, where
    they are known already. Raises what `key.compute` raises.
    """
    answers = key.compute(tasks, site, on)
    if not answers:
        return findings(answers)
    ground, measures = (
        Surroundings(site, hazards, bent),
        measures or measure(answers, site, hazards),
    )
    whole = [
        *position_cures.with_mends(findings(answers), tasks, answers, site, hazards),
        *(finding for answer in answers for finding in ground_findings(answer, ground)),
        *_as_a_whole(answers, measures),
        *_walk(measures.walk, site, hazards),
        *station_findings(ground, [answer.station for answer in answers]),
    ]
    whole.sort(key=lambda finding: -finding.severity)
    return cured(whole, tasks, answers, measures.walk, ground, on)


def _offset_hidden(answers: Sequence[Answer]) -> Iterator[Finding]:
    """A course that never asks magnetic cannot tell an offset of the compass from a declination
    left out.
    """
    needle = [answer for answer in answers if reads_needle(answer)]
    if needle and all(answer.north != "magnetic" for answer in needle):
        yield Finding("offset_hides")


def _as_a_whole(answers: Sequence[Answer], measures: Measures) -> Iterator[Finding]:
    """The dial, the causes, the twins."""
    yield from _bunched(measures)
    yield from _one_station(answers)
    yield from given_away(answers)
    yield from _nothing_measured(answers)
    yield from _sought_on_map(answers)
    yield from asked_twice(answers)
    for twins in measures.twins:
        values = {
            "one": twins.one,
            "other": twins.other,
            "apart_deg": twins.apart_deg,
            "near": twins.near,
        }
        yield Finding("copied_answer_passes", twins.other, values)
    weak = tuple(cause for cause in measures.weak_habits if cause != UNPROVABLE)
    if len(answers) >= ENOUGH_TASKS and weak:
        yield Finding("habits_hide", values={"habits": weak})


def _bunched(measures: Measures) -> Iterator[Finding]:
    """A part of the dial without an answer."""
    gap = measures.gap
    if gap and len(measures.bearings_deg) >= ENOUGH_TASKS and gap.width_deg > WIDEST_GAP_DEG:
        values = {
            "width_deg": gap.width_deg,
            "from_deg": gap.from_deg,
            "to_deg": gap.to_deg,
            "middle_deg": wrap(gap.from_deg + gap.width_deg / 2),
        }
        yield Finding("bunched", values=values)


def _one_station(answers: Sequence[Answer]) -> Iterator[Finding]:
    """Needles that are all read on one mark: what bends one there bends them all, and nobody
    knows.
    """
    stations = [answer.station for answer in answers if reads_needle(answer)]
    if len(stations) >= ENOUGH_TASKS and len(set(stations)) == 1:
        yield Finding("one_station", values={"station": stations[0], "number": len(stations)})


def _nothing_measured(answers: Sequence[Answer]) -> Iterator[Finding]:
    """A field half without the map half that it goes on from."""
    for answer in answers:
        line = kind_of(answer.kind).line_gone_on_with(answer)
        if line and not answer.after:
            values = {"station": line[0], "target": line[1]}
            yield Finding("nothing_measured", answer.task, values)


def _sought_on_map(answers: Sequence[Answer]) -> Iterator[Finding]:
    """A place sought that the map has to show for another task."""
    for answer in answers:
        others = [other for other in answers if not _has_letter_for(other, answer)]
        shown = {code: other.task for other in others for code in kind_of(other.kind).on_map(other)}
        for code in kind_of(answer.kind).sought_at(answer):
            if code in shown:
                yield Finding("sought_on_map", answer.task, {"point": code, "other": shown[code]})


def _has_letter_for(measured: Answer, faced: Answer) -> bool:
    """Whether the target of a field half stands on the map with a letter alone, for its map half or
    for another one.
    """
    return bool(faced.after and measured.spot) and measured.target == faced.target


def _walk(walk: Walk, site: Site, hazards: Sequence[Hazard]) -> Iterator[Finding]:
    """A walk that is longer than it need be, stations to which one comes twice, and legs that cross
    a danger.
    """
    is_longer = walk.minutes > LONGER_WALK * walk.best_minutes
    is_long = bool(walk.best_m) and is_longer and walk.length_m - walk.best_m > LONGER_BY_M
    if is_long:
        values = {"length_m": walk.length_m, "best_m": walk.best_m, "order": walk.best}
        yield Finding("long_walk", values=values)
    for station, length_m in walk.again:
        yield Finding("passed_twice", values={"station": station, "length_m": length_m})
    for one, other in dict.fromkeys(zip(walk.stations, walk.stations[1:], strict=False)):
        for hazard in crossed(site.point(one).position, site.point(other).position, hazards):
            values = {"one": one, "other": other, "hazard": hazard.name, "hazard_kind": hazard.kind}
            yield Finding("walk_crosses", values=values)


@dataclass(frozen=True)
class TaskView:
    """A task in the check: chance of full credit under perfect technique, codes of causes that show
    and that hide, and groups of two that look alike.
    """

    answer: Answer
    chance: float
    shows: tuple[str, ...]
    hides: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]


def task_views(answers: Sequence[Answer]) -> list[TaskView]:
    """What each task of a course can show."""
    views = [(answer, view(answer)) for answer in answers]
    return [
        TaskView(answer, chance_of_full_credit(answer), seen.shows, seen.hides, seen.alike)
        for answer, seen in views
    ]
