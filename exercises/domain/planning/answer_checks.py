"""What is unfair or unclear about the answer of one task by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..diagnosis.places import chance_of_right_spot
from ..earth.angles import back, difference, wrap
from ..surveying.position_lines import LEAST_CUT_DEG
from ..tasks import wants
from ..tasks.answer import Answer
from ..tasks.forms import Place
from ..tasks.forms.base import CIRCLE, PLANE
from ..tasks.forms.direction import Direction
from ..tasks.kinds import kind_of, reads_needle
from . import position_geometry
from .findings import Finding
from .visibility import SCATTER_DEG, hidden_share

FAIR_CHANCE = 0.95  # perfect technique should earn full credit at least this often
# a dial marked every 2 degrees is read to one; common practice, no source
NARROWEST_DEG = 1.0
# a band that takes more than this asks nothing; the widest that is published, for the centre-hold,
# is 10 (`tasks.bands`), and twice that is common practice, no source
WIDEST_DEG = 20.0
LEFT_OUT = "declination_ignored"
SURVEY_SHARE = 3.0  # a line whose survey takes more than a third of the band is too short


def chance_of_full_credit(answer: Answer) -> float:
    """How probable it is that perfect technique earns full credit, by the answer's budget and its
    band or sector; of a place, that it ends nearest to the right spot.
    """
    return CHANCES[answer.form.space](answer)


def _chance_of_direction(answer: Answer) -> float:
    """That perfect technique reads or faces what earns full credit."""
    return Direction.of(answer).chance_sound(answer)


CHANCES = {CIRCLE: _chance_of_direction, PLANE: chance_of_right_spot}


def answer_findings(answer: Answer) -> list[Finding]:
    """The findings on an answer by itself."""
    return [finding for check in CHECKS[answer.form.space] for finding in check(answer)]


def _tolerance_tighter(answer: Answer) -> Iterator[Finding]:
    """Full credit narrower than what the budget leaves to perfect technique."""
    chance = chance_of_full_credit(answer)
    if answer.form.in_figures and chance < FAIR_CHANCE:
        values = {
            "band_deg": answer.band.full_credit_deg,
            "uncertainty_deg": answer.budget.total_deg,
            "chance": chance,
            "fair_band_deg": fair_band_deg(answer),
        }
        yield Finding("tolerance_tighter", answer.task, values)


def _sector_narrow(answer: Answer) -> Iterator[Finding]:
    """A target whose neighbour stands so near that perfect technique may face the neighbour."""
    chance = chance_of_full_credit(answer)
    here_deg = answer.bearings_deg["true"]
    gaps = [(abs(difference(other.bearing_deg, here_deg)), other.code) for other in answer.others]
    if not answer.form.in_figures and gaps and chance < FAIR_CHANCE:
        gap_deg, code = min(gaps)
        values = {
            "code": code,
            "gap_deg": gap_deg,
            "uncertainty_deg": answer.budget.total_deg,
            "chance": chance,
        }
        yield Finding("sector_narrow", answer.task, values)


def fair_band_deg(answer: Answer) -> float:
    """The narrowest full-credit band, in half degrees, in which perfect technique earns full credit
    often enough.
    """
    degrees = math.ceil(1.96 * answer.budget.total_deg * 2) / 2
    return degrees if answer.budget.chance_within(degrees) >= FAIR_CHANCE else degrees + 0.5


def _target_too_near(answer: Answer) -> Iterator[Finding]:
    """A line so short that the survey alone takes a third of the band."""
    survey_deg = answer.budget.degrees("survey", "standing")
    limit_deg = answer.band.full_credit_deg / SURVEY_SHARE
    if _has_target(answer) and survey_deg > limit_deg:
        offset_m = math.tan(math.radians(survey_deg)) * answer.distance_m
        values = {
            "distance_m": answer.distance_m,
            "survey_deg": survey_deg,
            "least_m": offset_m / math.tan(math.radians(limit_deg)),
        }
        yield Finding("target_too_near", answer.task, values)


def _has_target(answer: Answer) -> bool:
    """Whether a task asks for a target."""
    return wants.TARGET in kind_of(answer.kind).wants


def _target_within_band(answer: Answer) -> Iterator[Finding]:
    """Another target that may earn full credit, with the band that tells them apart if a fair one
    does; or that earns part credit.
    """
    limit_deg = answer.band.full_credit_deg + SCATTER_DEG
    here_deg = answer.bearings_deg["true"]
    near = [(abs(difference(other.bearing_deg, here_deg)), other.code) for other in answer.others]
    for gap_deg, code in sorted(near):
        values = {"code": code, "gap_deg": gap_deg, "station": answer.station}
        if gap_deg <= limit_deg:
            narrow_deg = narrower_deg(answer, gap_deg - SCATTER_DEG)
            yield Finding(
                "target_within_band", answer.task, {**values, "narrow_full_deg": narrow_deg}
            )
        elif gap_deg <= answer.band.part_credit_deg:
            narrow_deg = below(min(gap_deg, round(gap_deg)))  # as the gap is shown, too
            values |= {"part_deg": answer.band.part_credit_deg, "narrow_part_deg": narrow_deg}
            yield Finding("neighbour_earns_part", answer.task, values)


def below(limit_deg: float) -> float:
    """The widest band, in half degrees, that ends short of a limit."""
    return (math.ceil(2.0 * limit_deg) - 1) / 2.0


def narrower_deg(answer: Answer, limit_deg: float) -> float | None:
    """The widest full-credit band that ends short of a limit, if one does in which perfect
    technique earns full credit often enough, and that a compass can be read to; else None.
    """
    narrow_deg = below(limit_deg)
    is_fair = narrow_deg >= max(NARROWEST_DEG, fair_band_deg(answer))
    return narrow_deg if is_fair else None


def _declination_hides(answer: Answer) -> Iterator[Finding]:
    """An angle between the norths that may be left out and still earns credit, so that it cannot be
    seen. Where the needle shows the north that is asked, there is nothing to leave out.
    """
    start, end = kind_of(answer.kind).arithmetic(answer)
    angle_deg = abs(answer.norths.correction(start, end))
    is_idle = start == end or not reads_needle(answer)
    if is_idle or angle_deg > answer.band.full_credit_deg or hidden_share(answer, LEFT_OUT) <= 0.5:
        return
    narrow_deg = narrower_deg(answer, angle_deg) if answer.form.in_figures else None
    values = {
        "angle_deg": angle_deg,
        "band_deg": answer.band.full_credit_deg,
        "narrow_full_deg": narrow_deg,
        "target": "" if answer.form.in_figures else answer.target,
    }
    yield Finding("declination_hides", answer.task, values)


def _mirror_hides(answer: Answer) -> Iterator[Finding]:
    """A number so near to north or south that its mirror image falls on it."""
    gap_deg = abs(difference(wrap(-answer.expected_deg), answer.expected_deg))
    limit_deg = answer.band.full_credit_deg + SCATTER_DEG
    if answer.form.in_figures and gap_deg <= limit_deg:
        values = {"from_axis_deg": gap_deg / 2, "least_deg": math.floor(limit_deg / 2) + 1}
        yield Finding("mirror_hides", answer.task, values)


def _reversal_looks_alike(answer: Answer) -> Iterator[Finding]:
    """Another target behind one's back: a reversed reading is the same as sighting that."""
    behind_deg = back(answer.bearings_deg["true"])
    for other in answer.others:
        if _has_target(answer) and abs(difference(other.bearing_deg, behind_deg)) <= SCATTER_DEG:
            yield Finding("reversal_looks_alike", answer.task, {"code": other.code})


