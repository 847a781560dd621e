"""Which mistake put a place where it is: recognised, named, and how sure."""

import math
import random

import pytest

from exercises.domain.diagnosis import priors
from exercises.domain.diagnosis.diagnosis import diagnose
from exercises.domain.diagnosis.places import Judge
from exercises.domain.diagnosis.verdicts import Person
from exercises.domain.earth.angles import Written
from exercises.domain.surveying.traverse import end
from exercises.domain.tasks import map_references
from exercises.domain.tasks.forms.place import Placed
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Compass
from tests.places import INTERSECTION, RESECTION, WALK, answer_of, task


def judged(answer, east_m, north_m, half_m=5.0, others=()):
    """The verdict on coordinates so far from the answer's origin, and the grade."""
    reading = Reading("Mia", answer.task, Placed("", east_m, north_m, half_m))
    found = diagnose(
        (answer, *(one for one, _ in others)), [*(reading for _, reading in others), reading]
    )
    return found.verdicts[-1], answer.grade(reading.seen)


@pytest.mark.parametrize(
    "cause", ["declination_ignored", "declination_wrong_way", "declination_twice"]
)
def test_a_declination_misapplied_on_all_lines_is_recognised(cause):
    (answer,) = answer_of(RESECTION)
    landing = next(one for one in kind_of("fix").landings(answer) if one.habit == cause)

    verdict, grade = judged(answer, landing.east_m + 3, landing.north_m - 2)

    assert (verdict.cause, verdict.detail, grade.credit) == (cause, "", 0.0)
    assert verdict.probability > 0.8


@pytest.mark.parametrize("points", ["T1 T3", "T2 T3"])
def test_exchanged_points_are_recognised_by_name(points):
    (answer,) = answer_of(RESECTION)
    landing = next(
        one
        for one in kind_of("fix").landings(answer)
        if (one.slip, one.detail) == ("other_target", points)
    )

    verdict, _ = judged(answer, landing.east_m, landing.north_m)

    assert (verdict.cause, verdict.detail) == ("other_target", points)


@pytest.mark.parametrize(("slip", "point"), [("quarter_turn", "T1"), ("quarter_turn", "T2")])
def test_one_bearing_with_a_slip_is_named(slip, point):
    (answer,) = answer_of(RESECTION)
    landing = next(
        one for one in kind_of("fix").landings(answer) if (one.slip, one.detail) == (slip, point)
    )

    verdict, _ = judged(answer, landing.east_m, landing.north_m)

    assert (verdict.cause, verdict.detail) == (slip, point)


@pytest.mark.parametrize(
    ("slip", "leg"),
    [("reversed", "1"), ("reversed", "3"), ("leg_left_out", "1"), ("leg_left_out", "3")],
)
def test_the_leg_that_went_wrong_is_named(slip, leg):
    (answer,) = answer_of(WALK)
    landing = next(
        one for one in kind_of("walk").landings(answer) if (one.slip, one.detail) == (slip, leg)
    )

    verdict, _ = judged(answer, landing.east_m, landing.north_m, half_m=0.0)

    assert (verdict.cause, verdict.detail) == (slip, leg)


def test_walking_the_whole_way_with_a_reversed_needle_is_a_habit_of_every_leg():
    (answer,) = answer_of(WALK)

    verdict, _ = judged(answer, -answer.form.east_m, -answer.form.north_m, half_m=0.0)

    assert (verdict.cause, verdict.detail) == ("reversed", "")


def test_the_right_spot_is_sound_whatever_else_leads_there():
    for asked in (RESECTION, INTERSECTION, WALK):
        (answer,) = answer_of(asked)
        found = diagnose(
            (answer,), [Reading("Mia", "1", answer.form.parse(answer, answer.form.right))]
        )

        assert (found.verdicts[0].cause, found.verdicts[0].probability > 0.95) == ("ok", True)


def test_a_habit_that_bearings_prove_is_believed_of_a_place():
    """A place between the right one and where the habit leads, which alone leaves it open."""
    (answer,) = answer_of(RESECTION)
    landing = next(
        one for one in kind_of("fix").landings(answer) if one.habit == "declination_ignored"
    )
    judge, ignorer = (
        Judge({"1": answer}),
        Person(0.0, 1.0, 0.0, "declination_ignored", 0.97, 3.0, 0.5),
    )

    def believed(part, person):
        place = Placed(
            "",
            *(
                right + part * (wrong - right)
                for right, wrong in (
                    (answer.form.east_m, landing.east_m),
                    (answer.form.north_m, landing.north_m),
                )
            ),
            5.0,
        )
        verdict = judge.verdict(Reading("Mia", "1", place), person)
        return dict([(verdict.cause, verdict.probability), *verdict.alternatives]).get(
            "declination_ignored", 0.0
        )

    open_part = min(
        (part / 20 for part in range(1, 20)), key=lambda part: abs(believed(part, None) - 0.3)
    )

    assert believed(open_part, None) < 0.6
    assert believed(open_part, ignorer) > 0.89


