"""A reading made with a compass that is marked in mils: its figures are examined as mils, and what
went wrong with it is found as with degrees.
"""

import random

import pytest

from exercises.domain.diagnosis.diagnosis import diagnose
from exercises.domain.diagnosis.written_numbers import graduations
from exercises.domain.earth.angle_units import DEGREES, MIL_6400
from exercises.domain.earth.angles import Written, wrap
from exercises.domain.earth.bearing_notation import notation_of
from exercises.domain.mistakes.predictions import meant, outcomes
from exercises.domain.mistakes.stages import dial_faults
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Compass
from tests.domain.test_diagnosis import answer

OF_MILS = Compass(MIL_6400.degrees(20.0), unit=MIL_6400)


def read(text):
    """What somebody typed for a compass of 6400 mils."""
    return notation_of(MIL_6400).parse(text)


def directions(text, writing):
    """The mils that may have been meant by a number, written in a way."""
    return sorted(
        round(MIL_6400.number(one.direction_deg), 6) for one in meant(read(text), writing)
    )


@pytest.mark.parametrize(
    ("text", "writing", "mils"),
    [
        ("1316", "plain", [1316]),
        ("3116", "swapped", [1316, 3161]),
        ("1136", "swapped", [1163, 1316]),
        ("2316", "hundred", [1316, 3316]),
        ("0074", "mils", [MIL_6400.number(74.0)]),
        ("1316", "mils", []),  # more than 360 is no number of degrees
        ("1316", "over", []),
    ],
)
def test_a_slip_of_figures_acts_on_the_number_in_mils(text, writing, mils):
    assert directions(text, writing) == pytest.approx(mils)


def test_a_figure_dropped_of_four_leaves_three():
    assert {1316, 3160, 316} & set(directions("316", "dropped")) == {1316, 3160}


@pytest.mark.parametrize("writing", ["swapped", "hundred", "mils", "plain"])
def test_meant_turns_outcomes_round(writing):
    for mils in (74, 1316, 2075, 6033):
        for seen_deg, _ in outcomes(MIL_6400.degrees(mils), writing, MIL_6400):
            back = [
                MIL_6400.number(one.direction_deg)
                for one in meant(Written(wrap(seen_deg), unit=MIL_6400), writing)
            ]
            assert any(abs(one - mils) < 1e-6 for one in back)


def test_a_plain_number_stands_for_one_mil():
    (one,) = meant(read("1316"), "plain")

    assert (one.jacobian, one.half_width_deg) == (0.05625, 0.028125)


def test_a_wrong_printed_number_is_a_hundred_or_two_hundred_mils_off():
    turns = sorted(
        MIL_6400.number(fault.turn.shift_deg)
        for fault in dial_faults(MIL_6400.degrees(1316), 1.0, MIL_6400)
        if fault.cause == "ten_off"
    )

    assert turns == [-200.0, -100.0, 100.0, 200.0]


def test_ticks_counted_back_begin_at_a_printed_number_of_mils():
    dial_deg = MIL_6400.degrees(1316)
    counted = {
        round(MIL_6400.number(fault.turn(dial_deg)))
        for fault in dial_faults(dial_deg, 1.0, MIL_6400)
        if fault.cause == "counted_back"
    }

    # from 1300 and 1400, and from 1200 and 1400 on a dial numbered every 200
    assert counted == {2 * 1300 - 1316, 2 * 1400 - 1316, 2 * 1200 - 1316}


def class_of_mils(asked, people=8, seed=5):
    """Sound readings of some people with compasses of mils, to the 10 mils."""
    rng = random.Random(seed)
    return [
        Reading(
            f"sound {number}",
            asked.task,
            read(f"{MIL_6400.whole(asked.expected_deg + rng.gauss(0, 1.5)) // 10 * 10:04d}"),
            str(number),
            OF_MILS,
        )
        for number in range(people)
    ]


@pytest.mark.parametrize(
    ("text", "cause"),
    [
        pytest.param("1713", "digits_swapped", id="1173 with 1 and 7 exchanged"),
        pytest.param("2173", "hundred_off", id="1173 with its first figure one more"),
        pytest.param("0066", "mils", id="the 066 degrees of the other scale"),
        pytest.param("2773", "quarter_turn", id="1173 and 1600"),
        pytest.param("4373", "reversed", id="1173 and 3200"),
        pytest.param("5227", "mirrored", id="6400 less 1173"),
    ],
)
def test_a_slip_on_a_compass_of_mils_is_named(text, cause):
    asked = answer(north="magnetic")  # 066 degrees, 1173 mils
    readings = [*class_of_mils(asked), Reading("Mia", asked.task, read(text), "", OF_MILS)]

    verdict = diagnose((asked,), readings).verdicts[-1]

    assert verdict.cause == cause
    assert verdict.probability > 0.6


def test_sound_readings_in_mils_are_sound():
    asked = answer(north="magnetic")

    verdicts = diagnose((asked,), class_of_mils(asked)).verdicts

    assert {verdict.cause for verdict in verdicts} == {"ok"}


def test_one_person_with_two_compasses_is_read_to_the_step_of_each():
    asked = answer(north="magnetic")
    in_mils = [
        Reading("Mia", asked.task, read(text), "1", OF_MILS)
        for text in ("1150", "1200", "1250", "1150", "1300", "1250")
    ]
    in_degrees = [
        Reading("Mia", asked.task, Written(float(number)), "2", Compass(2.0))
        for number in (65, 67, 66, 69)
    ]

    assert graduations((asked,), in_mils + in_degrees) == {
        ("Mia", MIL_6400): MIL_6400.degrees(50.0),
        ("Mia", DEGREES): 1.0,
    }


def test_a_class_of_both_is_judged_together():
    asked = answer(north="magnetic")
    degrees = [
        Reading(f"degrees {number}", asked.task, Written(wrap(asked.expected_deg + number - 1.0)))
        for number in range(3)
    ]

    verdicts = diagnose((asked,), [*class_of_mils(asked, 3), *degrees]).verdicts

    assert [verdict.cause for verdict in verdicts] == ["ok"] * 6
