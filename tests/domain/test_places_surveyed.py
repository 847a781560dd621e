"""What surveys leave open of answers that are places: walks begin at a mark and end at markers that
lie elsewhere than was surveyed, and keys that were frozen before this was reckoned.
"""

import datetime
import json
import math
from dataclasses import replace

import numpy as np
import pytest

from exercises.domain.diagnosis.places import chance_of_right_spot
from exercises.domain.earth import geodesy
from exercises.domain.earth.ellipse import SCALE_95, Ellipse, added
from exercises.domain.earth.geodesy import Position
from exercises.domain.planning import course_check
from exercises.domain.surveying.hand_drawn import middle
from exercises.domain.surveying.traverse import ellipse_of, parse_legs
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms.place import Placed
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.site import Point, Site, Task
from exercises.presenting.findings import cure_of
from tests.places import RESECTION, WALK, answer_of

MIDDLE, DAY = Position(-45.13, 170.10), datetime.date(2026, 10, 3)
WALKED_DEG, PACED, COUNTED, DRAWN = 3.0, 0.02, 0.03, 20_000
MARKERS = {"A": (0, 0), "B": (70, 30), "C": (55, 52), "D": (20, -60), "E": (95, 18), "F": (60, 5)}
SURVEYS = {
    "to the decimetre": dict.fromkeys(MARKERS, Ellipse(0.1, 0.1, 0.0)),
    "by phone": dict.fromkeys(MARKERS, Ellipse(4.0, 4.0, 0.0)),
    "slanting": dict.fromkeys(MARKERS, Ellipse(6.0, 1.0, 130.0)),
    "the mark alone": {**dict.fromkeys(MARKERS, Ellipse(0.1, 0.1, 0.0)), "A": Ellipse(6, 6, 0)},
    "a neighbour alone": {**dict.fromkeys(MARKERS, Ellipse(0.1, 0.1, 0.0)), "F": Ellipse(8, 8, 0)},
}


def ground(surveys):
    return Site(
        {
            code: Point(
                code,
                code,
                geodesy.moved(MIDDLE, *at),
                surveys[code].accuracy_m,
                "peg",
                surveys[code],
            )
            for code, at in MARKERS.items()
        },
        grid_epsg=2193,
    )


def walk(surveys, legs=""):
    task = Task("1", "walk", "A", "B", "magnetic", Band(5, 10), legs=parse_legs(legs))
    return key.compute([task], ground(surveys), DAY)[0]


def acted(answer, surveys):
    """Walks from where the mark truly is, and where the markers truly are, seed 13: (drawings, 2)
    and those by code. The declination of the key is off alike for all legs of a walk.
    """
    rng = np.random.default_rng(13)
    true = {}
    for code, survey in surveys.items():
        east, north, both = survey.covariance()
        off = rng.multivariate_normal([0, 0], [[east, both], [both, north]], DRAWN)
        true[code] = off + MARKERS[code]
    off_deg = rng.normal(0, math.hypot(answer.declination_uncertainty_deg, 0.1), DRAWN)
    count, at = rng.normal(1, COUNTED, DRAWN), true["A"].copy()
    for leg in answer.form.legs:
        bearing = np.radians(leg.bearing_deg + off_deg + rng.normal(0, WALKED_DEG, DRAWN))
        metres = leg.distance_m * (count + rng.normal(0, PACED, DRAWN))
        at += np.stack([metres * np.sin(bearing), metres * np.cos(bearing)], axis=1)
    return at, true


@pytest.mark.parametrize("legs", ["", "340 50; 100 40"], ids=["straight", "round about"])
@pytest.mark.parametrize("surveys", SURVEYS.values(), ids=SURVEYS)
def test_the_chance_of_the_right_marker_is_that_of_walks_on_ground_as_it_is(surveys, legs):
    """20,000 surveys and walks; one sigma of the count is 0.3 %."""
    answer = walk(surveys, legs)
    at, true = acted(answer, surveys)

    codes = [code for code in MARKERS if code != "A"]
    nearest = np.argmin([np.hypot(*(at - true[code]).T) for code in codes], axis=0)
    share = (nearest == codes.index("B")).mean()

    assert chance_of_right_spot(answer) == pytest.approx(share, abs=0.015)


