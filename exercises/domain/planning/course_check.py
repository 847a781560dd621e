"""What is unfair, unclear or unsafe about a course, each finding with its number, the smallest
change that cures it, and the change itself where one can be made.
"""

import functools
import itertools
import math
from dataclasses import dataclass, replace

from ..diagnosis import places
from ..earth import geodesy
from ..earth.angles import back, difference, wrap
from ..earth.uncertainty import combine
from ..mistakes.causes import REGISTER
from ..surveying.position_lines import LEAST_CUT_DEG, cut
from ..tasks import key
from ..tasks.bands import Band
from ..tasks.budget import TERM_WORDS
from ..tasks.kinds import is_place, kind_of
from ..tasks.kinds.fix import FEWEST_SPOTS
from ..tasks.kinds.map_bearing import MapBearing
from ..words import Words, say, together
from .hazards import KINDS as HAZARD_KINDS, astray, crossed, too_near
from .measures import measure, twins, walk
from .visibility import SCATTER_DEG, view

FAIR_CHANCE = 0.95  # perfect technique should earn full credit at least this often
# of the dial without an answer: more leaves a quarter untouched; common practice, no source
WIDEST_GAP_DEG = 150.0
MOST_TARGETS = 20
# a walk this much longer than need be is worth a word; common practice, no source
LONGER_WALK = 1.25


@dataclass(frozen=True)
class Change:
    """A change of a course that cures a finding: `verb` is "widen", "retarget", "drop" or
    "reorder"; the rest is what it needs.
    """

    verb: str
    task: str
    words: Words
    band: Band | None = None
    target: str = ""
    order: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """Something found: a stable code, what is so with its number, what cures it, and the changes
    that do. `task` is empty for a course, `point` for a task.
    """

    code: str
    task: str
    what: Words
    cure: Words
    changes: tuple[Change, ...] = ()
    point: str = ""


def chance_of_full_credit(answer):
    """How probable it is that perfect technique earns full credit, by the answer's budget and band;
    of a place, that it ends nearest to the right spot.
    """
    if is_place(answer):
        return places.chance_of_right_spot(answer)
    return answer.budget.chance_within(answer.band.full_credit_deg)


def findings(answers):
    """All findings on the answers of a course by themselves, task by task. What the ground says as
    well: `findings_on_site`.
    """
    if not answers:
        return [
            Finding("no_tasks", "", say("This course has no tasks."), say("Add at least one task."))
        ]
    found = [
        finding for answer in answers for check in _checks(answer) for finding in check(answer)
    ]
    return found + list(_offset_hidden(answers))


def findings_on_site(tasks, site, on, hazards=()):
    """All findings on a course on its site for a date, with the changes that cure them. Raises what
    `key.compute` raises.
    """
    answers = key.compute(tasks, site, on)
    found = findings(answers)
    if not answers:
        return found
    measures = measure(answers, site)
    found = [
        *found,
        *(finding for answer in answers for finding in _astray(answer, site, hazards)),
        *_as_a_whole(answers, measures),
        *_walk(measures.walk, site, hazards),
        *station_findings(site, hazards, [answer.station for answer in answers]),
    ]
    better = functools.cache(lambda task: better_target(task, answers, site, on, hazards))
    return [
        replace(finding, changes=tuple(_changes(finding, tasks, answers, site, better)))
        for finding in found
    ]


def station_findings(site, hazards, stations=None):
    """Stations nearer to things that bend a needle than the published distances, of those named or
    of all.
    """
    for near in too_near(site, hazards):
        if stations is None or near.point in stations:
            yield Finding(
                "hazard_near",
                "",
                say(
                    "Station {station} is {distance:.0f} m from “{hazard}” ({kind}): a compass "
                    "should be {least:.0f} m away.",
                    station=near.point,
                    distance=near.distance_m,
                    hazard=near.hazard.name,
                    kind=HAZARD_KINDS[near.hazard.kind].name,
                    least=near.keep_away_m,
                ),
                say(
                    "Move the mark {metres:.0f} m further away, or check it with fore and back "
                    "bearings.",
                    metres=math.ceil(near.keep_away_m - near.distance_m),
                ),
                point=near.point,
            )


def _tolerance_tighter(answer):
    """Full credit narrower than what the budget leaves to perfect technique."""
    chance = chance_of_full_credit(answer)
    if chance < FAIR_CHANCE:
        yield Finding(
            "tolerance_tighter",
            answer.task,
            say(
                "Full credit within {band:g}° is tighter than the answer's own uncertainty of "
                "{uncertainty:.1f}°: "
                "perfect technique earns it {chance:.0%} of the time.",
                band=answer.band.full_credit_deg,
                uncertainty=answer.budget.total_deg,
                chance=chance,
            ),
            say("Widen the full-credit band to {degrees:g}°.", degrees=fair_band_deg(answer)),
        )


