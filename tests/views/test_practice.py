"""The practice page, and the links to it that an instructor sends."""

import json
import re

import pytest

from exercises.domain.planning import home_lessons


def course_of(page):
    """What the page brings along."""
    return json.loads(re.search(r'id="lessons" type="application/json">(.*?)</script>', page)[1])


def test_the_page_brings_six_lessons_in_the_order_in_which_beginners_fail(client):
    told = course_of(client.get("/practice/").content.decode())["lessons"]

    assert [lesson["code"] for lesson in told] == [
        "hold",
        "box",
        "read",
        "end",
        "map",
        "declination",
    ]
    assert {len(lesson["sets"]) for lesson in told} == {3}


def test_every_round_says_what_is_asked_and_drawn_and_what_happened(client):
    page = client.get("/practice/?declination=9W&dial=5").content.decode()
    for lesson in course_of(page)["lessons"]:
        for told in (one for rounds in lesson["sets"] for one in rounds):
            assert told["ask"] and told["repeat"] and told["right"]
            pictures = [told["drawing"], *(choice.get("picture") for choice in told["choices"])]
            assert any(pictures) or told["turn"]
            assert all(picture["words"] for picture in pictures if picture)
            assert all(choice["text"] and choice["said"] for choice in told["choices"])
            right = [choice for choice in told["choices"] if choice["is_right"]]
            assert len(right) == (1 if told["choices"] else 0)


def test_a_link_brings_its_own_declination_and_dial(client):
    page = client.get("/practice/?declination=9W&dial=5").content.decode()

    assert course_of(page)["link"] == {"declination": "9W", "dial": "5"}
    assert "declination 9° west, a tick on the dial every 5°." in page
    (*_, last) = course_of(page)["lessons"]
    assert last["sets"][0][0]["note"] == (
        "Declination 9° west. From magnetic to true here, take away 9°."
    )


def test_a_declination_that_would_not_show_is_practised_elsewhere(client):
    page = client.get("/practice/?declination=2E").content.decode()
    notes = [
        told["note"]
        for lesson in course_of(page)["lessons"]
        if lesson["code"] == "declination"
        for told in lesson["sets"][0]
    ]

    assert "too little to tell from a careless reading" in page
    assert [note.split(".")[0] for note in notes] == [
        "Declination 12° east",
        "Declination 12° east",
        "Declination 9° west",
        "Declination 9° west",
    ]


@pytest.mark.parametrize(
    ("search", "words"),
    [
        ("declination=99E", "The declination in this link cannot be read."),
        ("declination=-9&dial=2", "The declination in this link cannot be read."),
        ("declination=%3Cscript%3Ealert(1)%3C/script%3E", "The declination in this link"),
        ("declination=9W&dial=0", "The dial in this link cannot be read."),
        ("declination=9W&dial=2%00", "The dial in this link cannot be read."),
        ("declination=" + "9" * 5000, "The declination in this link cannot be read."),
    ],
)
def test_a_link_that_cannot_be_read_is_refused_kindly_and_has_the_usual_lessons(
    client, search, words
):
    answer = client.get(f"/practice/?{search}")
    page = answer.content.decode()

    assert answer.status_code == 200
    assert words in page
    assert "<script>alert" not in page
    assert course_of(page)["link"] == home_lessons.link_of(home_lessons.Setting())


def test_the_page_is_only_asked_for(client):
    assert client.post("/practice/").status_code == 405


def test_a_class_has_a_link_for_each_dial_with_the_declination_of_its_site_and_day(
    desk, open_class
):
    page = desk.get(f"/classes/{open_class.pk}/").content.decode()
    norths, _ = open_class.course.site.as_domain().north_of(
        open_class.course.site.position(), open_class.date
    )
    whole = round(norths.declination_deg)
    written = f"{abs(whole)}{'E' if whole >= 0 else 'W'}"

    found = re.findall(r'<input id="at_home\d" value="([^"]*)" readonly>', page)
    assert found == [
        f"http://testserver/practice/?declination={written}&amp;dial={dial}" for dial in (1, 2, 5)
    ]


def test_who_read_at_another_place_is_told_nothing_of_the_needle(client):
    """2026-11-27: the needle was boxed, and the advice was to box it."""
    lessons = course_of(client.get("/practice/").content.decode())["lessons"]
    (where,) = (
        told
        for lesson in lessons
        if lesson["code"] == "read"
        for told in lesson["sets"][0]
        if told["ask"] == "The needle is boxed. Where is the bearing read?"
    )
    wrong = [choice["said"] for choice in where["choices"] if not choice["is_right"]]

    assert len(wrong) == 3
    assert all(
        re.fullmatch(r"That would give \d{3}° magnetic\. " + re.escape(where["repeat"]), said)
        for said in wrong
    )


def test_somebody_elses_slip_is_not_said_to_be_the_readers(client):
    lessons = course_of(client.get("/practice/").content.decode())["lessons"]
    slips = [
        told["right"]
        for lesson in lessons
        if lesson["code"] == "end"
        for rounds in lesson["sets"]
        for told in rounds
        if "Somebody reads" in told["ask"]
    ]

    assert slips
    assert not [said for said in slips if "Your" in said or "You " in said]