@pytest.mark.parametrize("surveys", SURVEYS.values(), ids=SURVEYS)
def test_the_ellipse_of_a_walk_holds_what_surveys_and_paces_leave(surveys):
    answer = walk(surveys, "340 50; 100 40")
    at, true = acted(answer, surveys)

    angle, ellipse = math.radians(answer.form.ellipse.azimuth_deg), answer.form.ellipse
    off = at - true["B"]
    along = off @ [math.sin(angle), math.cos(angle)] / ellipse.major_m
    across = off @ [math.cos(angle), -math.sin(angle)] / ellipse.minor_m

    assert (np.hypot(along, across) <= SCALE_95).mean() == pytest.approx(0.95, abs=0.012)


def test_a_walk_among_markers_that_were_surveyed_badly_is_found():
    """By the paces alone it ends at the right one nearly always; by the surveys 84 times of 100."""
    asked = Task("1", "walk", "A", "B", "magnetic", Band(5, 10))

    def found(surveys):
        findings = course_check.findings_on_site([asked], ground(surveys), DAY)
        return [one for one in findings if one.code == "spot_too_near"]

    (finding,) = found(dict.fromkeys(MARKERS, Ellipse(6.0, 6.0, 0.0)))

    assert found(SURVEYS["to the decimetre"]) == []
    assert finding.values["chance"] == pytest.approx(0.84, abs=0.01)
    assert finding.values["surveys_m"] == pytest.approx(6.0 * math.sqrt(2.0))
    assert "Survey the mark and the places better (± 8 m now)" in cure_of(finding)


def test_a_way_that_is_turned_as_a_whole_is_uncertain_across_its_straight_line():
    """A declination off by one degree turns the end by 100 m * 0.01745 across; common to all legs,
    it does not add up over them.
    """
    legs = parse_legs("000 300; 180 200")

    turned, straight = ellipse_of(legs, 1.0), ellipse_of(legs)

    assert turned.across(0) ** 2 - straight.across(0) ** 2 == pytest.approx(1.745**2, rel=1e-3)
    assert turned.along(0) == pytest.approx(straight.along(0))


def test_the_survey_of_the_place_sought_is_in_the_ellipse_of_a_fix():
    (answer,) = answer_of(RESECTION)
    blurred = replace(answer.form, survey=None)

    assert answer.form.survey == Ellipse(0.5, 0.5, 0.0)
    assert answer.form.ellipse == added(middle(answer.form.lines).ellipse, Ellipse(0.5, 0.5, 0.0))
    assert blurred.with_survey(Ellipse(3.0, 2.0, 0.0)) == Ellipse(3.0, 2.0, 0.0)


def before_surveys(answer):
    """A key's row as it was frozen before surveys were kept in places, its ellipse a circle."""
    (row,) = json.loads(json.dumps(key.to_plain([answer])))
    del row["where"]["survey"]
    for spot in row["where"]["spots"]:
        del spot["survey"]
    for line in row["where"]["lines"]:
        del line["common_deg"]
    row["where"]["ellipse"] = {"major_m": 9.0, "minor_m": 9.0, "azimuth_deg": 0.0}
    return row


@pytest.mark.parametrize(("asked", "off_m"), [(RESECTION, 22.0), (WALK, 22.0)], ids=["fix", "walk"])
def test_a_key_that_was_frozen_before_grades_as_it_was_frozen(asked, off_m):
    """The 95 % of a circle of 9 m reach to 22.03 m: full credit there, not a metre farther."""
    (answer,) = key.from_plain([before_surveys(answer_of(asked)[0])])

    def credit(metres):
        return answer.grade(Placed("", answer.form.east_m + metres, answer.form.north_m)).credit

    assert [credit(off_m), credit(off_m + 0.1)] == [1.0, 0.5]
    assert chance_of_right_spot(answer) > 0.9
    assert next(iter(kind_of(answer.kind).landings(answer))).slip == "ok"
