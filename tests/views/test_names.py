"""Names that go: what the pages say before, and what is there after."""

import pytest

from exercises.models import CourseClass, Person, Reading
from tests import cast


def said(answer):
    return " ".join(answer.content.decode().split())


def close(course_class):
    CourseClass.objects.filter(pk=course_class.pk).update(state="closed", closed_at=cast.LATER)


def test_the_joining_page_tells_the_day_in_one_sentence(client, open_class):
    page = said(client.get(f"/c/{open_class.code}/join/"))

    assert page.count("Names are deleted after 1 January 2027.") == 1


def test_what_goes_is_said_first_and_nothing_goes_by_looking(desk, open_class, mia):
    close(open_class)
    cast.send(open_class, mia, ("1", "044"))

    page = said(desk.get(f"/classes/{open_class.pk}/names/"))

    assert "The name of 1 person, with the personal code" in page
    assert "1 reading, as nobody's, and what was found from it." in page
    assert "This cannot be undone." in page
    assert Person.objects.get().name == "Mia"


def test_names_go_by_hand_and_the_trail_tells_who_did_it(desk, open_class, mia):
    close(open_class)

    answer = desk.post(f"/classes/{open_class.pk}/names/")

    assert answer.url == f"/classes/{open_class.pk}/"
    assert Person.objects.get().name == "#1"
    assert "ines</strong> deleted the names of the class" in said(
        desk.get(f"/classes/{open_class.pk}/trail/")
    )
    assert "The names of this class were deleted on" in said(
        desk.get(f"/classes/{open_class.pk}/names/")
    )


def test_an_open_class_keeps_its_names_and_says_why(desk, open_class, mia):
    answer = desk.post(f"/classes/{open_class.pk}/names/")

    assert "names are needed while people are out" in said(answer)
    assert Person.objects.get().name == "Mia"


def test_the_day_is_changed_in_the_settings_and_noted(desk, open_class):
    settings = {"name": "Saturday", "feedback": "at_once", "asks": "on", "pass_share": "80"}

    desk.post(f"/classes/{open_class.pk}/settings/", {**settings, "names_until": "2026-12-01"})

    assert f"{CourseClass.objects.get().names_until}" == "2026-12-01"
    assert "until when names are kept: 2027-01-01 → 2026-12-01" in said(
        desk.get(f"/classes/{open_class.pk}/trail/")
    )


def test_a_day_before_the_class_is_refused(desk, open_class):
    settings = {"name": "Saturday", "feedback": "at_once", "asks": "on", "pass_share": "80"}

    answer = desk.post(
        f"/classes/{open_class.pk}/settings/", {**settings, "names_until": "2026-10-02"}
    )

    assert "Names are kept until the class is over. Choose a later day." in said(answer)
    assert f"{CourseClass.objects.get().names_until}" == "2027-01-01"


def test_a_day_can_be_set_when_a_class_is_made(desk, open_class):
    made = {
        "name": "Sunday",
        "date": "2026-10-04",
        "time_zone": "UTC",
        "unit": "deg",
        "feedback": "at_once",
        "key_source": "computed",
    }

    desk.post(
        f"/courses/{open_class.course.pk}/classes/new/", {**made, "names_until": "2026-10-31"}
    )
    desk.post(f"/courses/{open_class.course.pk}/classes/new/", {**made, "names_until": ""})

    days = CourseClass.objects.filter(name="Sunday").order_by("pk")
    assert [f"{one.names_until}" for one in days] == ["2026-10-31", "2027-01-02"]


# --- a person's own wish


@pytest.mark.parametrize(("what", "readings"), [("name", 1), ("all", 0)])
def test_a_phone_deletes_its_person_after_the_class(phone, open_class, mia, what, readings):
    cast.send(open_class, mia, ("1", "044"))
    close(open_class)

    answer = phone.post(f"/c/{open_class.code}/forget/", {"person": mia.pk, "what": what})

    assert "Mia is deleted from the class." in said(answer)
    assert not Person.objects.filter(name="Mia").exists()
    assert Reading.objects.count() == readings


def test_while_the_class_is_out_the_wish_is_noted_and_said(phone, open_class, mia):
    phone.post(f"/c/{open_class.code}/forget/", {"person": mia.pk, "what": "all"})

    assert "Noted: your name and your readings are deleted when the class closes." in said(
        phone.get(f"/c/{open_class.code}/forget/")
    )
    assert Person.objects.get().name == "Mia"


@pytest.mark.parametrize("what", ["everything", "", "NAME"])
def test_a_wish_that_is_none_changes_nothing(phone, open_class, mia, what):
    close(open_class)

    phone.post(f"/c/{open_class.code}/forget/", {"person": mia.pk, "what": what})

    assert Person.objects.get().name == "Mia"


def test_a_phone_deletes_nobody_elses_name(phone, open_class, mia):
    ((tom, _),) = cast.join(open_class, "Tom")
    close(open_class)

    phone.post(f"/c/{open_class.code}/forget/", {"person": tom.pk, "what": "all"})

    assert sorted(Person.objects.values_list("name", flat=True)) == ["Mia", "Tom"]


def test_who_joins_a_class_whose_names_are_gone_is_told(client, open_class):
    CourseClass.objects.update(names_purged_at=cast.LATER)
    form = {"names": "Mia", "compass": "7", "graduation": "2", "is_set": "no"}

    answer = client.post(f"/c/{open_class.code}/join/", form)

    assert not Person.objects.exists()
    assert "names" in answer.context["form"].errors