def fair_band_deg(answer):
    """The narrowest full-credit band, in half degrees, in which perfect technique earns full credit
    often enough.
    """
    degrees = math.ceil(1.96 * answer.budget.total_deg * 2) / 2
    return degrees if answer.budget.chance_within(degrees) >= FAIR_CHANCE else degrees + 0.5


def _target_too_near(answer):
    """A line so short that the survey alone takes a third of the band."""
    survey_deg = answer.budget.degrees("survey", "standing")
    if kind_of(answer.kind).needs_target and survey_deg > answer.band.full_credit_deg / 3.0:
        offset_m = math.tan(math.radians(survey_deg)) * answer.distance_m
        needed_m = offset_m / math.tan(math.radians(answer.band.full_credit_deg / 3.0))
        yield Finding(
            "target_too_near",
            answer.task,
            say(
                "The target is only {distance:.0f} m away: survey and standing alone turn the "
                "line by {degrees:.1f}°.",
                distance=answer.distance_m,
                degrees=survey_deg,
            ),
            say(
                "Choose a target at least {distance:.0f} m away, or survey both points better.",
                distance=needed_m,
            ),
        )


def _target_within_band(answer):
    """Another target that earns credit too."""
    limit_deg = answer.band.full_credit_deg + SCATTER_DEG
    here_deg = answer.bearings_deg["true"]
    near = [(abs(difference(other.bearing_deg, here_deg)), other.code) for other in answer.others]
    for gap_deg, code in sorted(near):
        if gap_deg <= limit_deg:
            yield Finding(
                "target_within_band",
                answer.task,
                say(
                    "Target {code} lies only {degrees:.0f}° from the answer as seen from here: "
                    "who sights it may earn credit.",
                    code=code,
                    degrees=gap_deg,
                ),
                say(
                    "Narrow the band below {degrees:.0f}°, or mark {code} as not visible from "
                    "{station}.",
                    degrees=gap_deg / 2,
                    code=code,
                    station=answer.station,
                ),
            )


def _mistake_hides(answer):
    """Habits whose number falls inside the full-credit band, so that they earn credit and cannot be
    seen.
    """
    angle_deg = (
        answer.norths.declination_deg if answer.north != "grid" else answer.norths.grid_magnetic_deg
    )
    if kind_of(answer.kind).reads_needle and abs(angle_deg) <= answer.band.full_credit_deg:
        yield Finding(
            "declination_hides",
            answer.task,
            say(
                "The angle between the norths is {degrees:.1f}° here, inside the band of "
                "{band:g}°: leaving it out earns full credit.",
                degrees=abs(angle_deg),
                band=answer.band.full_credit_deg,
            ),
            say("Teach declination on paper, with a map of elsewhere."),
        )
    mirror_gap_deg = abs(difference(wrap(-answer.expected_deg), answer.expected_deg))
    if (
        kind_of(answer.kind).widget == "bearing"
        and mirror_gap_deg <= answer.band.full_credit_deg + SCATTER_DEG
    ):
        yield Finding(
            "mirror_hides",
            answer.task,
            say(
                "The answer lies {degrees:.0f}° from north or south: a mirrored reading falls on "
                "it.",
                degrees=mirror_gap_deg / 2,
            ),
            say("Choose a target at least 10° from north and south."),
        )
    for other in answer.others:
        if (
            kind_of(answer.kind).needs_target
            and abs(difference(other.bearing_deg, back(answer.bearings_deg["true"]))) <= SCATTER_DEG
        ):
            yield Finding(
                "reversal_looks_alike",
                answer.task,
                say(
                    "Target {code} lies opposite the answer: a reversed reading cannot be told "
                    "from sighting {code}.",
                    code=other.code,
                ),
                say("Choose a target with nothing opposite it."),
            )


def _model_warns(answer):
    """The declination model's own warning."""
    if answer.warning:
        yield Finding(
            "weak_field",
            answer.task,
            answer.warning,
            say("Expect slow needles, and widen the bands."),
        )


def _offset_hidden(answers):
    """A course that never asks magnetic cannot tell an offset of the compass from a declination
    left out.
    """
    needle = [answer for answer in answers if kind_of(answer.kind).reads_needle]
    if needle and all(answer.north != "magnetic" for answer in needle):
        yield Finding(
            "offset_hides",
            "",
            say(
                "No task asks for a magnetic bearing: a compass that is off cannot be told from "
                "a declination left out."
            ),
            say("Ask at least three bearings in magnetic."),
        )


