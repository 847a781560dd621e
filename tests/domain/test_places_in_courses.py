"""Places in the course check, the field half of a bearing off the map, and sums past 360."""

import json
from dataclasses import replace

import pytest

from exercises.domain.diagnosis.diagnosis import diagnose
from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import Written, parse_bearing_on_paper
from exercises.domain.planning import course_check, hazards
from exercises.domain.planning.visibility import view
from exercises.domain.surveying.traverse import Leg
from exercises.domain.tasks import key, wants
from exercises.domain.tasks.carried_bearing import own_answers, with_heard
from exercises.domain.tasks.forms.target import Chosen
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.kinds.face import Face
from exercises.domain.tasks.reading import Reading
from exercises.presenting import map_words
from exercises.presenting.answers import words_of
from exercises.presenting.findings import what_is
from tests.ground import answer
from tests.places import DAY, INTERSECTION, MIDDLE, RESECTION, WALK, answer_of, site, task

# The course check


def test_what_another_fix_needs_on_the_map_is_not_sought():
    found = course_check.findings_on_site(
        [INTERSECTION, replace(RESECTION, label="2", more=("T2", "T3"))], site(), DAY
    )

    assert {
        (one.task, "task 2" in what_is(one)) for one in found if one.code == "sought_on_map"
    } >= {("1", True)}


def test_a_poor_cut_is_found_with_its_angle():
    ground = site(N=(160, 400))
    (finding,) = [
        one
        for one in course_check.findings_on_site([task(more=("N",))], ground, DAY)
        if one.code == "poor_cut"
    ]

    assert "cut at 13° at best" in what_is(finding)


def test_a_marker_too_near_to_the_right_one_is_found():
    ground = site(T5=(430, 66))
    found = [one.code for one in course_check.findings_on_site([WALK], ground, DAY)]

    assert "spot_too_near" in found
    assert "spot_too_near" not in [
        one.code for one in course_check.findings_on_site([WALK], site(), DAY)
    ]


def test_a_place_sought_must_not_stand_on_the_map_for_another_task():
    found = course_check.findings_on_site(
        [RESECTION, task("map", target="T4", label="2")], site(), DAY
    )

    assert [
        (one.task, "task 2" in what_is(one)) for one in found if one.code == "sought_on_map"
    ] == [("1", True)]


MEASURED, FACED = task("map", target="T4"), task("face", target="T4", label="2")


def test_a_target_that_is_faced_later_has_a_letter_on_the_map_and_no_other_has():
    answers = key.compute([MEASURED, FACED, task("map", target="T3", label="3")], site(), DAY)

    # A and B stand on the ground already
    assert [answer.spot for answer in answers] == ["C", "", ""]


def test_a_target_measured_twice_has_one_letter():
    again = [replace(MEASURED, label="3"), replace(FACED, label="4")]
    answers = key.compute([MEASURED, FACED, *again], site(), DAY)

    assert [answer.spot for answer in answers] == ["C", "", "C", ""]


def test_the_letter_of_a_target_outlives_the_keeping_of_the_key():
    answers = key.compute([MEASURED, FACED], site(), DAY)

    assert key.from_plain(json.loads(json.dumps(key.to_plain(answers)))) == answers


@pytest.mark.parametrize(
    ("more", "found"),
    [
        pytest.param([], [], id="its own map half has a letter for it"),
        pytest.param([task("map", target="T4", label="3")], [("2", "3")], id="another names it"),
        pytest.param([task("map", target="T3", label="3")], [], id="another names another"),
    ],
)
def test_a_target_that_is_faced_must_not_stand_on_the_map_for_another_task(more, found):
    findings = course_check.findings_on_site([MEASURED, FACED, *more], site(), DAY)

    assert [
        (one.task, one.values["other"]) for one in findings if one.code == "sought_on_map"
    ] == found


def test_the_map_shows_a_letter_and_none_of_what_may_be_named_afterwards():
    ground = site()
    answers = key.compute([MEASURED, FACED], ground, DAY)

    hidden, spots = map_words.spots_of(answers, ground)

    assert hidden == frozenset(answers[1].form.choices(answers[1]))
    assert spots == {"C": ground.point("T4").position}


def test_the_map_goes_on_showing_what_another_task_needs():
    ground = site()
    answers = key.compute([MEASURED, FACED, replace(RESECTION, label="3")], ground, DAY)

    hidden, _ = map_words.spots_of(answers, ground)

    assert not hidden & set(answers[2].form.known_points())


def test_a_danger_on_a_later_leg_is_reached_after_the_legs_before_it():
    """The second leg runs from (125, 130), 46 degrees true for 180 m, towards 136: a fence 100 m
    along it is 280 m from the start.
    """
    first, second = answer_of(WALK)[0].form.legs[:2]
    begin = (first.departure_m, first.latitude_m)
    ahead = Leg(second.bearing_deg, 100.0)
    across = Leg(second.bearing_deg + 90.0, 30.0)
    middle = (begin[0] + ahead.departure_m, begin[1] + ahead.latitude_m)
    fence = hazards.Hazard(
        "drop",
        "bank",
        tuple(
            geodesy.moved(
                MIDDLE, middle[0] + side * across.departure_m, middle[1] + side * across.latitude_m
            )
            for side in (-1, 1)
        ),
    )

    (way,) = hazards.astray(answer_of(WALK)[0], MIDDLE, [fence])

    assert (way.cause, way.distance_m) == ("ok", pytest.approx(first.distance_m + 100.0, abs=1.0))


