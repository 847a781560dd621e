"""What truly happened, said by the instructor on a person's sheet, or by the person."""

import uuid

import pytest

from exercises.domain.diagnosis.questions import LABEL
from exercises.models import Label, Reading
from tests import cast
from tests.views.test_questions_on_phone import give, joined
from tests.views.test_station import post


@pytest.fixture
def held(ines, client):
    made = joined(ines, client)
    give(client, made, 180.0)
    client.force_login(ines)
    return made


def say(client, made, **changed):
    reading = Reading.objects.get()
    sent = {"cause": "other_target", "client_id": str(uuid.uuid4())} | changed
    return client.post(f"/classes/{made.pk}/readings/{reading.pk}/label/", sent)


def test_an_instructor_says_what_it_was_and_the_sheet_shows_it(client, held):
    mia = held.joined[0][0]

    answer = say(client, held)

    assert answer.url == f"/classes/{held.pk}/people/{mia.pk}/"
    kept = Label.objects.get()
    assert (kept.cause, kept.said_by, kept.was_cause) == ("other_target", "instructor", "reversed")
    assert kept.was_probability > 0.9
    assert "It was: another target" in client.get(answer.url).content.decode()


def test_a_form_sent_twice_says_it_once(client, held):
    own = str(uuid.uuid4())
    for _ in range(2):
        say(client, held, client_id=own)

    assert Label.objects.count() == 1


@pytest.mark.parametrize(
    "changed", [{"cause": "tired"}, {"cause": ""}, {"client_id": "7"}, {"cause": "x" * 400}]
)
def test_what_is_no_cause_changes_nothing_and_says_why(client, held, changed):
    answer = say(client, held, **changed)

    assert not Label.objects.exists()
    assert "Choose" in client.get(answer.url).content.decode()


def test_a_label_counts_as_evidence(client, held):
    say(client, held, cause="mirrored")

    (row,) = held.readings.with_said()
    answer = next(one for one in held.keys.get().as_domain() if one.task == row.task)

    assert row.as_domain(answer).reply.question == LABEL
    assert row.as_domain(answer).reply.said == "mirrored"


def test_a_person_says_what_it_was_once(ines, client):
    made = joined(ines, client)
    (told,) = give(client, made, 180.0)["shown"]
    sent = {"id": str(uuid.uuid4()), "about": told["about"], "cause": told["instead"][1]["code"]}

    statuses = [post(client, made, sent).json()["readings"][0]["status"] for _ in range(2)]

    assert statuses == ["stored", "again"]
    assert Label.objects.get().said_by == "person"


def test_how_often_it_was_right_stands_on_the_experience_page(client, held):
    before = client.get("/experience/").content.decode()
    say(client, held, cause="reversed")
    after = client.get("/experience/").content.decode()

    assert "How often it was right" not in before
    assert "1 judgement was confirmed or corrected." in after
    assert "1 of 1" in after


def test_nobody_labels_the_readings_of_another_instructor(client, held):
    client.force_login(cast.instructor("karl"))

    assert say(client, held).status_code == 404
    assert not Label.objects.exists()


def test_the_instructor_is_told_which_reading_more_would_tell(client, held):
    page = client.get(f"/classes/{held.pk}/debrief/alone/").content.decode()

    assert "Have Mia do task 1 at A once more: it tells “reversed” from “no habit”." in page
