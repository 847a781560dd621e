"""The joining page where not everybody is let in, and what the instructor sees and does of it."""

import pytest
from django.test import Client

from exercises.models import CourseClass, Person
from exercises.usecases import keep_roster
from exercises.usecases.trail import Account
from tests import cast


def join(course_class, names, client=None, **more):
    return (client or Client()).post(
        f"/c/{course_class.code}/join/?more",
        {"names": names, "compass": "", "graduation": "2", "is_set": "no"},
        **more,
    )


def let(desk, course_class, joining, back="class"):
    return desk.post(f"/classes/{course_class.pk}/joining/", {"joining": joining, "back": back})


def text(answer):
    return " ".join(answer.content.decode().split())


def arrivals(desk, course_class):
    return text(desk.get(f"/classes/{course_class.pk}/arrivals/"))


@pytest.mark.parametrize("back", ["class", "roster", "headcounts"])
def test_one_tap_lets_nobody_else_in_wherever_it_is_made(desk, open_class, back):
    addresses = {"class": "", "roster": "roster/", "headcounts": "headcount/"}
    page = f"/classes/{open_class.pk}/{addresses[back]}"
    assert "Nobody else may join</button>" in text(desk.get(page))

    assert let(desk, open_class, "shut", back).url == page

    assert "<strong>Nobody else may join.</strong>" in text(desk.get(page))
    assert CourseClass.objects.get().joining == "shut"


def test_what_is_no_choice_changes_nothing(desk, open_class):
    let(desk, open_class, "perhaps", "https://example.org/")

    assert CourseClass.objects.get().joining == "open"


def test_the_joining_page_says_kindly_that_nobody_else_may_join(desk, open_class):
    let(desk, open_class, "shut")

    page = text(Client().get(f"/c/{open_class.code}/join/"))

    assert "Everybody who belongs to this class is in it" in page
    assert "I was in this class with another phone" in page
    assert 'name="names"' not in page


def test_who_had_the_page_open_keeps_what_was_typed(desk, open_class):
    let(desk, open_class, "shut")

    page = text(join(open_class, "Zoe"))

    assert "Nobody else may join this class now." in page
    assert 'value="Zoe"' in page
    assert not Person.objects.exists()


def test_who_is_in_goes_on_and_comes_back_with_a_code(desk, open_class, mia):
    let(desk, open_class, "shut")
    phone = cast.speaks_for(Client(), open_class, mia.joined)

    assert phone.get(f"/c/{open_class.code}/state/").status_code == 200
    other = Client().post(
        f"/c/{open_class.code}/other-phone/", {"personal_code": mia.personal_code}
    )
    assert other.status_code == 302


def test_where_the_list_alone_may_join_the_page_says_so(desk, open_class):
    let(desk, open_class, "listed")

    assert "Type yours as it stands there." in text(Client().get(f"/c/{open_class.code}/join/"))


def test_a_phone_is_told_from_another_by_a_cookie_of_its_own(open_class):
    phone = Client()
    join(open_class, "Mia", phone)
    join(open_class, "Tom", phone)
    join(open_class, "Zoe")

    on = dict(Person.objects.values_list("name", "joined_on"))
    assert on["Mia"] == on["Tom"] != on["Zoe"]
    assert phone.cookies["navclass_device"]["httponly"]


def test_the_instructor_sees_what_is_worth_a_look(desk, open_class):
    keep_roster.take_roster(course_class=open_class, rows=[keep_roster.Row(1, "Ana")])
    phone = Client()
    for name in ("Ana", "Bo", "Cy"):
        join(open_class, name, phone if name != "Bo" else None, REMOTE_ADDR="192.0.2.1")
    cast.send(open_class, open_class.people.get(name="Ana"), ("1", "044"))
    Person.objects.filter(name="Cy").update(joined_at=cast.LATER)
    Person.objects.filter(name__in=["Ana", "Bo"]).update(joined_at=cast.NOW)

    page = arrivals(desk, open_class)

    assert '<span class="dim">one of 2 on one phone</span>' in page
    assert '<span class="dim">not on the list</span>' in page
    assert "not on the list · joined after the first reading · one of 2 on one phone</span>" in page
    assert "not on the list · joined after" in text(desk.get(f"/classes/{open_class.pk}/roster/"))


def test_two_taps_from_the_list_of_arrivals_take_somebody_out(desk, open_class, mia):
    out = f"/classes/{open_class.pk}/roster/{mia.pk}/out/"
    assert f'href="{out}"' in arrivals(desk, open_class)

    assert 'name="keep"' in text(desk.get(out))
    desk.post(out, {"keep": "yes"})

    assert not open_class.people.listed().exists()


def test_a_helper_sees_who_came_and_takes_nobody_out(client, ines, karl, open_class, mia):
    open_class.staff.create(user=karl, name="karl", role="helper", since=cast.NOW)
    client.force_login(karl)

    page = arrivals(client, open_class)

    assert ("Mia" in page, "Take out" in page) == (True, False)


def test_the_phone_of_who_was_taken_out_is_told_kindly(ines, open_class, mia, phone):
    keep_roster.take_out(person=mia, by=Account(ines), now=cast.NOW)

    state = phone.get(f"/c/{open_class.code}/state/")

    assert (state.status_code, state.json()["gone"]) == (403, True)
    assert state.json()["message"].startswith("Your name is not in this class any more.")
    assert "its name is not in it any more" in text(phone.get(f"/c/{open_class.code}/join/"))


def test_a_phone_that_never_was_in_the_class_is_told_to_join(open_class, client):
    state = client.get(f"/c/{open_class.code}/state/")

    assert state.json() == {"message": "Join the class first."}
    assert "its name is not in it any more" not in text(client.get(f"/c/{open_class.code}/join/"))
