"""A person's sheet over several classes: what the phone holds, and what a kept code opens."""

import pytest

from exercises.models import Course, CourseClass
from exercises.usecases.open_class import close_class, release_feedback
from tests import cast


def held(ines, client=None, *, name="Saturday", right=True, is_released=True, feedback="at_once"):
    """A class that Mia and Tom were in, over; the client's phone speaks for Mia if one is given."""
    course_class = cast.class_of(ines, feedback=feedback, course=Course.objects.first())
    CourseClass.objects.filter(pk=course_class.pk).update(name=name)
    joined = cast.join(course_class, "Mia", "Tom")
    answer = cast.answer_of(course_class, "1")
    text = f"{round(answer.expected_deg + (0 if right else 180)) % 360:03d}"
    for person, _ in joined:
        cast.send(course_class, person, ("1", text))
    close_class(course_class=course_class, now=cast.LATER)
    if feedback == "released" and is_released:
        release_feedback(course_class=course_class, now=cast.LATER)
    if client:
        cast.speaks_for(client, course_class, joined[:1])
    course_class.refresh_from_db()
    course_class.mia = joined[0][0]
    return course_class


def page(client):
    return " ".join(client.get("/my-classes/").content.decode().split())


@pytest.fixture
def two(ines, client):
    return held(ines, client, name="April walk", right=False), held(ines, client, name="May walk")


def test_the_classes_of_a_phone_lie_beside_each_other(client, two):
    text = page(client)

    assert "<h3>Sight a target </h3>" in text
    assert [f"<small>{one.name}</small></span><strong>" in text for one in two] == [True, True]
    assert [cell in text for cell in ("<strong>0 of 1", "<strong>1 of 1")] == [True, True]
    assert "Tom" not in text


def test_a_kept_code_opens_a_class_on_a_new_phone(client, two):
    client.cookies.clear()
    april, _ = two
    before = page(client)

    answer = client.post(
        "/my-classes/", {"code": april.code.lower(), "personal_code": april.mia.personal_code}
    )

    assert (answer.status_code, answer.url) == (302, "/my-classes/")
    assert ("April walk" in before, "April walk" in page(client)) == (False, True)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"code": "NOSUCH"}, "No class has the code “NOSUCH”."),
        ({"personal_code": "NOBODY"}, "Nobody in this class has the code “NOBODY”."),
        ({"code": "", "personal_code": ""}, "This field is required."),
    ],
)
def test_a_wrong_code_is_named_and_what_was_typed_stays(client, two, typed, said):
    april, _ = two
    client.cookies.clear()
    sent = {"code": april.code, "personal_code": april.mia.personal_code, **typed}

    answer = client.post("/my-classes/", sent)

    text = answer.content.decode()
    assert (said in text, "April walk" in text) == (True, False)
    assert [f'value="{value}"' in text for value in sent.values() if value] == [
        True for value in sent.values() if value
    ]
    assert not [name for name in client.cookies if name.startswith("navclass_")]


def test_what_the_instructor_has_not_given_out_is_not_shown(client, ines):
    held(ines, client, name="Early walk", feedback="released", is_released=False)

    text = page(client)

    assert "Early walk, 3 Oct 2026: your instructor has not given out its sheets yet." in text
    assert "of 1</strong>" not in text


def test_another_person_of_a_shared_phone_is_ticked_by_hand(client, ines):
    course_class = held(ines, client, name="April walk", right=False)
    joined = cast.join(course_class, "Ann")
    mia = client.cookies[f"navclass_{course_class.pk}"].value
    cast.speaks_for(client, course_class, joined)
    both = f"{mia}|{client.cookies[f'navclass_{course_class.pk}'].value}"
    client.cookies[f"navclass_{course_class.pk}"] = both

    usual, chosen = (
        client.get("/my-classes/", who).content.decode()
        for who in ({}, {"who": course_class.mia.pk})
    )

    assert ("0 of 1" in usual, "0 of 1" in chosen) == (False, True)


def test_somebody_whom_the_phone_does_not_speak_for_is_not_shown(client, two):
    tom = two[0].people.get(name="Tom")

    assert "of 1" not in client.get("/my-classes/", {"who": tom.pk}).content.decode()
