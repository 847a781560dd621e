import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection

from exercises.models import CourseClass, Reading
from exercises.models.reading import ReadingIsKept
from exercises.usecases.open_class import close_class
from exercises.usecases.take_readings import take_readings
from tests import cast


def take(course_class, person, *sent, now=cast.NOW):
    answers = course_class.keys.get().as_domain()
    return take_readings(
        course_class=course_class, people=[person], sent=list(sent), answers=answers, now=now
    )


def test_a_reading_sent_twice_is_stored_once(open_class, mia):
    sent = cast.reading(mia)

    assert [take(open_class, mia, sent)[0].status for _ in range(3)] == ["stored", "again", "again"]
    assert Reading.objects.count() == 1


def test_a_reading_sent_twice_in_one_batch_is_stored_once(open_class, mia):
    sent = cast.reading(mia)

    assert [outcome.status for outcome in take(open_class, mia, sent, sent)] == ["stored", "again"]


def test_the_same_id_with_another_content_is_a_conflict_and_changes_nothing(open_class, mia):
    sent = cast.reading(mia)
    take(open_class, mia, sent)

    (outcome,) = take(open_class, mia, {**sent, "text": "045"})

    assert (outcome.status, Reading.objects.get().text) == ("conflict", "044")


def test_the_time_of_reading_and_the_time_of_receipt_are_kept_apart(open_class, mia):
    take(open_class, mia, cast.reading(mia), now=cast.LATER)

    kept = Reading.objects.get()
    assert (kept.measured_at.isoformat(), kept.received_at) == (
        "2026-10-03T09:40:00+00:00",
        cast.LATER,
    )


@pytest.mark.parametrize(
    ("late", "is_believed"),
    [
        pytest.param(timedelta(0), True, id="at once"),
        pytest.param(timedelta(hours=12), True, id="half a day without signal"),
        pytest.param(timedelta(hours=12, seconds=1), False, id="later than half a day"),
        pytest.param(timedelta(hours=119), False, id="days later"),
        pytest.param(timedelta(seconds=-1), False, id="a clock that is ahead of ours"),
    ],
)
def test_a_phones_clock_is_believed_for_half_a_day(late, is_believed):
    kept = Reading(measured_at=cast.NOW - late, received_at=cast.NOW)

    assert kept.moment == (kept.measured_at if is_believed else cast.NOW)


def test_the_compass_is_copied_as_it_was(open_class, mia):
    take(open_class, mia, cast.reading(mia))
    mia.compass.declination_is_set = True
    mia.compass.save()

    kept = Reading.objects.get()
    assert (kept.compass_number, kept.compass_declination_is_set) == ("7", False)


def test_attempts_are_numbered(open_class, mia):
    take(
        open_class,
        mia,
        cast.reading(mia),
        cast.reading(mia, text="050"),
        cast.reading(mia, task="3", text="125"),
    )

    assert list(Reading.objects.order_by("pk").values_list("task", "attempt")) == [
        ("1", 1),
        ("1", 2),
        ("3", 1),
    ]


def test_a_reading_for_a_closed_class_is_kept_and_marked_late(open_class, mia):
    close_class(course_class=open_class, now=cast.LATER)
    open_class.refresh_from_db()

    (outcome,) = take(open_class, mia, cast.reading(mia))

    assert (outcome.status, outcome.message) == (
        "stored",
        "Kept, but marked late: the class is closed.",
    )
    assert Reading.objects.get().is_late


def test_mils_that_the_person_stands_by_are_kept_as_mils(open_class, mia):
    take(open_class, mia, cast.reading(mia, text="1315", mils=True))

    kept = Reading.objects.get()
    assert (kept.value_mils, kept.value_deg) == (1315, 73.96875)


def test_a_text_that_is_no_bearing_is_kept_with_its_problem(open_class, mia):
    (outcome,) = take(open_class, mia, cast.reading(mia, text="37O"))

    assert "cannot be graded" not in outcome.message
    assert "not an answer that can be graded" in outcome.message
    assert list(Reading.objects.values_list("text", "problem", "value_deg")) == [
        ("37O", "NotABearing", None)
    ]


@pytest.mark.parametrize(
    "changes",
    [
        {"id": "not a uuid"},
        {"id": None},
        {"id": 7},
        {"person": 10**9},
        {"person": "1"},
        {"person": None},
        {"task": "99"},
        {"task": None},
        {"task": ["1"]},
        {"text": ""},
        {"text": "  "},
        {"text": "1" * 41},
        {"text": 74},
        {"text": "07\x004"},
        {"text": "\ud800"},
        {"text": "07\n4"},
    ],
)
def test_a_reading_that_names_nobody_or_nothing_is_refused_and_not_stored(open_class, mia, changes):
    (outcome,) = take(open_class, mia, {**cast.reading(mia), **changes})

    assert (outcome.status, Reading.objects.count()) == ("refused", 0)
    assert outcome.message.endswith(".")


