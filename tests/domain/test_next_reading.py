"""Which one reading more tells two habits of a person apart."""

from exercises.domain.diagnosis import diagnosis
from exercises.domain.earth.angles import Written
from exercises.domain.earth.norths import Norths
from exercises.domain.planning.next_reading import telling
from exercises.domain.tasks.reading import Reading
from tests.ground import answer

OTAGO = Norths(25.6, 2.1)
TRUE = answer(task="true", north="true", norths=OTAGO)
MAGNETIC = answer(task="magnetic", north="magnetic", norths=OTAGO)


def test_left_out_and_none_are_told_where_the_declination_is_wanted():
    found = telling([MAGNETIC, TRUE], "declination_ignored", "ok")

    assert (found.answer.task, round(found.apart_deg, 1)) == ("true", 25.6)


def test_left_out_and_the_wrong_way_lie_one_declination_apart():
    found = telling([TRUE], "declination_ignored", "declination_wrong_way")

    assert round(found.apart_deg, 1) == 25.6


def test_nothing_is_proposed_where_one_reading_would_not_tell():
    near = answer(north="true", norths=Norths(3.0, 0.0))

    assert telling([near, MAGNETIC], "declination_ignored", "ok") is None


def test_nothing_is_proposed_on_ground_that_is_at_fault():
    assert telling([TRUE], "declination_ignored", "ok", {"A"}) is None
    assert telling([TRUE], "declination_ignored", "ok", {"true"}) is None


def test_a_person_of_two_minds_is_said_with_both_habits():
    # One reading alone, twenty low where 25.6 would be the declination left out: that, or not.
    reading = Reading("Mia", "true", Written(TRUE.expected_deg - 20.0))
    found = diagnosis.diagnose((TRUE,), [reading]).people["Mia"]

    both = dict([(found.habit, found.habit_probability), *found.other_habits])

    assert both["declination_ignored"] > 0.1
    assert both["none"] > 0.1
    assert sum(both.values()) <= 1.0 + 1e-9
