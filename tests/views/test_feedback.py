"""When a phone learns what its readings were worth."""

import json
from datetime import timedelta

import pytest

from exercises.models import CourseClass, Task
from exercises.usecases.open_class import close_class, release_feedback
from exercises.usecases.take_readings import take_readings
from tests import cast
from tests.views.test_station import post, told_after

WRONG = "224"  # the answer of task 1 is about 044: reversed


@pytest.fixture
def second_try(ines, client):
    made = cast.class_of(ines, feedback=CourseClass.Feedback.SECOND_TRY)
    made.joined = cast.join(made, "Mia")
    cast.speaks_for(client, made, made.joined)
    return made


def shown(client, made):
    return client.get(f"/c/{made.code}/state/").json()["shown"]


def test_after_a_first_try_comes_a_hint_and_no_answer(client, second_try):
    (answer, *_) = second_try.keys.get().as_domain()

    (told,) = told_after(
        client,
        second_try,
        cast.reading(second_try.joined[0][0], text=f"{round(answer.expected_deg + 180) % 360:03d}"),
    )["shown"]

    assert (
        told["hint"]
        == "Your bearing points almost the opposite way. Which end of the needle lies in the arrow "
        "of the dial (the orienting arrow)?"
    )
    assert sorted(told) == ["hint", "own", "person", "task", "words"]
    assert f"{answer.expected_deg:.0f}" not in json.dumps([told["hint"], shown(client, second_try)])


def test_after_the_second_try_comes_the_answer_and_the_first_counts(client, second_try):
    mia, (answer, *_) = second_try.joined[0][0], second_try.keys.get().as_domain()
    right = f"{round(answer.expected_deg):03d}"
    post(
        client, second_try, cast.reading(mia, text=f"{round(answer.expected_deg + 180) % 360:03d}")
    )

    (told,) = told_after(client, second_try, cast.reading(mia, text=right))["shown"]

    assert (told["credit"], told["reading"], told["note"]) == (
        "Now it is right",
        f"{right}° magnetic",
        "Your first reading stands in the records; this one was for learning.",
    )


def test_two_tries_sent_at_once_are_one_for_the_second_knew_no_hint(client, second_try):
    mia, (answer, *_) = second_try.joined[0][0], second_try.keys.get().as_domain()
    wrong = f"{round(answer.expected_deg + 180) % 360:03d}"

    (told,) = told_after(
        client, second_try, cast.reading(mia, text=wrong), cast.reading(mia, text=wrong)
    )["shown"]

    assert "hint" in told
    assert f"{answer.expected_deg:.0f}" not in json.dumps([told["hint"], shown(client, second_try)])
    (told,) = told_after(client, second_try, cast.reading(mia, text=wrong))["shown"]
    assert "hint" not in told


def test_a_try_that_came_while_the_first_was_being_stored_knew_no_hint(client, second_try):
    mia, answers = second_try.joined[0][0], second_try.keys.get().as_domain()
    wrong = f"{round(answers[0].expected_deg + 180) % 360:03d}"
    for received_ms, stored_ms in ((0, 8), (5, 12)):
        moments = (cast.NOW + timedelta(milliseconds=ms) for ms in (received_ms, stored_ms))
        now, stored = moments
        take_readings(
            course_class=second_try,
            people=[mia],
            sent=[cast.reading(mia, text=wrong)],
            answers=answers,
            now=now,
            clock=lambda stored=stored: stored,
        )

    assert "hint" in json.dumps(shown(client, second_try))


def test_a_first_try_with_full_credit_needs_no_second(client, second_try):
    (answer, *_) = second_try.keys.get().as_domain()

    (told,) = told_after(
        client,
        second_try,
        cast.reading(second_try.joined[0][0], text=f"{round(answer.expected_deg):03d}"),
    )["shown"]

    assert (told["credit"], told["note"]) == ("Full credit", "")