@pytest.mark.parametrize("sent", [None, 7, "x", [], True])
def test_what_is_no_reading_is_refused(open_class, mia, sent):
    assert take(open_class, mia, sent)[0].status == "refused"


@pytest.mark.parametrize(
    "moment",
    [None, 7, "yesterday", "0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59", "2026-10-03"],
)
def test_a_phones_clock_that_makes_no_sense_loses_no_reading(open_class, mia, moment):
    assert take(open_class, mia, cast.reading(mia, measured_at=moment))[0].status == "stored"


def test_one_bad_reading_does_not_hold_up_the_others(open_class, mia):
    outcomes = take(open_class, mia, cast.reading(mia, task="99"), cast.reading(mia))

    assert [outcome.status for outcome in outcomes] == ["refused", "stored"]


def test_a_stored_reading_is_never_changed_nor_deleted(open_class, mia):
    take(open_class, mia, cast.reading(mia))
    kept = Reading.objects.get()

    with pytest.raises(ReadingIsKept):
        kept.save()
    with pytest.raises(ReadingIsKept):
        kept.delete()


@pytest.mark.django_db(transaction=True)
def test_a_reading_sent_by_eight_threads_at_once_is_stored_once():
    course_class = cast.class_of(cast.instructor("ines"))
    ((person, _),) = cast.join(course_class, "Mia")
    sent, other = cast.reading(person), cast.reading(person)

    def send(_):
        try:
            return [outcome.status for outcome in take(course_class, person, sent, other)]
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        statuses = list(pool.map(send, range(8)))

    assert sorted(status for pair in statuses for status in pair) == ["again"] * 14 + ["stored"] * 2
    assert sorted(Reading.objects.values_list("attempt", flat=True)) == [1, 2]


@pytest.mark.django_db(transaction=True)
def test_readings_of_one_task_from_eight_threads_at_once_are_numbered_one_after_the_other():
    course_class = cast.class_of(cast.instructor("ines"))
    ((person, _),) = cast.join(course_class, "Mia")

    def send(_):
        try:
            return take(course_class, person, cast.reading(person))[0].status
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(send, range(8))) == ["stored"] * 8
    assert sorted(Reading.objects.values_list("attempt", flat=True)) == [*range(1, 9)]


def test_what_was_kept_is_known_by_the_number_that_the_database_gave_it(open_class, mia):
    take(open_class, mia, cast.reading(mia))
    (outcome,) = take(open_class, mia, cast.reading(mia, text="050"))

    kept = Reading.objects.get(text="050")
    assert (outcome.reading, outcome.reading.attempt, kept.attempt) == (kept, 2, 2)


def test_a_phone_is_told_of_which_task_more_can_be_asked(phone, open_class, mia):
    CourseClass.objects.update(feedback="released")
    sent = [cast.reading(mia), cast.reading(mia, task="99")]

    answer = phone.post(
        f"/c/{open_class.code}/readings/", {"readings": sent}, content_type="application/json"
    )

    assert [one["tells"] for one in answer.json()["readings"]] == ["", ""]
    CourseClass.objects.update(feedback="second_try")
    answer = phone.post(
        f"/c/{open_class.code}/readings/", {"readings": sent}, content_type="application/json"
    )
    assert [one["tells"] for one in answer.json()["readings"]] == ["1", ""]


def test_the_outcome_is_plain_json(phone, open_class, mia):
    answer = phone.post(
        f"/c/{open_class.code}/readings/",
        json.dumps({"readings": [cast.reading(mia)]}),
        content_type="application/json",
    )

    assert [sorted(one) for one in answer.json()["readings"]] == [
        ["graded", "id", "message", "person", "status", "task", "tells"]
    ]


def test_mils_for_a_target_are_kept_as_an_answer_that_cannot_be_graded(open_class, mia):
    # 2026-11-25: the reading was parsed as a bearing, and the request ended in an error page.
    (outcome,) = take(open_class, mia, cast.reading(mia, task="2", text="12", mils=True))

    assert (outcome.status, outcome.reading.problem) == ("stored", "NotATarget")


def test_a_number_with_a_space_that_does_not_break_is_taken(open_class, mia):
    (outcome,) = take(open_class, mia, cast.reading(mia, text="74\u00a0\u00b0"))

    assert (outcome.status, outcome.reading.text, outcome.reading.value_deg) == (
        "stored",
        "74 \u00b0",
        74.0,
    )
