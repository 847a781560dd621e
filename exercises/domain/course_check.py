"""What is unfair or unclear about a course, each finding with its number and the smallest change that cures it."""
import math
from dataclasses import dataclass

from . import budget
from .angles import back, difference, wrap
from .kinds import kind_of
from .words import Words, say, together

FAIR_CHANCE = 0.95  # perfect technique should earn full credit at least this often
LIKELY_SCATTER_DEG = 3.0  # a person's scatter after instruction: 2-4 degrees; common practice, no source


@dataclass(frozen=True)
class Finding:
    """Something found about a task: a stable code, what is so with its number, and what cures it. `task` is empty for a course."""

    code: str
    task: str
    what: Words
    cure: Words


def chance_of_full_credit(answer):
    """How probable it is that perfect technique earns full credit, by the answer's budget and band."""
    return answer.budget.chance_within(answer.band.full_credit_deg)


def findings(answers):
    """All findings on the answers of a course, task by task."""
    if not answers:
        return [Finding("no_tasks", "", say("This course has no tasks."), say("Add at least one task."))]
    found = [finding for answer in answers for check in CHECKS for finding in check(answer)]
    return found + list(_offset_hidden(answers))


def _tolerance_tighter(answer):
    """Full credit narrower than what the budget leaves to perfect technique."""
    chance = chance_of_full_credit(answer)
    if chance < FAIR_CHANCE:
        needed_deg = math.ceil(1.96 * answer.budget.total_deg * 2) / 2
        yield Finding(
            "tolerance_tighter", answer.task,
            say("Full credit within {band:g}° is tighter than the answer's own uncertainty of {uncertainty:.1f}°: "
                "perfect technique earns it {chance:.0%} of the time.",
                band=answer.band.full_credit_deg, uncertainty=answer.budget.total_deg, chance=chance),
            say("Widen the full-credit band to {degrees:g}°.", degrees=needed_deg))


def _target_too_near(answer):
    """A line so short that the survey alone takes a third of the band."""
    survey_deg = answer.budget.degrees("survey", "standing")
    if kind_of(answer.kind).needs_target and survey_deg > answer.band.full_credit_deg / 3.0:
        offset_m = math.tan(math.radians(survey_deg)) * answer.distance_m
        needed_m = offset_m / math.tan(math.radians(answer.band.full_credit_deg / 3.0))
        yield Finding(
            "target_too_near", answer.task,
            say("The target is only {distance:.0f} m away: survey and standing alone turn the line by {degrees:.1f}°.", distance=answer.distance_m, degrees=survey_deg),
            say("Choose a target at least {distance:.0f} m away, or survey both points better.", distance=needed_m))


def _target_within_band(answer):
    """Another target that earns credit too."""
    limit_deg = answer.band.full_credit_deg + LIKELY_SCATTER_DEG
    here_deg = answer.bearings_deg["true"]
    near = [(abs(difference(other.bearing_deg, here_deg)), other.code) for other in answer.others]
    for gap_deg, code in sorted(near):
        if gap_deg <= limit_deg:
            yield Finding(
                "target_within_band", answer.task,
                say("Target {code} lies only {degrees:.0f}° from the answer as seen from here: who sights it may earn credit.", code=code, degrees=gap_deg),
                say("Narrow the band below {degrees:.0f}°, or mark {code} as not visible from {station}.", degrees=gap_deg / 2, code=code, station=answer.station))


def _mistake_hides(answer):
    """Habits whose number falls inside the full-credit band, so that they earn credit and cannot be seen."""
    angle_deg = (answer.norths.declination_deg if answer.north != "grid" else answer.norths.grid_magnetic_deg)
    if kind_of(answer.kind).reads_needle and abs(angle_deg) <= answer.band.full_credit_deg:
        yield Finding(
            "declination_hides", answer.task,
            say("The angle between the norths is {degrees:.1f}° here, inside the band of {band:g}°: leaving it out earns full credit.",
                degrees=abs(angle_deg), band=answer.band.full_credit_deg),
            say("Teach declination on paper, with a map of elsewhere."))
    mirror_gap_deg = abs(difference(wrap(-answer.expected_deg), answer.expected_deg))
    if kind_of(answer.kind).widget == "bearing" and mirror_gap_deg <= answer.band.full_credit_deg + LIKELY_SCATTER_DEG:
        yield Finding(
            "mirror_hides", answer.task,
            say("The answer lies {degrees:.0f}° from north or south: a mirrored reading falls on it.", degrees=mirror_gap_deg / 2),
            say("Choose a target at least 10° from north and south."))
    for other in answer.others:
        if kind_of(answer.kind).needs_target and abs(difference(other.bearing_deg, back(answer.bearings_deg["true"]))) <= LIKELY_SCATTER_DEG:
            yield Finding(
                "reversal_looks_alike", answer.task,
                say("Target {code} lies opposite the answer: a reversed reading cannot be told from sighting {code}.", code=other.code),
                say("Choose a target with nothing opposite it."))


def _model_warns(answer):
    """The declination model's own warning."""
    if answer.warning:
        yield Finding("weak_field", answer.task, answer.warning, say("Expect slow needles, and widen the bands."))


def _offset_hidden(answers):
    """A course that never asks magnetic cannot tell an offset of the compass from a declination left out."""
    needle = [answer for answer in answers if kind_of(answer.kind).reads_needle]
    if needle and all(answer.north != "magnetic" for answer in needle):
        yield Finding(
            "offset_hides", "", say("No task asks for a magnetic bearing: a compass that is off cannot be told from a declination left out."),
            say("Ask at least three bearings in magnetic."))


CHECKS = (_tolerance_tighter, _target_too_near, _target_within_band, _mistake_hides, _model_warns)


def uncertainty_text(answer):
    """The answer's budget in words, largest term first."""
    terms = sorted(answer.budget.terms, key=lambda term: -term.degrees)
    return say("{terms}; together {degrees:.1f}°", degrees=budget.combine(term.degrees for term in terms),
               terms=together([say("{term} {degrees:.1f}°", term=budget.TERM_WORDS[term.name], degrees=term.degrees) for term in terms], ", "))
