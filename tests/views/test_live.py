"""Watching a class that is out: what the page says, what is seen to and noted, once however often
it is sent.
"""

import datetime
import json
import uuid

import pytest

from exercises.models import CourseClass, FieldNote, Phone, Results, SeenTo, TrailEntry
from exercises.presenting import live
from exercises.presenting.trail import trail_text
from exercises.usecases.debrief import debrief
from exercises.usecases.take_demo_out import take_demo_out
from exercises.usecases.watch_class import hear_phone, watch
from tests import cast, demonstration

AFTER = cast.NOW + datetime.timedelta(minutes=5)


@pytest.fixture
def out(db, client):
    """The demonstration's class half-way round, and its owner signed in."""
    demonstration.load()
    course_class = CourseClass.objects.get(name="Thursday beginners")
    take_demo_out(course_class=course_class, now=cast.NOW)
    course_class.refresh_from_db()
    client.force_login(course_class.owner)
    return course_class


def act(**more):
    return {"id": str(uuid.uuid4()), "at": "2026-10-03T09:31:00Z", **more}


def send(client, course_class, *acts, **more):
    return client.post(
        f"/classes/{course_class.pk}/live/acts/",
        {"acts": list(acts), **more},
        content_type="application/json",
    )


def live_text(course_class, now, minutes=20):
    return live.live_text(watch(course_class=course_class, now=now), now, minutes)


def signs(course_class, now=cast.NOW):
    return {sign.key: sign for sign in live_text(course_class, now)["signs"]}


def test_the_bent_station_and_the_bent_compass_of_the_demonstration_are_first_signs(out):
    found = signs(out)

    assert set(found) == {"station:C:", "compass_off:5:", "habit:reversed:"}
    assert found["station:C:"].what == "C reads about 10° too much, for 3 of 3 readings"
    assert found["station:C:"].probability in {f"{percent}%" for percent in range(85, 100)}


def test_a_station_stands_as_one_to_look_at_until_somebody_saw_to_it(client, out):
    def mark():
        stations = {one.code: one for one in live_text(out, AFTER)["stations"]}
        return stations["C"].mark

    before = mark()
    send(client, out, act(do="see_to", sign="station:C:"), clock="2026-10-03T09:31:00Z")

    assert (before, mark()) == ("look", "been")


def test_who_saw_to_a_sign_and_when_stands_beside_it(client, out):
    send(client, out, act(do="see_to", sign="station:C:"))
    row = SeenTo.objects.get()
    said = signs(out, AFTER)["station:C:"]

    assert (row.by, row.sign, said.is_done) == ("demo", "station:C:", True)
    assert said.seen_to.startswith("Seen to ")


def test_readings_that_show_a_sign_after_it_was_seen_to_say_that_it_is_still_there(out):
    early = datetime.datetime(2026, 10, 3, 8, 47, tzinfo=datetime.UTC)
    SeenTo.objects.create(
        course_class=out,
        client_id=uuid.uuid4(),
        sign="station:C:",
        at=early,
        by="Pim",
        received_at=early,
    )
    said = signs(out)["station:C:"]

    assert (said.is_still_there, said.is_done) == (True, False)


def test_an_act_sent_twice_is_stored_once_and_answered_twice(client, out):
    acts = [act(do="see_to", sign="station:C:"), act(do="note", station="C", words="gate open")]
    answers = [send(client, out, *acts).json() for _ in range(2)]

    assert answers[0] == answers[1] == {"kept": [one["id"] for one in acts]}
    assert (SeenTo.objects.count(), FieldNote.objects.count()) == (1, 1)
    assert TrailEntry.objects.filter(verb="saw_to").count() == 1


def test_what_was_taken_back_is_not_seen_to(client, out):
    send(client, out, act(do="see_to", sign="station:C:"))
    send(client, out, act(do="take_back", sign="station:C:"))

    assert not signs(out, AFTER)["station:C:"].seen_to
    assert [words for _, _, words in trail_text(out.trail.all()[:2])] == [
        "took back that somebody saw to station C",
        "saw to station C",
    ]


def test_the_time_of_an_act_is_put_right_by_what_its_phone_shows(client, out, monkeypatch):
    monkeypatch.setattr("exercises.views.live.timezone.now", lambda: cast.LATER)
    ahead = datetime.timedelta(hours=5)
    done = cast.LATER - datetime.timedelta(minutes=7)
    send(
        client,
        out,
        {**act(do="note", words="late"), "at": (done + ahead).isoformat()},
        clock=(cast.LATER + ahead).isoformat(),
    )
    note = FieldNote.objects.get()

    assert (note.at, note.received_at) == (done, cast.LATER)


