"""When a phone is asked about a reading: never before its answer may be told."""

import json
import uuid

import pytest

from exercises.models import CourseClass, Reading, Reply
from tests import cast
from tests.views.test_station import post, told_after

OPEN_DEG = 127.0  # off task 1's answer: which of the things in view, or something else, is open


def joined(ines, client, **changed):
    made = cast.class_of(ines, **changed)
    made.joined = cast.join(made, "Mia")
    cast.speaks_for(client, made, made.joined)
    return made


def give(client, made, off_deg=0.0, task="1"):
    answer = next(one for one in made.keys.get().as_domain() if one.task == task)
    text = f"{round(answer.expected_deg + off_deg) % 360:03d}"
    return told_after(client, made, cast.reading(made.joined[0][0], task=task, text=text))


def give_three(client, made):
    """Two plain readings before the open one, since one in three may be asked about."""
    give(client, made, task="3")
    mia = made.joined[0][0]
    post(client, made, cast.reading(mia, task="2", text="T3"))
    return give(client, made, OPEN_DEG)


def question_in(told):
    return [entry["question"] for entry in told["shown"] if "question" in entry]


def test_an_open_reading_is_asked_about_beside_its_answer(ines, client):
    (question,) = question_in(give_three(client, joined(ines, client)))

    assert question["about"] == Reading.objects.get(task="1").pk
    assert (question["code"], question["prompt"]) == (
        "arithmetic",
        "Did you add anything to the number, or subtract anything?",
    )
    assert [choice["text"] for choice in question["choices"]] == ["Added", "Subtracted", "Neither"]


def test_the_first_of_three_readings_is_not_asked_about(ines, client):
    assert question_in(give(client, joined(ines, client), OPEN_DEG)) == []


@pytest.mark.parametrize(
    "feedback", [CourseClass.Feedback.SECOND_TRY, CourseClass.Feedback.RELEASED]
)
def test_nobody_is_asked_before_the_answer_may_be_told(ines, client, feedback):
    made = joined(ines, client, feedback=feedback)

    told = give_three(client, made)
    state = client.get(f"/c/{made.code}/state/").json()

    assert "question" not in json.dumps([told["shown"], state["shown"]])


def test_a_class_that_wants_silence_has_it(ines, client):
    assert question_in(give_three(client, joined(ines, client, asks=False))) == []


def test_a_reply_is_stored_once_and_the_cause_told_anew(ines, client):
    made = joined(ines, client)
    (question,) = question_in(give_three(client, made))
    stamp = client.get(f"/c/{made.code}/state/").json()["stamp"]
    sent = {
        "id": str(uuid.uuid4()),
        "about": question["about"],
        "question": question["code"],
        "said": question["choices"][0]["code"],
        "measured_at": "2026-10-03T09:50:00+00:00",
    }

    first, second = (told_after(client, made, sent) for _ in range(2))

    assert [one["readings"][0]["status"] for one in (first, second)] == ["stored", "again"]
    assert Reply.objects.get().said == sent["said"]
    assert [entry["task"] for entry in first["shown"]] == ["1"]
    assert question_in(first) == []
    assert client.get(f"/c/{made.code}/state/").json()["stamp"] != stamp
