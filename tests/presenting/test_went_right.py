"""What was right in a wrong answer: said only where the cause is sure or the figures carry it."""

import math
from dataclasses import replace

import pytest

from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.earth.norths import Norths
from exercises.domain.results.judged import Judged
from exercises.domain.tasks.forms.place import Placed
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reading
from exercises.presenting.answers import words_of
from tests.ground import answer
from tests.places import INTERSECTION, RESECTION, WALK, answer_of

SURE, UNSURE = 0.95, 0.4
NORTHS = Norths(12.0, 1.0)  # declination and convergence, degrees east


def as_said(judged):
    well = words_of(judged.answer).went_right(judged)
    return f"{'Probably: ' * well.is_probable}{well.text}"


def said_of(asked, seen, verdict, credit=0.0):
    grade = replace(asked.grade(seen), credit=credit)
    reading = Reading("Mia", asked.task, seen)
    return as_said(Judged(reading, asked, grade, verdict))


def summed(kind, told, right, read, cause, probability=SURE):
    """Of a sum: 74° magnetic turned into true, say."""
    asked = replace(
        answer(task="1", true_deg=float(right)),
        kind=kind,
        north="true",
        norths=NORTHS,
        bearings_deg={"true": float(right), "grid": right - 1.0, "magnetic": right - 12.0},
        given_deg=float(told),
        given_north="magnetic",
    )
    seen = asked.form.parse(asked, f"{read:03d}")
    return said_of(asked, seen, Verdict(cause, probability))


@pytest.mark.parametrize(
    ("kind", "told", "right", "read", "cause", "said"),
    [
        ("convert", 74, 86, 62, "declination_wrong_way", "You took the right angle"),
        ("convert", 74, 86, 98, "declination_twice", "You turned the number the right way"),
        ("convert", 74, 86, 85, "convergence_ignored", "Your sum was right."),
        ("convert", 86, 87, 86, "convergence_ignored", ""),  # given back as it was told: no sum
        ("convert", 74, 86, 74, "declination_ignored", ""),
        ("back", 74, 254, 264, "ten_off", "The last digit of your number is right."),
        ("back", 74, 254, 265, "ten_off", ""),
        ("back", 74, 254, 354, "hundred_off", "The last two digits of your number are right."),
        ("back", 74, 254, 355, "hundred_off", ""),
        ("back", 74, 254, 245, "digits_swapped", "Your digits are the right ones"),
        ("back", 80, 260, 26, "digit_dropped", "The digits that you wrote are right"),
        ("back", 80, 260, 27, "digit_dropped", ""),
        ("back", 74, 254, 106, "mirrored", "Your bearing is as far from north"),
        ("back", 74, 254, 286, "mirrored", ""),  # 360 less the way there
        ("back", 74, 254, 74, "reversed", ""),
        ("map", 74, 254, 354, "hundred_off", "The last two digits of your number are right."),
    ],
)
def test_what_was_right_in_a_sum_agrees_with_the_figures_shown(
    kind, told, right, read, cause, said
):
    assert summed(kind, told, right, read, cause).startswith(said)
    assert bool(summed(kind, told, right, read, cause)) == bool(said)


def test_a_cause_that_is_likely_is_said_with_a_probably_and_an_unsure_one_not_at_all():
    one = ("convert", 74, 86, 98, "declination_twice")

    assert summed(*one, probability=0.7).startswith("Probably: You turned")
    assert summed(*one, probability=UNSURE) == ""


def test_what_the_figures_carry_needs_no_probably():
    """2026-11-27: "Probably: The last digit of your number is right." beside 106 and 096."""
    said = summed("back", 74, 254, 264, "ten_off", probability=0.7)

    assert said == "The last digit of your number is right."


def followed(cause, off_deg, probability=SURE, credit=0.0):
    """Of a bearing that was followed to a target so far from the right one."""
    asked = replace(answer(task="1"), kind="follow")
    seen = asked.form.parse(asked, f"{asked.expected_deg + off_deg:.0f}")
    grade = replace(asked.grade(seen), credit=credit)
    judged = Judged(Reading("Mia", "1", seen), asked, grade, Verdict(cause, probability))
    return as_said(judged)


@pytest.mark.parametrize(
    ("cause", "off_deg", "said"),
    [
        ("declination_ignored", 20, "You followed your compass well."),
        ("ten_off", 20, "The needle lay right in its arrow."),
        ("digits_swapped", 63, "You followed your number well."),
        ("reversed", 170, "You looked along the right line"),
        ("reversed", 100, ""),  # no opposite way in the figures
        ("other_station", 60, "You followed the bearing well."),
        ("unexplained", 38, "You looked the right way round: your target lies 38 degrees"),
        ("unexplained", 46, ""),
    ],
)
def test_what_was_right_in_a_bearing_that_was_followed(cause, off_deg, said):
    assert followed(cause, off_deg).startswith(said)
    assert bool(followed(cause, off_deg)) == bool(said)
    assert followed(cause, off_deg, credit=1.0) == ""


