"""Bearings that are reckoned or measured on the map, from the phone to the prints."""

import pytest

from exercises.models import Task
from exercises.usecases.open_class import close_class, release_feedback
from tests import cast
from tests.views.test_prints import text as text_of
from tests.views.test_station import told_after


@pytest.fixture
def held(ines, client):
    course = cast.course_of(cast.site_of(ines))
    point = {point.code: point for point in course.site.points.all()}
    Task.objects.create(
        course=course,
        number=4,
        kind="back",
        station=point["A"],
        target=point["T1"],
        north="grid",
        full_credit_deg=2,
        part_credit_deg=4,
    )
    Task.objects.create(
        course=course,
        number=5,
        kind="map",
        station=point["B"],
        target=point["T3"],
        north="grid",
        full_credit_deg=3,
        part_credit_deg=6,
    )
    return cast.class_with_mia(ines, client, course)


def send(client, held, task, off_deg):
    """What the phone is told of a reading so far off the answer."""
    text = f"{round(cast.answer_of(held, task).expected_deg + off_deg) % 360:03d}"
    (told,) = told_after(client, held, cast.reading(held.joined[0][0], task=task, text=text))[
        "shown"
    ]
    return told


def test_a_phone_is_asked_with_what_is_given_and_never_told_the_answer(client, held):
    tasks = {task["label"]: task for task in client.get(f"/c/{held.code}/state/").json()["tasks"]}
    given = round(cast.answer_of(held, "4").given_deg)

    assert (
        tasks["4"]["prompt"]
        == f"From here to the T1 thing it is {given:03d}° grid. Which bearing leads back from "
        f"there, in degrees grid?"
    )
    assert (
        tasks["5"]["prompt"]
        == "On the map: measure the bearing from the B thing (B) to the T3 thing (T3), in "
        "degrees grid."
    )
    assert [tasks[number]["needle"] for number in "45"] == [False, False]
    assert f"{cast.answer_of(held, '4').expected_deg:03.0f}" not in str(tasks["4"])


@pytest.mark.parametrize(
    ("task", "off_deg", "credit", "cause", "advice"),
    [
        ("4", 0, "Full credit", "Your reading is sound.", "Nothing to mend."),
        (
            "4",
            180,
            "No credit",
            "Your bearing points the opposite way: it is about 180 degrees off.",
            "Say the quarter of the circle first: the way back lies in the opposite one.",
        ),
        (
            "5",
            90,
            "No credit",
            "Your bearing is 90 degrees off: the lines in the dial lay across the north lines, or "
            "you read at the side of the plate.",
            "Turn the dial (the housing) until the lines in it lie along the sheet’s north lines, "
            "not across them.",
        ),
        (
            "5",
            2,
            "Full credit",
            "Your reading is sound.",
            "Nothing to mend: read to the nearest small line (tick), then to half of one.",
        ),
    ],
)
def test_a_mistake_is_told_with_advice_that_fits_how_it_was_come_by(
    client, held, task, off_deg, credit, cause, advice
):
    told = send(client, held, task, off_deg)

    assert (told["credit"], told["cause"], told["advice"]) == (credit, cause, advice)


def test_the_needle_used_on_the_map_is_told_without_the_sentence_for_the_field(client, held):
    answer = cast.answer_of(held, "5")

    told = send(client, held, "5", answer.norths.correction("grid", "magnetic"))

    assert told["cause"] == "You gave the magnetic bearing: the needle came into it."
    assert (
        told["advice"]
        == "Leave the needle out on the map: the lines in the dial (the housing) lie along the "
        "sheet’s north lines."
    )


def test_the_desk_grades_and_debriefs_them(client, held, ines):
    send(client, held, "4", 180)
    send(client, held, "5", 90)
    client.force_login(ines)
    close_class(course_class=held, now=cast.NOW)
    release_feedback(course_class=held, now=cast.NOW)

    page = client.get(f"/classes/{held.pk}/debrief/alone/").content.decode()

    assert "reversed" in page
    assert "a quarter turn" in page


def test_the_key_says_what_the_likely_mistakes_would_give(client, held, ines):
    client.force_login(ines)
    given = round(cast.answer_of(held, "4").given_deg)

    assert f"{given:03d}° reversed" in text_of(client.get(f"/classes/{held.pk}/print/key.pdf"))


def test_sheets_ask_them_without_the_answer(client, held, ines):
    client.force_login(ines)

    printed = text_of(client.get(f"/classes/{held.pk}/print/sheets.pdf"))

    assert all(
        words in printed
        for words in ("From here to the T1 thing it is", "On the map: measure the bearing")
    )
    assert f"{round(cast.answer_of(held, '4').expected_deg):03d}°" not in printed
