"""What is told of ground and compasses where the demonstration has no such fault: classes with what
was found put in their place.
"""

from dataclasses import replace

import pytest

from exercises.domain.diagnosis.biases import NO_BIAS, Bias
from exercises.domain.diagnosis.diagnosis import Compass
from exercises.models import CourseClass
from exercises.presenting.show import screens
from exercises.usecases.debrief import debrief
from tests import cast, demonstration

OFF = Bias(-9.6, 0.6, 0.95)


@pytest.fixture
def whole(db):
    demonstration.load()
    held = CourseClass.objects.get(name="Spring introduction")
    return debrief(course_class=held, now=cast.NOW)


def with_found(whole, **found):
    return replace(whole, diagnosis=replace(whole.diagnosis, **found))


def part(whole, name):
    return [screen for screen in screens(whole) if screen["part"] == name]


def test_a_line_at_fault_is_told_by_its_task_and_its_target(whole):
    (screen,) = part(with_found(whole, stations={}, lines={"5": OFF}), "ground")

    assert screen["title"] == "Task 5: the line to the stone gatepost, the taller"
    assert screen["off"] == "Here the compass gives about 10° too little."
    assert screen["missed"].startswith("18 of 23 readings here missed full credit")
    assert screen["reasons"].startswith("The target has moved")


def test_a_fault_that_began_says_when(whole):
    place = next(n for n, reading in enumerate(whole.judged) if reading.task == "5")
    (screen,) = part(with_found(whole, stations={"C": replace(OFF, since=place)}), "ground")

    assert screen["since"] == ("from", whole.judged[place].reading.moment)


def test_where_nothing_is_at_fault_one_screen_says_so(whole):
    compasses = {number: Compass(NO_BIAS, 0.0) for number in ("1", "2")}
    sound = with_found(whole, stations={}, lines={}, compasses=compasses)

    (screen,) = part(sound, "compasses")

    assert part(sound, "ground") == []
    assert (screen["is_ground_sound"], screen["compasses"]) == (True, [])
    assert 'class="offset-off"' not in screen["drawing"]


def test_a_reversed_needle_is_told_as_the_compass_and_never_as_peoples(whole):
    held = {reading.reading.compass for reading in whole.judged}
    wrong = [
        replace(reading, verdict=replace(reading.verdict, cause="reversed", probability=0.99))
        if reading.credit < 1.0 and reading.cause == "ok"
        else reading
        for reading in whole.judged
    ]
    turned = {number: Compass(NO_BIAS, 0.99) for number in held}
    found = with_found(replace(whole, judged=wrong), compasses=turned)

    (screen,) = part(found, "compasses")

    assert {compass["what"] for compass in screen["compasses"]} == {
        "Its needle points the wrong way."
    }
    assert screen["drawing"] == ""
    assert "Reversed" not in [lesson["title"] for lesson in part(found, "lesson")]
    as_people = with_found(replace(whole, judged=wrong), compasses={})
    assert "Reversed" in [lesson["title"] for lesson in part(as_people, "lesson")]