def _poor_cut(answer):
    """Lines that meet at an angle at which they hardly say where."""
    if (
        answer.where.lines
        and (
            best_deg := max(
                cut(one, other) for one, other in itertools.combinations(answer.where.lines, 2)
            )
        )
        < LEAST_CUT_DEG
    ):
        yield Finding(
            "poor_cut",
            answer.task,
            say(
                "The lines cut at {degrees:.0f}° at best: along them sound bearings leave ± "
                "{metres:.0f} m.",
                degrees=best_deg,
                metres=answer.where.ellipse.major_m,
            ),
            say(
                "Choose known points that lie nearer to a right angle as seen from there; "
                "{least:.0f}° is the least.",
                least=LEAST_CUT_DEG,
            ),
        )


def _few_spots(answer):
    """So few letters on the map that guessing pays."""
    if answer.where.lines and len(answer.where.spots) < FEWEST_SPOTS:
        yield Finding(
            "few_spots",
            answer.task,
            say(
                "The map has room for {number} letters only: who guesses is often right.",
                number=len(answer.where.spots),
            ),
            say("Narrow the part-credit band, or choose known points farther away."),
        )


def _spot_too_near(answer):
    """Spots so near to the right one, for the length of the way, that sound technique names
    another.
    """
    chance = chance_of_full_credit(answer)
    if chance < FAIR_CHANCE:
        where = answer.where
        other = min(
            (spot for spot in where.spots if spot.code != where.right),
            key=lambda spot: math.hypot(spot.east_m - where.east_m, spot.north_m - where.north_m),
        )
        yield Finding(
            "spot_too_near",
            answer.task,
            say(
                "Sound technique ends nearest to {right} only {chance:.0%} of the time: {other} "
                "is {metres:.0f} m away, and the way leaves ± {ellipse:.0f} m.",
                right=where.right,
                chance=chance,
                other=other.code,
                metres=math.hypot(other.east_m - where.east_m, other.north_m - where.north_m),
                ellipse=where.ellipse.major_m,
            ),
            say("Choose a target with nothing near it, or shorten the legs.")
            if where.legs
            else say("Choose known points that cut better, or a narrower part-credit band."),
        )


def _nothing_measured(answers):
    """A field half without the map half that it goes on from."""
    for answer in answers:
        if kind_of(answer.kind).goes_on and not answer.after:
            yield Finding(
                "nothing_measured",
                answer.task,
                say("Nobody has measured this line when task {task} comes.", task=answer.task),
                say(
                    "Put a task “{kind}” from {station} to {target} before it.",
                    kind=MapBearing.name,
                    station=answer.station,
                    target=answer.target,
                ),
            )


def _sought_on_map(answers):
    """A place sought that the map has to show for another task."""
    measured = {
        code: answer.task for answer in answers for code in kind_of(answer.kind).on_map(answer)
    }
    for answer in answers:
        for code in kind_of(answer.kind).sought_at(answer):
            if code in measured:
                yield Finding(
                    "sought_on_map",
                    answer.task,
                    say(
                        "The map has to show {point} for task {other}, and task {task} asks "
                        "where it is.",
                        point=code,
                        other=measured[code],
                        task=answer.task,
                    ),
                    say("Measure another line on the map, or ask for another position."),
                )


CHECKS = (_tolerance_tighter, _target_too_near, _target_within_band, _mistake_hides, _model_warns)
CHECKS_OF_PLACES = (_poor_cut, _few_spots, _spot_too_near, _model_warns)


def _checks(answer):
    return CHECKS_OF_PLACES if is_place(answer) else CHECKS


def _astray(answer, site, hazards):
    """Dangers that a walk along the bearing, or along what mistakes make of it, would lead into."""
    for way in astray(answer, site.point(answer.station).position, hazards):
        mistake = REGISTER[way.cause].name
        what = (
            say(
                "The line itself leads into “{hazard}” ({kind}) after {distance:.0f} m.",
                hazard=way.hazard.name,
                kind=HAZARD_KINDS[way.hazard.kind].name,
                distance=way.distance_m,
            )
            if way.cause == "ok"
            else say(
                "Who makes the mistake “{mistake}” walks {bearing:.0f}° true, into “{hazard}” "
                "({kind}) after {distance:.0f} m.",
                mistake=mistake,
                bearing=way.bearing_deg,
                hazard=way.hazard.name,
                kind=HAZARD_KINDS[way.hazard.kind].name,
                distance=way.distance_m,
            )
        )
        yield Finding(
            "leads_into_danger",
            answer.task,
            what,
            say("Choose another target, or have people face it and not walk."),
        )


