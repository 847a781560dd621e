"""First signs of a class that is out: what they name, what they rest on, and when they go."""

import itertools

import pytest
from hypothesis import given, strategies as st

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.class_arrays import SeenTo
from exercises.domain.results.judged import judge
from exercises.domain.running.first_signs import About, at_least, first_signs, is_key
from tests.domain.test_class_model import class_of


def signs_of(answers, readings, seen_to=()):
    found = diagnosis.diagnose(answers, readings, seen_to=seen_to)
    return first_signs(judge(answers, readings, found.verdicts, {}), found)


def bent(place, one, moment):
    return 15.0 * (one.station == "B")


def test_a_bent_station_is_named_with_its_degrees_and_what_it_rests_on():
    answers, readings = class_of(bent)
    (sign,) = signs_of(answers, readings)

    at = {one.task: one.station for one in answers}
    assert (sign.about, sign.subject, sign.of) == (
        About.STATION,
        "B",
        sum(at[reading.task] == "B" for reading in readings),
    )
    assert sign.degrees == pytest.approx(15.0, abs=2.0)
    assert sign.probability > 0.9
    assert {at[readings[place].task] for place in sign.rests_on} == {"B"}
    assert len(sign.rests_on) == sign.showing >= sign.of - 2


def test_sound_ground_and_sound_people_give_no_sign():
    assert signs_of(*class_of(lambda place, one, moment: 0.0)) == []


def test_a_line_at_a_sound_station_is_named_by_its_task():
    (sign,) = signs_of(*class_of(lambda place, one, moment: 15.0 * (one.task == "3")))

    assert (sign.about, sign.subject) == (About.LINE, "3")


def test_a_reversed_compass_is_named_by_its_number():
    (sign,) = signs_of(
        *class_of(
            lambda place, one, moment: 180.0 * (place % 4 == 2),
            compass=lambda place: str(place % 4),
        )
    )

    assert (sign.about, sign.subject) == (About.COMPASS_REVERSED, "2")


def test_what_many_leave_out_is_one_sign_for_everybody():
    def without_declination(place, one, moment):
        return -25.6 * (one.north == "true" and place % 2 == 0)

    (sign,) = signs_of(*class_of(without_declination))

    assert (sign.about, sign.subject, sign.showing, sign.of) == (
        About.HABIT,
        "declination_ignored",
        6,
        12,
    )


def half_of(readings, at):
    """After how many readings everybody has been at a station about half as often as they will."""
    places = [place for place, reading in enumerate(readings) if at[reading.task] == "B"]
    return places[len(places) // 2]


def test_a_station_that_was_mended_when_somebody_saw_to_it_gives_no_sign_any_more():
    answers, readings = class_of(bent)
    at = {one.task: one.station for one in answers}
    middle = half_of(readings, at)
    seen = [
        reading
        for place, reading in enumerate(readings)
        if place < middle or at[reading.task] != "B"
    ]
    sound = class_of(lambda place, one, moment: 0.0)[1]
    later = [reading for reading in sound[middle:] if at[reading.task] == "B"][:2]
    until = seen[:middle] + later

    without = signs_of(answers, until)
    with_it = signs_of(answers, until, [SeenTo("B", middle)])

    assert [sign.subject for sign in without] == ["B"]
    assert with_it == []


def test_a_station_that_was_seen_to_and_is_still_bent_keeps_its_sign():
    answers, readings = class_of(bent)
    at = {one.task: one.station for one in answers}

    (sign,) = signs_of(answers, readings, [SeenTo("B", half_of(readings, at))])

    assert (sign.subject, sign.degrees) == ("B", pytest.approx(15.0, abs=2.0))


def test_two_readings_are_no_sign():
    answers, readings = class_of(bent)
    at = {one.task: one.station for one in answers}
    there = [place for place, reading in enumerate(readings) if at[reading.task] == "B"]

    assert signs_of(answers, readings[: there[1] + 1]) == []


@given(st.lists(st.floats(0.0, 1.0), max_size=7), st.integers(0, 8))
def test_at_least_so_many_agrees_with_every_outcome_summed(chances, number):
    brute = 0.0
    for happens in itertools.product((True, False), repeat=len(chances)):
        if sum(happens) >= number:
            product = 1.0
            for it_does, chance in zip(happens, chances, strict=True):
                product *= chance if it_does else 1.0 - chance
            brute += product

    assert at_least(number, chances) == pytest.approx(brute, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("station:B:", True),
        ("other_target:4:T2", True),
        ("station:B", False),
        ("weather::", False),
        ("", False),
    ],
)
def test_a_key_of_a_sign_is_known_by_its_form(text, is_one):
    assert is_key(text) is is_one
