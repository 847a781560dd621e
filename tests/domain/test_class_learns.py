"""What the class model finds because it learns what a class is like: one thing at a time."""

import random

import pytest

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.written_numbers import writes_fives
from exercises.domain.earth.angles import Written
from exercises.domain.tasks.reading import Reading
from tests.domain.test_class_model import class_of, faults
from tests.ground import answer


def handed_on(off_deg, people=8, turned=""):
    """A class in which compasses go round: number 2 is off by some degrees, another reversed."""
    answers, readings = class_of(lambda place, one, moment: 0.0, people=people)
    passed = []
    for index, reading in enumerate(readings):
        place, step = int(reading.person[1:]), index // people
        number = str((place + step // 2) % 4)
        by = off_deg * (number == "2") + 180.0 * (number == turned)
        seen = Written((reading.seen.degrees + by) % 360)
        passed.append(Reading(reading.person, reading.task, seen, number))
    return answers, passed


def test_a_compass_that_is_off_is_found_though_nobody_kept_it():
    found = diagnosis.diagnose(*handed_on(7.0, people=12))

    off = [
        number
        for number, compass in found.compasses.items()
        if compass.offset.fault_probability > 0.5
    ]
    assert off == ["2"]
    assert found.compasses["2"].offset.degrees == pytest.approx(7.0, abs=1.5)
    assert all(person.offset_probability < 0.5 for person in found.people.values())
    assert faults(found.stations) == set()


def test_a_reversed_needle_is_found_though_nobody_kept_it():
    found = diagnosis.diagnose(*handed_on(0.0, turned="1"))

    assert [
        number for number, compass in found.compasses.items() if compass.reversed_probability > 0.5
    ] == ["1"]
    assert {person.habit for person in found.people.values()} == {"none"}


def test_sound_compasses_that_go_round_stay_sound():
    found = diagnosis.diagnose(*handed_on(0.0))

    assert all(
        compass.offset.fault_probability < 0.2 and compass.reversed_probability < 0.2
        for compass in found.compasses.values()
    )


@pytest.mark.parametrize("off_deg", [18.0, 29.0, -34.0, 62.0])
def test_a_large_offset_is_an_offset_and_no_habit(off_deg):
    found = diagnosis.diagnose(*class_of(lambda place, one, moment: off_deg * (place == 3)))

    mine = found.people["P3"]
    assert mine.habit == "none"
    assert mine.offset_deg == pytest.approx(off_deg, abs=2.5)
    assert {person.habit for person in found.people.values()} == {"none"}


def test_who_reverses_and_leaves_the_declination_out_is_told_both():
    found = diagnosis.diagnose(
        *class_of(
            lambda place, one, moment: (180.0 - 25.6 * (one.north == "true")) * (place == 3),
        )
    )

    assert found.people["P3"].habit == "declination_ignored+reversed"
    assert found.people["P3"].offset_deg == pytest.approx(0.0, abs=2.5)


def test_a_poor_sight_is_no_slip_of_tens_for_want_of_another_place():
    # 27 degrees off: once called a slip of tens at .58 to .85 (real readings, 2026-11).
    answers, readings = class_of(lambda place, one, moment: 0.0)
    index = next(place for place, one in enumerate(readings) if one.person == "P4")
    seen = Written((readings[index].seen.degrees - 27.0) % 360)
    readings[index] = Reading("P4", readings[index].task, seen)

    verdict = diagnosis.diagnose(answers, readings).verdicts[index]

    listed = dict([(verdict.cause, verdict.probability), *verdict.alternatives])
    assert listed.get("ten_off", 0.0) < 0.5


def test_a_wrong_answer_that_was_copied_is_nobodys_habit():
    # P1 turns every bearing round; P2 reads right, but for three answers that P1 had just given.
    answers, readings = class_of(lambda place, one, moment: 180.0 * (place == 1))
    last, copied = {}, 0
    for index, reading in enumerate(readings):
        if reading.person == "P2" and copied < 3 and last.get(reading.task):
            readings[index] = Reading("P2", reading.task, last[reading.task])
            copied += 1
        if reading.person == "P1":
            last[reading.task] = reading.seen

    found = diagnosis.diagnose(answers, readings)

    assert copied == 3
    assert (found.people["P1"].habit, found.people["P2"].habit) == ("reversed", "none")


@pytest.mark.parametrize(
    ("numbers", "writes"),
    [
        ((65, 70, 235, 40, 355, 120), True),
        ((65, 67, 235, 41, 355, 120), False),
        ((66, 71), False),
        ((), False),
    ],
)
def test_who_writes_fives_is_known_by_several_numbers(numbers, writes):
    assert (writes_fives(numbers) > 0.5) is writes


def test_a_number_off_its_writers_fives_is_a_slip_of_figures():
    # 235 written 253: of all the ways to 253 the exchange is the one that begins with a five.
    course = tuple(
        answer(task=str(number), true_deg=degrees, north="magnetic")
        for number, degrees in enumerate((73.0, 128.0, 163.0, 208.0, 303.0, 338.0, 243.0))
    )
    numbers = [65, 120, 155, 200, 295, 330]
    plain = [Reading("Mia", str(n), Written(float(number))) for n, number in enumerate(numbers)]
    exact = [
        Reading("Tom", str(n), Written(float(number + (-1, 2, 1, -2, 1, 3)[n])))
        for n, number in enumerate(numbers)
    ]
    slip = [Reading(name, "6", Written(253.0)) for name in ("Mia", "Tom")]
    random.Random(1).shuffle(slip)

    found = diagnosis.diagnose(course, [*plain, *exact, *slip])

    chance = {
        reading.person: dict([(verdict.cause, verdict.probability), *verdict.alternatives]).get(
            "digits_swapped", 0.0
        )
        for reading, verdict in zip(slip, found.verdicts[-2:], strict=True)
    }
    assert chance["Mia"] > chance["Tom"] + 0.05