def _as_a_whole(answers, measures):
    """The dial, the causes, the twins."""
    if len(measures.bearings_deg) >= 3 and measures.gap.width_deg > WIDEST_GAP_DEG:
        yield Finding(
            "bunched",
            "",
            say(
                "The answers leave {degrees:.0f}° of the dial empty, from {begin:.0f}° to "
                "{end:.0f}°.",
                degrees=measures.gap.width_deg,
                begin=measures.gap.from_deg,
                end=measures.gap.to_deg,
            ),
            say(
                "Add a task with an answer near {degrees:.0f}°.",
                degrees=wrap(measures.gap.from_deg + measures.gap.width_deg / 2),
            ),
        )
    yield from _given_away(answers)
    yield from _nothing_measured(answers)
    yield from _sought_on_map(answers)
    yield from _asked_twice(answers)
    for pair in measures.twins:
        what = (
            say(
                "The answers of tasks {one} and {other} lie {degrees:.0f}° apart, and the people "
                "there are near each other: one can be copied for the other.",
                one=pair.one,
                other=pair.other,
                degrees=pair.apart_deg,
            )
            if pair.near
            else say(
                "The answers of tasks {one} and {other} lie {degrees:.0f}° apart: one can be "
                "copied for the other.",
                one=pair.one,
                other=pair.other,
                degrees=pair.apart_deg,
            )
        )
        yield Finding(
            "copied_answer_passes", pair.other, what, say("Choose another target for one of them.")
        )
    if len(answers) >= 3 and (
        weak := [cause for cause in measures.weak_habits if cause != "convergence_ignored"]
    ):
        yield Finding(
            "habits_hide",
            "",
            say(
                "One person's readings of this course could not prove these habits: {habits}.",
                habits=together([REGISTER[cause].name for cause in weak], ", "),
            ),
            say("Ask more bearings, in magnetic and in true, or teach these on paper."),
        )


def _given_away(answers):
    """A bearing that one task asks for and another gives: who follows T1 along 074 need not sight
    it.
    """
    given = {
        (answer.station, answer.target): answer.task
        for answer in answers
        if kind_of(answer.kind).needs_target
        and kind_of(answer.kind).gives_bearing
        and answer.given_deg is not None
    }
    for answer in answers:
        if (
            kind_of(answer.kind).widget == "bearing"
            and answer.given_deg is None
            and (answer.station, answer.target) in given
        ):
            yield Finding(
                "given_away",
                answer.task,
                say(
                    "Task {other} gives the bearing that task {task} asks for: {station} to "
                    "{target}.",
                    other=given[answer.station, answer.target],
                    task=answer.task,
                    station=answer.station,
                    target=answer.target,
                ),
                say("Choose another target for one of them."),
            )


def _asked_twice(answers):
    """Places that are asked twice with the same answer: who has heard it need not work."""
    first = {}
    for answer in filter(is_place, answers):
        before = first.setdefault((answer.kind, answer.where.right), answer.task)
        if before != answer.task:
            yield Finding(
                "copied_answer_passes",
                answer.task,
                say(
                    "Tasks {one} and {other} have the same answer {spot}: one can be copied for "
                    "the other.",
                    one=before,
                    other=answer.task,
                    spot=answer.where.right,
                ),
                say("Ask for another place in one of them."),
            )


def _walk(walk, site, hazards):
    """A walk that is longer than it need be, and legs that cross a danger."""
    if (
        walk.best_m
        and walk.length_m > LONGER_WALK * walk.best_m
        and walk.length_m - walk.best_m > 20
    ):
        yield Finding(
            "long_walk",
            "",
            say(
                "The walk from station to station is {length:.0f} m; in the order {order} it is "
                "{best:.0f} m.",
                length=walk.length_m,
                best=walk.best_m,
                order=" ".join(walk.best),
            ),
            say("Put the tasks in that order."),
        )
    for one, other in dict.fromkeys(zip(walk.stations, walk.stations[1:], strict=False)):
        for hazard in crossed(site.point(one).position, site.point(other).position, hazards):
            yield Finding(
                "walk_crosses",
                "",
                say(
                    "The straight way from {one} to {other} crosses “{hazard}” ({kind}).",
                    one=one,
                    other=other,
                    hazard=hazard.name,
                    kind=HAZARD_KINDS[hazard.kind].name,
                ),
                say("Show people the safe way round, or leave one of the stations out."),
            )


