"""Who is told what: everybody, some people alone, nobody."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, strategies as st

from exercises.domain.mistakes import causes
from exercises.domain.results import lessons

from .test_diagnosis import result


def mistake(person, cause, task="1", probability=0.9):
    return result(person, task, credit=0.0, cause=cause, probability=probability)


def codes(found):
    return [(lesson.code, len(lesson.readings), len(lesson.people)) for lesson in found]


@pytest.mark.parametrize(
    ("people", "habit_of", "expected"),
    [
        pytest.param("ab", "", False, id="slips of two"),
        pytest.param("abc", "", True, id="slips of three"),
        pytest.param("a", "a", False, id="a habit of one"),
        pytest.param("ab", "ab", False, id="a habit of two"),
        pytest.param("abcd", "ab", False, id="a habit of two and slips of two others"),
        pytest.param("abcde", "ab", True, id="a habit of two and slips of three others"),
        pytest.param("abc", "abc", True, id="a habit of three"),
        pytest.param("aaa", "", False, id="one person three times"),
    ],
)
def test_a_mistake_is_the_classes_from_three_people_besides_a_habit_of_one_or_two(
    people, habit_of, expected
):
    assert lessons.is_for_everybody(people, habit_of) is expected


def test_two_peoples_habit_does_not_stand_before_what_many_did():
    # 2026-11-27: twenty readings of two people stood first, before what five people did.
    judged = [
        *(mistake("ab"[number % 2], "declination_ignored", str(number)) for number in range(20)),
        *(mistake(person, "mirrored") for person in "cdefg"),
    ]

    found = lessons.told(judged, dict.fromkeys("ab", "declination_ignored"))

    assert codes(found.everybody) == [("mirrored", 5, 5)]
    assert codes(found.few) == [("declination_ignored", 20, 2)]


def test_what_most_people_did_stands_first_however_often_fewer_did_something_else():
    judged = [
        *(mistake(person, "reversed", str(task)) for person in "abc" for task in range(9)),
        *(mistake(person, "mirrored") for person in "defg"),
    ]

    assert codes(lessons.told(judged, {}).everybody) == [("mirrored", 4, 4), ("reversed", 27, 3)]


@pytest.mark.parametrize(
    ("cause", "place"),
    [
        ("station_fault", "ground"),
        ("compass_offset", "compasses"),
        ("compass_offset+station_fault", "ground"),
        ("ok", "near"),
        ("unexplained", "unclear"),
    ],
)
@pytest.mark.parametrize("probability", [0.3, 0.99])
def test_what_was_the_grounds_or_a_compass_fault_is_never_told_as_the_peoples(
    cause, place, probability
):
    judged = [mistake(person, cause, probability=probability) for person in "abcd"]

    found = lessons.told(judged, {})

    assert found.lessons == ()
    assert len(getattr(found, place)) == found.missed == 4


def test_a_mistake_that_may_not_be_said_as_one_sentence_is_nobodys():
    judged = [mistake(person, "reversed", probability=causes.SURE - 0.01) for person in "abc"]

    found = lessons.told(judged, {})

    assert (found.lessons, len(found.unclear)) == ((), 3)


def test_a_mistake_beside_a_fault_of_the_ground_is_still_a_mistake():
    judged = [mistake(person, "reversed+station_fault") for person in "abc"]

    found = lessons.told(judged, {})

    assert codes(found.everybody) == [("reversed", 3, 3)]
    assert found.ground == ()


def test_a_reversed_needle_is_the_compass_fault_and_of_nobody_who_held_it():
    # 2026-11-27: its readings are called reversed, and would have been taught to everybody.
    held = [mistake(person, "reversed") for person in "abc"]
    judged = [replace(one, reading=replace(one.reading, compass="9")) for one in held]

    found = lessons.told(lessons.by_compass(judged, {"9"}), {})

    assert (found.lessons, len(found.compasses)) == ((), 3)
    assert codes(lessons.told(lessons.by_compass(judged, {"8"}), {}).everybody) == [
        ("reversed", 3, 3)
    ]


def test_what_else_went_wrong_with_a_reversed_needle_is_still_a_mistake():
    one = mistake("a", "mirrored+reversed")
    judged = [replace(one, reading=replace(one.reading, compass="9"))]

    (found,) = lessons.by_compass(judged, {"9"})

    assert found.cause == "compass_offset+mirrored"


def test_two_mistakes_in_one_reading_count_for_the_one_that_more_people_made():
    judged = [
        *(mistake(person, "mirrored") for person in "abc"),
        mistake("d", "declination_ignored+mirrored"),
        mistake("d", "declination_ignored"),
    ]

    assert codes(lessons.told(judged, {}).lessons) == [
        ("mirrored", 4, 4),
        ("declination_ignored", 1, 1),
    ]


def test_readings_with_full_credit_are_nothing_to_tell():
    assert lessons.told([result("a", cause="declination_ignored", credit=1.0)], {}).missed == 0


def test_many_who_read_a_little_outside_are_taught_steadier_hands_after_the_mistakes():
    judged = [
        *(result(person, credit=0.5) for person in "abcd"),
        *(mistake(person, "reversed") for person in "abc"),
    ]

    assert codes(lessons.told(judged, {}).taught) == [("reversed", 3, 3), ("ok", 4, 4)]
    assert codes(lessons.told(judged[1:3], {}).taught) == []


def test_the_example_has_no_other_fault_in_it():
    alone = mistake("a", "reversed", probability=0.7)
    judged = [alone, *(mistake(person, "compass_offset+reversed") for person in "bc")]

    assert lessons.told(judged, {}).everybody[0].example is alone


COMBINED = [causes.combined(two) for two in itertools.combinations(sorted(causes.CODES[1:]), 2)]
READINGS = st.builds(
    lambda person, task, cause, credit, probability: result(
        person, task, credit=credit, cause=cause, probability=probability
    ),
    st.sampled_from("abcdef"),
    st.sampled_from("123"),
    st.sampled_from([*causes.CODES, *COMBINED]),
    st.sampled_from([0.0, 0.5, 1.0]),
    st.floats(0, 1),
)


@given(
    st.lists(READINGS, max_size=40), st.dictionaries(st.sampled_from("abcdef"), st.just("reversed"))
)
def test_every_reading_without_full_credit_is_in_one_place_alone(judged, habits):
    found = lessons.told(judged, habits)
    placed = [
        *itertools.chain.from_iterable(lesson.readings for lesson in found.lessons),
        *found.not_theirs,
        *found.near,
        *found.unclear,
    ]

    expected = [id(reading) for reading in judged if reading.credit < 1.0]
    assert sorted(map(id, placed)) == sorted(expected)
    assert found.missed == len(expected)
    assert all("station_fault" not in lesson.code for lesson in found.lessons)
    assert not {lesson.code for lesson in found.everybody} & {one.code for one in found.few}