def _model_warns(answer: Answer) -> Iterator[Finding]:
    """The declination model's own warning."""
    if answer.warning:
        yield Finding("weak_field", answer.task, {"warning": answer.warning})


def _poor_cut(answer: Answer) -> Iterator[Finding]:
    """Lines that meet at an angle at which they hardly say where."""
    place = Place.of(answer)
    best_deg = place.best_cut_deg
    if best_deg is not None and best_deg < LEAST_CUT_DEG:
        values = {"best_deg": best_deg, "ellipse_m": place.ellipse.major_m}
        yield Finding("poor_cut", answer.task, {**values, "least_deg": LEAST_CUT_DEG})


def _few_spots(answer: Answer) -> Iterator[Finding]:
    """So few letters on the map that guessing pays."""
    place = Place.of(answer)
    number = len(place.spots)
    if number < place.fewest_spots:
        yield Finding("few_spots", answer.task, {"number": number})


def _spot_too_near(answer: Answer) -> Iterator[Finding]:
    """Spots so near to the right one, for the length of the way, that sound technique names
    another.
    """
    chance, place = chance_of_full_credit(answer), Place.of(answer)
    if chance < FAIR_CHANCE:
        off_m, other = min(
            (math.hypot(spot.east_m - place.east_m, spot.north_m - place.north_m), spot.code)
            for spot in place.spots
            if spot.code != place.right
        )
        values = {
            "right": place.right,
            "chance": chance,
            "other": other,
            "off_m": off_m,
            "ellipse_m": place.ellipse.major_m,
            "is_walked": place.length_m > 0.0,
            "surveys_m": place.surveys_m,
        }
        yield Finding("spot_too_near", answer.task, values)


CHECKS = {
    CIRCLE: (
        _tolerance_tighter,
        _sector_narrow,
        _target_too_near,
        _target_within_band,
        _declination_hides,
        _mirror_hides,
        _reversal_looks_alike,
        _model_warns,
    ),
    PLANE: (_poor_cut, position_geometry.of_answer, _few_spots, _spot_too_near, _model_warns),
}