def _changes(finding, tasks, answers, site, better):
    """The changes that cure a finding, the smallest first."""
    if finding.code == "long_walk":
        order = walk([task.station for task in tasks], site).best
        yield Change(
            "reorder",
            "",
            say("Put the tasks in that order"),
            order=tuple(
                task.label for task in sorted(tasks, key=lambda task: order.index(task.station))
            ),
        )
    task = next((task for task in tasks if task.label == finding.task), None)
    if task is None:
        return
    if finding.code == "tolerance_tighter":
        degrees = fair_band_deg(next(answer for answer in answers if answer.task == task.label))
        band = (
            Band(
                degrees,
                max(
                    degrees,
                    round(2 * task.band.part_credit_deg * degrees / task.band.full_credit_deg) / 2,
                ),
            )
            if degrees <= 90
            else None
        )
        if band:
            yield Change(
                "widen",
                task.label,
                say(
                    "Widen to {full:g}°, {part:g}°",
                    full=band.full_credit_deg,
                    part=band.part_credit_deg,
                ),
                band=band,
            )
    if finding.code in BETTER_TARGET and (target := better(task)):
        yield Change(
            "retarget", task.label, say("Ask for {target} instead", target=target), target=target
        )
    if finding.code in (
        *BETTER_TARGET,
        "tolerance_tighter",
        "poor_cut",
        "spot_too_near",
        "nothing_measured",
        "sought_on_map",
    ):
        yield Change("drop", task.label, say("Drop the task"))


BETTER_TARGET = (
    "target_too_near",
    "target_within_band",
    "mirror_hides",
    "reversal_looks_alike",
    "leads_into_danger",
    "copied_answer_passes",
    "given_away",
)


def better_target(task, answers, site, on, hazards):
    """The code of the target seen from a task's station with the fewest findings, if it has fewer
    than the present one; else None.

    `answers` are those of the whole course. At most MOST_TARGETS are tried, the farthest first:
    they are the fairest.
    """
    others = [answer for answer in answers if answer.task != task.label]
    taken = {(answer.station, answer.target) for answer in others} | {(task.station, task.target)}
    here = site.point(task.station).position
    codes = sorted(
        (
            code
            for code in site.choices_from(task.station)
            if code != task.station and (task.station, code) not in taken
        ),
        key=lambda code: (-geodesy.apart_m(here, site.point(code).position), code),
    )
    present = _troubles(task, others, site, on, hazards)
    best = min(
        (
            (_troubles(replace(task, target=code, given_deg=None), others, site, on, hazards), code)
            for code in codes[:MOST_TARGETS]
        ),
        default=None,
    )
    return best[1] if best and best[0] < present else None


def _troubles(task, others, site, on, hazards):
    """How many findings concern a task beside the other answers of its course; without end where it
    has no answer.
    """
    try:
        answer = kind_of(task.kind).answer(
            task, site, on, [(other.station, other.target) for other in others if other.target]
        )
    except ValueError:
        return math.inf
    return (
        len(answer_findings(answer, site, hazards))
        + sum(1 for other in others for _ in twins([other, answer], site))
        + len(list(_given_away([*others, answer])))
    )


def answer_findings(answer, site, hazards):
    """The findings on an answer by itself, on its ground."""
    return [
        *(finding for check in _checks(answer) for finding in check(answer)),
        *_astray(answer, site, hazards),
    ]


@dataclass(frozen=True)
class TaskView:
    """A task in the check: chance of full credit under perfect technique, codes of causes that show
    and that hide, and groups of two that look alike.
    """

    answer: object
    chance: float
    shows: tuple[str, ...]
    hides: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]


def task_views(answers):
    """What each task of a course can show."""
    return [
        TaskView(
            answer,
            chance_of_full_credit(answer),
            (seen := view(answer)).shows,
            seen.hides,
            seen.alike,
        )
        for answer in answers
    ]


def uncertainty_text(answer):
    """The answer's budget in words, largest term first; of a place its ellipse."""
    if is_place(answer):
        ellipse = answer.where.ellipse
        return say(
            "one sigma ± {major:.0f} m along {azimuth:.0f}°, ± {minor:.0f} m across",
            major=ellipse.major_m,
            azimuth=ellipse.azimuth_deg,
            minor=ellipse.minor_m,
        )
    terms = sorted(answer.budget.terms, key=lambda term: -term.degrees)
    return say(
        "{terms}; together {degrees:.1f}°",
        degrees=combine(term.degrees for term in terms),
        terms=together(
            [
                say("{term} {degrees:.1f}°", term=TERM_WORDS[term.name], degrees=term.degrees)
                for term in terms
            ],
            ", ",
        ),
    )