def placed(asked, east_m, north_m, verdict):
    seen = Placed("", east_m, north_m, 5.0)
    return said_of(asked, seen, verdict, asked.grade(seen).credit)


def beside_m(line, east_m, north_m):
    """How far a place lies beside a line, by the area of a triangle: twice it over its base."""
    far = 1000.0
    end = (
        line.east_m + far * math.sin(math.radians(line.bearing_deg)),
        line.north_m + far * math.cos(math.radians(line.bearing_deg)),
    )
    corners = ((line.east_m, line.north_m), end, (east_m, north_m))
    twice = sum(
        corners[place][0] * corners[(place + 1) % 3][1]
        - corners[(place + 1) % 3][0] * corners[place][1]
        for place in range(3)
    )
    return abs(twice) / far


@pytest.mark.parametrize("task", [RESECTION, INTERSECTION], ids=["fix", "intersect"])
def test_lines_that_are_called_right_do_lead_to_the_place(task):
    (asked,) = answer_of(task)
    lines = {line.point: line for line in asked.form.lines}
    named = 0

    for one in kind_of(asked.kind).landings(asked):
        said = placed(asked, one.east_m, one.north_m, Verdict("unexplained", SURE))
        if "right line of" in said:
            named += 1
            points = said.partition("line of ")[2].partition(", to ")[0].split(", ")
            apart_m = max(beside_m(lines[point], one.east_m, one.north_m) for point in points)
            assert f"to {max(1, round(apart_m))} metre" in said  # a place is given to the metre
            assert apart_m <= asked.form.full_m + 0.5

    assert named >= 2


def test_a_place_behind_a_known_point_lies_on_no_line_of_it():
    (asked,) = answer_of(INTERSECTION)
    line = asked.form.lines[0]
    east_m = line.east_m - 300.0 * math.sin(math.radians(line.bearing_deg))
    north_m = line.north_m - 300.0 * math.cos(math.radians(line.bearing_deg))

    assert placed(asked, east_m, north_m, Verdict("unexplained", SURE)) == ""


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        (Verdict("quarter_turn", SURE, detail="T1"), "Your lines of T2, T3 were right."),
        (Verdict("other_target", SURE, detail="T1 T3"), "Your bearings were right. Only two"),
        (Verdict("declination_twice", SURE), "Your bearings were right. It went wrong in the sum"),
        (Verdict("declination_twice", 0.7), "Probably: Your bearings were right."),
        (Verdict("declination_twice", UNSURE), ""),
        (Verdict("declination_twice+reversed", SURE, detail="T1"), ""),
    ],
)
def test_what_was_right_in_a_resection(verdict, said):
    (asked,) = answer_of(RESECTION)

    told = placed(asked, 900.0, -900.0, verdict)

    assert told.startswith(said)
    assert bool(told) == bool(said)


def test_of_two_lines_the_other_one_was_right():
    (asked,) = answer_of(INTERSECTION)

    told = placed(asked, 900.0, -900.0, Verdict("reversed", SURE, detail="A"))

    assert told == "Your line of B was right."


LEGS = "Your other legs were right."


@pytest.mark.parametrize(
    ("along_m", "across_m", "verdict", "said"),
    [
        pytest.param(
            120, 4, Verdict("unexplained", SURE), "Your direction was right: only 4 metres"
        ),
        pytest.param(-60, 90, Verdict("unexplained", SURE), "", id="neither"),
        pytest.param(-60, 90, Verdict("leg_left_out", SURE, detail="2"), LEGS),
        pytest.param(-60, 90, Verdict("reversed", 0.7, detail="1"), f"Probably: {LEGS}"),
        pytest.param(90, 90, Verdict("paces", SURE), "Your bearing was right."),
    ],
)
def test_what_was_right_in_a_walk(along_m, across_m, verdict, said):
    (asked,) = answer_of(WALK)
    form, angle = asked.form, math.radians(asked.form.along_deg)
    east_m = form.east_m + along_m * math.sin(angle) + across_m * math.cos(angle)
    north_m = form.north_m + along_m * math.cos(angle) - across_m * math.sin(angle)

    told = placed(asked, east_m, north_m, verdict)

    assert told.startswith(said)
    assert bool(told) == bool(said)


def test_a_distance_that_is_called_right_stands_with_both_figures():
    (asked,) = answer_of(WALK)
    form = asked.form
    length_m = math.hypot(form.east_m, form.north_m)

    told = placed(asked, -form.north_m, form.east_m, Verdict("unexplained", SURE))

    assert told == (
        f"Your distance was right: {length_m:.0f} m from where you began, and the marker lies "
        f"{length_m:.0f} m from there."
    )