def test_a_walk_is_checked_leg_by_leg_against_dangers():
    water = hazards.Hazard(
        "water",
        "tarn",
        tuple(
            geodesy.moved(MIDDLE, *corner)
            for corner in ((60, 78), (110, 78), (110, 120), (60, 120))
        ),
        True,
    )
    straight = task("walk", target="T2", north="magnetic")

    found = {
        one.task: what_is(one)
        for one in course_check.findings_on_site(
            [WALK, replace(straight, label="2")], site(), DAY, [water]
        )
        if one.code == "leads_into_danger"
    }

    assert "The line itself leads into “tarn”" in found["1"]
    assert "The line itself" not in found.get("2", "")


def test_a_place_shows_mistakes_that_end_elsewhere_and_hides_those_that_end_near():
    (answer,) = answer_of(RESECTION)

    seen = view(answer)

    assert {"declination_ignored", "quarter_turn"} <= set(seen.shows)
    assert "convergence_ignored" in seen.hides


# The field half of a bearing off the map


def pair(north="grid"):
    return answer_of(
        task("map", target="T1", north=north, label="1"),
        task("face", target="T1", north=north, label="2"),
    )


def test_the_field_half_goes_on_from_the_map_half_before_it():
    assert [answer.after for answer in pair()] == ["", "1"]
    assert answer_of(task("face", label="1"), task("map", label="2"))[0].after == ""


def test_a_field_half_without_a_map_half_is_found():
    assert "nothing_measured" in [
        one.code for one in course_check.findings_on_site([task("face", label="1")], site(), DAY)
    ]


def test_who_measured_the_wrong_bearing_and_faced_it_well_is_sound_in_the_field_half():
    """The two halves are told apart: 180 off on the map, and the target that lies along that
    bearing.
    """
    answers = pair()
    wrong = (answers[0].expected_deg + 180) % 360
    readings = [Reading("Mia", "1", Written(wrong)), Reading("Mia", "2", Chosen("T4"))]

    found = diagnose(answers, with_heard(answers, readings))

    assert [verdict.cause for verdict in found.verdicts] == ["reversed", "ok"]


def test_who_measured_well_and_faced_the_wrong_way_is_reversed_in_the_field_half_alone():
    answers = pair()
    readings = [
        Reading("Mia", "1", Written(round(answers[0].expected_deg))),
        Reading("Mia", "2", Chosen("T4")),
    ]

    found = diagnose(answers, with_heard(answers, readings))

    assert [verdict.cause for verdict in found.verdicts] == ["ok", "reversed"]


def test_a_field_half_is_graded_by_the_persons_own_number():
    answers = pair()
    readings = with_heard(
        answers,
        [
            Reading("Mia", "1", Written((answers[0].expected_deg + 180) % 360)),
            Reading("Mia", "2", Chosen("T4")),
            Reading("Tom", "2", Chosen("T4")),
        ],
    )

    grades = [
        answer.grade(reading.seen)
        for answer, reading in zip(own_answers(answers, readings), readings, strict=True)
    ]

    assert [grade.credit for grade in grades] == [0.0, 1.0, 0.0]


def test_a_person_goes_on_with_what_they_measured_last_before_the_field_half():
    answers = pair()
    numbers = [
        Reading("Mia", "1", Written(118.0)),
        Reading("Mia", "1", Written(18.0)),
        Reading("Mia", "2", Chosen("T1")),
        Reading("Mia", "1", Written(200.0)),
    ]

    assert [reading.heard_deg for reading in with_heard(answers, numbers)] == [
        None,
        None,
        18.0,
        None,
    ]


def test_a_field_half_in_another_north_than_its_map_half_turns_the_number():
    """C is 2.06 degrees east here (test_geodesy checks the convergence): 300 true is 297.9 grid."""
    answers = answer_of(
        task("map", target="T1", north="true", label="1"),
        task("face", target="T1", north="grid", label="2"),
    )

    heard = with_heard(
        answers, [Reading("Mia", "1", Written(300.0)), Reading("Mia", "2", Chosen("T1"))]
    )[1].heard_deg

    assert heard == pytest.approx(300.0 - answers[0].norths.convergence_deg)


def test_between_two_targets_the_person_is_not_judged_by_a_degree():
    """2026-11-26: half-way between two targets, 1 degree of one's own number turned full credit
    into none.
    """
    answers = pair()
    halfway = next(answer for answer in answers if answer.kind == "face")
    bearings = sorted(
        (halfway.form.direction(halfway, Chosen(code)), code)
        for code in halfway.form.choices(halfway)
    )
    (low, one), (high, other) = bearings[0], bearings[1]
    own = kind_of("face").going_on(halfway, (low + high) / 2 + 1)

    assert [own.grade(Chosen(code)).credit for code in (one, other)] == [1.0, 1.0]
    assert own.grade(Chosen(bearings[2][1])).credit == 0.0


def test_the_field_half_gives_no_bearing_away():
    faced = answer(kind="face", given_deg=23.0, given_north="grid", north="grid")

    assert wants.GIVEN not in Face().wants
    assert not any(
        character.isdigit() for character in words_of(faced).prompt(faced, {"T1": {"name": "it"}})
    )


# Sums past 360


def test_a_back_bearing_of_430_on_paper_is_a_sum_past_360():
    (answer,) = answer_of(task("back", target="T3", north="grid"))
    unwrapped = round(answer.given_deg) + 180
    (verdict,) = diagnose(
        (answer,), [Reading("Mia", "1", parse_bearing_on_paper(str(unwrapped)))]
    ).verdicts

    assert unwrapped > 360
    assert (verdict.cause, verdict.probability > 0.7) == ("over_360", True)