def test_a_form_without_a_script_does_the_same(client, out):
    client.post(
        f"/classes/{out.pk}/live/acts/",
        {"do": "note", "id": str(uuid.uuid4()), "station": "C", "words": "gate open"},
    )

    assert [(note.station, note.words) for note in FieldNote.objects.all()] == [("C", "gate open")]


@pytest.mark.parametrize(
    "body",
    [
        "[]",
        "7",
        '{"acts": 5}',
        '{"acts": {"do": "note"}}',
        json.dumps({"acts": [{}] * 201}),
        "[" * 5000,
    ],
)
def test_what_is_no_list_of_acts_is_refused_in_words(client, out, body):
    answer = client.post(f"/classes/{out.pk}/live/acts/", body, content_type="application/json")

    assert answer.status_code == 400
    assert answer.json() == {"message": "This is not a list of acts. Reload the page."}


@pytest.mark.parametrize(
    "wrong",
    [
        {"do": "see_to", "sign": "weather:rain:"},
        {"do": "see_to", "sign": 7},
        {"do": "see_to"},
        {"do": "note", "words": " \x00 "},
        {"do": "note", "words": "a" * 501},
        {"do": "delete"},
        {"do": ["note"]},
        {"do": "note", "words": "x", "id": "no uuid"},
        7,
    ],
)
def test_an_act_that_is_none_is_not_kept_and_the_others_are(client, out, wrong):
    right = act(do="note", words="fine")
    wrong = {**act(), **wrong} if isinstance(wrong, dict) else wrong

    assert send(client, out, wrong, right).json() == {"kept": [right["id"]]}
    assert (SeenTo.objects.count(), FieldNote.objects.count()) == (0, 1)


def test_of_whom_nothing_was_heard_is_named_with_where_they_were_last(out):
    silent = dict(live_text(out, cast.NOW)["silent"])

    assert set(silent) == {"Jory", "Kaia", "Lorcan"}
    assert all(words.startswith("read at ") for words in silent.values())


def test_a_phone_that_was_heard_of_is_not_silent_and_says_what_it_holds(out):
    person = out.people.get(name="Jory")
    Phone.objects.create(person=person, secret_digest="x", since=cast.NOW)
    hear_phone(people=[person], unsent=2, now=cast.NOW)
    text = live_text(out, cast.NOW)

    assert set(dict(text["silent"])) == {"Kaia", "Lorcan"}
    assert [(name, words.split(",")[0]) for name, words in text["holding"]] == [
        ("Jory", "2 readings not sent")
    ]


def test_a_class_that_is_closed_names_nobody_as_silent(out):
    CourseClass.objects.filter(pk=out.pk).update(state="closed", closed_at=cast.NOW)
    out.refresh_from_db()

    assert live_text(out, cast.NOW)["silent"] == []


@pytest.mark.parametrize("unsent", ["3", "0", "x", "-1", "٣", "99999999", ""])
def test_a_phone_tells_what_it_holds_while_it_asks(phone, open_class, mia, unsent):
    answer = phone.get(f"/c/{open_class.code}/state/?unsent={unsent}")
    row = Phone.objects.get(person=mia)

    assert answer.status_code == 200
    assert (row.heard_at is not None, row.unsent) == (True, 3 if unsent == "3" else 0)


def test_what_was_seen_to_makes_a_new_count_and_nothing_else_does(client, out):
    def counted():
        debrief(course_class=out, now=cast.NOW)
        return Results.objects.get(course_class=out).fingerprint

    first, again = counted(), counted()
    send(client, out, act(do="note", words="rain"))
    noted = counted()
    send(client, out, act(do="see_to", sign="station:C:"))

    assert first == again == noted != counted()


def test_the_page_takes_a_bounded_number_of_queries(client, out, django_assert_max_num_queries):
    client.get(f"/classes/{out.pk}/live/")
    with django_assert_max_num_queries(25):
        client.get(f"/classes/{out.pk}/live/parts/")


def test_readings_under_a_second_name_are_the_persons(out):
    jory, kaia = out.people.get(name="Jory"), out.people.get(name="Kaia")
    kaia.same_as = jory
    kaia.save()

    stations = {one.code: one for one in live_text(out, cast.NOW)["stations"]}
    assert "Kaia" not in dict(live_text(out, cast.NOW)["silent"])
    assert sum(one.readings for one in stations.values()) == out.readings.count()


def test_where_each_group_should_be_stands_beside_where_people_are(client, out):
    page = client.get(f"/classes/{out.pk}/live/").content.decode()

    assert f"/classes/{out.pk}/rotation/live/" in page
    assert [group in page for group in ("Fern", "Moss", "Reed", "Sedge")] == [True] * 4