def test_a_task_may_have_its_own_policy(ines, client):
    course = cast.course_of(cast.site_of(ines))
    Task.objects.filter(course=course, number=1).update(feedback="released")
    made = cast.class_of(ines, course=course)
    joined = cast.join(made, "Mia")
    cast.speaks_for(client, made, joined)
    post(client, made, cast.reading(joined[0][0]), cast.reading(joined[0][0], task="2", text="T3"))

    assert [one["task"] for one in shown(client, made)] == ["2"]
    assert [task["policy"] for task in client.get(f"/c/{made.code}/state/").json()["tasks"]] == [
        "released",
        "at_once",
        "at_once",
    ]
    release_feedback(course_class=made, now=cast.LATER)
    assert [one["task"] for one in shown(client, made)] == ["1", "2"]


def test_the_policy_is_frozen_with_the_key(open_class):
    Task.objects.update(feedback="released")

    assert [answer.feedback for answer in open_class.keys.get().as_domain()] == ["", "", ""]


def test_people_who_share_a_phone_see_answers_when_nobody_may_try_again(ines, client):
    made = cast.class_of(ines, feedback=CourseClass.Feedback.SECOND_TRY)
    joined = cast.join(made, "Mia", "Nele")
    cast.speaks_for(client, made, joined)
    (mia, _), (nele, _) = joined

    alone = told_after(client, made, cast.reading(mia, text=WRONG))["shown"]
    both = told_after(client, made, cast.reading(nele, text=WRONG))["shown"]
    again = told_after(client, made, cast.reading(mia, text=WRONG))["shown"]
    through = told_after(client, made, cast.reading(nele, text=WRONG))["shown"]

    assert alone == []
    assert [("hint" in one, one["person"]) for one in both] == [(True, mia.pk), (True, nele.pk)]
    assert [("hint" in one, one["person"]) for one in again] == [(True, nele.pk)]
    assert {("hint" in one, one["person"]) for one in through} == {
        (False, mia.pk),
        (False, nele.pk),
    }


@pytest.mark.parametrize("policy", ["released", "second_try"])
def test_a_sheet_waits_for_the_release_where_a_task_does(ines, client, policy):
    # 2026-11-26: closing the class showed the answers of tasks that were to wait.
    course = cast.course_of(cast.site_of(ines))
    Task.objects.filter(course=course, number=1).update(feedback=policy)
    made = cast.class_of(ines, course=course)
    cast.speaks_for(client, made, cast.join(made, "Mia"))
    close_class(course_class=made, now=cast.LATER)

    assert (
        client.get(f"/c/{made.code}/state/").json()["sheet"],
        client.get(f"/c/{made.code}/mine/").status_code,
    ) == (False, 302)
    release_feedback(course_class=made, now=cast.LATER)
    assert (
        client.get(f"/c/{made.code}/state/").json()["sheet"],
        client.get(f"/c/{made.code}/mine/").status_code,
    ) == (True, 200)


@pytest.mark.parametrize("address", ["state", "mine"])
def test_what_is_about_somebody_is_kept_by_no_cache(client, open_class, address):
    cast.speaks_for(client, open_class, cast.join(open_class, "Mia"))
    close_class(course_class=open_class, now=cast.LATER)

    assert "no-store" in client.get(f"/c/{open_class.code}/{address}/").headers["Cache-Control"]


def test_a_wider_band_is_told_to_a_phone_that_is_open(client, open_class):
    joined = cast.join(open_class, "Mia")
    cast.speaks_for(client, open_class, joined)
    stamp = client.get(f"/c/{open_class.code}/state/").json()["stamp"]
    joined[0][0].wider_band_deg = 30
    joined[0][0].save()

    assert client.get(f"/c/{open_class.code}/state/?have={stamp}").status_code == 200


def test_a_class_that_was_closed_by_mistake_is_opened_again(desk, open_class):
    close_class(course_class=open_class, now=cast.NOW)
    desk.post(f"/classes/{open_class.pk}/reopen/")

    open_class.refresh_from_db()
    assert (open_class.state, open_class.closed_at) == ("open", None)


@pytest.mark.parametrize(
    ("feedback", "can_release"), [("at_once", False), ("second_try", True), ("released", True)]
)
def test_the_desk_offers_a_release_where_there_is_something_to_release(
    ines, desk, feedback, can_release
):
    made = cast.class_of(ines, feedback=feedback)

    assert ("Release feedback" in desk.get(f"/classes/{made.pk}/").content.decode()) == can_release