def test_probabilities_of_places_are_calibrated():
    """Simulated: 1500 fixes by coordinates, seed 5, causes drawn by their own rates, scatter by the
    ellipse twice over; of those called 60 % or more, as many are right as said.
    """
    (answer,) = answer_of(RESECTION)
    rng, said, right = random.Random(5), [], []
    judge = Judge({"1": answer})
    ways = judge.ways("1")
    for landing, _ in rng.choices(ways, [prior for _, prior in ways], k=1500):
        along, across = (
            rng.gauss(0, 2 * landing.ellipse.major_m),
            rng.gauss(0, 2 * landing.ellipse.minor_m),
        )
        turn = math.radians(landing.ellipse.azimuth_deg)
        seen = Placed(
            "",
            landing.east_m + along * math.sin(turn) + across * math.cos(turn),
            landing.north_m + along * math.cos(turn) - across * math.sin(turn),
            5.0,
        )
        verdict = judge.verdict(Reading("Mia", "1", seen))
        if verdict.probability >= 0.6:
            said.append(verdict.probability)
            right.append(
                verdict.cause == (landing.habit if landing.habit != "ok" else landing.slip)
            )

    assert sum(right) / len(right) == pytest.approx(sum(said) / len(said), abs=0.03)


def test_places_do_not_change_what_is_said_of_bearings():
    sights = [
        task("sight", target=target, label=f"s{number}", north="magnetic")
        for number, target in enumerate(("T1", "T2", "T3"))
    ]
    answers = answer_of(RESECTION, *sights)
    bearings = [
        Reading("Mia", one.task, Written(one.bearings_deg["magnetic"] + 180 % 360))
        for one in answers[1:]
    ]
    place = Reading("Mia", "1", Placed("", 300.0, 300.0, 5.0))

    alone, both = (
        diagnose(answers, bearings),
        diagnose(answers, [bearings[0], place, *bearings[1:]]),
    )

    assert (both.verdicts[0], *both.verdicts[2:]) == alone.verdicts
    assert both.people == alone.people


def test_who_gave_places_alone_is_known_by_name_and_by_nothing_else():
    (answer,) = answer_of(RESECTION)

    person = diagnose((answer,), [Reading("Mia", "1", Placed("", 0.0, 0.0, 5.0))]).people["Mia"]

    assert (person.habit, person.offset_probability) == ("none", 0.0)


def test_a_set_compass_has_no_declination_to_leave_out():
    (answer,) = answer_of(RESECTION)
    landing = next(
        one for one in kind_of("fix").landings(answer) if one.habit == "declination_ignored"
    )
    seen = Placed("", landing.east_m, landing.north_m, 5.0)

    unset, is_set = (
        diagnose((answer,), [Reading("Mia", "1", seen, "7", Compass(2.0, flag))]).verdicts[0].cause
        for flag in (False, True)
    )

    assert (unset, is_set == "declination_ignored") == ("declination_ignored", False)


def test_digits_of_a_leg_are_exchanged_as_they_stand_on_the_card():
    """020 magnetic, read as 002."""
    (answer,) = answer_of(WALK)
    legs = (answer.form.legs[0].turned(-18.0), *answer.form.legs[1:])

    assert (
        min(
            math.dist((one.east_m, one.north_m), end(legs))
            for one in kind_of("walk").landings(answer)
            if one.slip == "digits_swapped"
        )
        < 0.01
    )


def judged_at(answer, times, scatter_deg=3.0, habit=("none", 0.74)):
    """The verdict on coordinates along the longer axis, some standard ellipses away."""
    turn = math.radians(answer.form.ellipse.azimuth_deg)
    off_m = times * answer.form.ellipse.major_m
    place = Placed(
        "",
        answer.form.east_m + off_m * math.sin(turn),
        answer.form.north_m + off_m * math.cos(turn),
        5.0,
    )
    return Judge({"1": answer}).verdict(
        Reading("Mia", "1", place), Person(0.0, 1.0, 0.0, *habit, scatter_deg, 0.5)
    )


def chance_of(verdict, code):
    return dict([(verdict.cause, verdict.probability), *verdict.alternatives]).get(code, 0.0)


def test_a_careless_person_is_given_more_room_than_a_steady_one():
    (answer,) = answer_of(RESECTION)

    assert (
        chance_of(judged_at(answer, 5.0, scatter_deg=6.0), "ok")
        > chance_of(judged_at(answer, 5.0, scatter_deg=1.5), "ok") + 0.3
    )


def test_what_is_far_beyond_any_hand_is_not_called_sound():
    (answer,) = answer_of(RESECTION)

    assert judged_at(answer, 13.0).cause != "ok"


def test_figures_of_a_reference_exchanged_are_told_from_a_mistake_with_the_compass():
    (answer,) = answer_of(RESECTION)
    east, north = map_references.figures(answer.form).split()
    swapped = f"{east} {north[:2]}{north[3]}{north[2]}"

    verdict = Judge({"1": answer}).verdict(
        Reading("Mia", "1", map_references.read(answer.form, swapped))
    )

    assert north[2] != north[3]
    assert "digits_swapped" in {verdict.cause, *(code for code, _ in verdict.alternatives)}


def test_rates_of_a_class_that_was_opened_before_a_cause_was_known_are_filled_up():
    """Keys of 2026-11 hold three rates less."""
    old = {**priors.to_plain(priors.STATED), "slips": list(priors.STATED.slips[:-3])}

    found = priors.from_plain(old)

    assert len(found.slips) == len(priors.STATED.slips)
    assert found.slips[-3:] == priors.STATED.slips[-3:]
    assert sum(found.slips) == pytest.approx(
        sum(old["slips"]) * (1 - sum(priors.STATED.slips[-3:])) + sum(priors.STATED.slips[-3:])
    )
