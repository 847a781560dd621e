"""Requests of the desk that come at the same moment: each is answered, in words where it came too
late, and what they left is as if they had come one after the other.
"""

import pytest
from django.db import IntegrityError, OperationalError
from django.test import Client

from exercises.models import Point, Task
from exercises.usecases import mend_course
from exercises.views import station
from tests import cast
from tests.at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


def pressed(client, path, fields):
    """A function that posts from a copy of the client's browser, without following where it leads.
    One that fails answers 500, as a server does.
    """

    def press():
        own = Client(raise_request_exception=False)
        own.cookies = client.cookies
        return own.post(path, fields).status_code

    return press


def test_up_pressed_four_times_at_once_moves_a_task_once(desk, course):
    up = pressed(desk, f"/courses/{course.pk}/tasks/3/up/", {"was": course.fingerprint()})

    assert at_once(*[up] * 4) == [302] * 4
    kinds = list(course.tasks.order_by("number").values_list("number", "kind"))
    assert kinds == [(1, "sight"), (2, "convert"), (3, "follow")]


POINT = {
    "code": "T1",
    "name": "the T1 thing",
    "latitude": "-45.1290",
    "longitude": "170.1030",
    "elevation_m": "400",
    "accuracy_m": "0.5",
    "method": "surveyed",
    "mark": "",
    "is_target": "on",
}


def test_one_point_saved_ten_times_at_once_is_saved(desk, course):
    save = pressed(desk, f"/sites/{course.site_id}/points/T1/", POINT)

    assert at_once(*[save] * 10) == [302] * 10
    point = Point.objects.get(site=course.site, code="T1")
    assert (point.latitude, point.longitude) == (-45.1290, 170.1030)
    assert point.surveys.filter(is_set_aside=False).count() == 1


def test_one_new_point_saved_ten_times_at_once_is_made_once(desk, course):
    save = pressed(desk, f"/sites/{course.site_id}/points/new/", {**POINT, "code": "T9"})

    assert sorted(at_once(*[save] * 10)) == [200] * 9 + [302]
    assert Point.objects.get(code="T9").surveys.count() == 1


TASK = {
    "kind": "sight",
    "station": "",
    "target": "",
    "north": "magnetic",
    "full_credit_deg": "5",
    "part_credit_deg": "10",
    "full_credit_m": "10",
    "part_credit_m": "30",
}


@pytest.mark.parametrize("round", range(3))
def test_a_point_is_deleted_or_gets_its_task_where_both_come_at_once(desk, course, round):
    points = {point.code: point.pk for point in course.site.points.all()}
    task = {**TASK, "station": points["A"], "target": points["T2"]}

    codes = at_once(
        pressed(desk, f"/sites/{course.site_id}/points/T2/delete/", {}),
        pressed(desk, f"/courses/{course.pk}/", task),
    )

    is_there = Point.objects.filter(code="T2").exists()
    assert sorted(codes) == [200, 302]
    assert Task.objects.filter(target=points["T2"]).count() == is_there


@pytest.mark.parametrize("round", range(3))
def test_a_site_is_shown_while_a_point_of_it_gets_another_code(desk, course, round):
    path = f"/sites/{course.site_id}/points/T1/"
    pages = [lambda: desk_again.get(f"/sites/{course.site_id}/").status_code] * 5
    desk_again = Client(raise_request_exception=False)
    desk_again.cookies = desk.cookies

    codes = at_once(pressed(desk, path, {**POINT, "code": "T7"}), *pages)

    assert codes == [302] + [200] * 5


class Raises:
    """A view in whose place something happens meanwhile."""

    def __init__(self, error):
        self.error = error

    def __call__(self, *arguments, **named):
        raise self.error


MEANWHILE = [IntegrityError("promise broken"), Point.DoesNotExist(), OperationalError("deadlock")]


@pytest.mark.parametrize("error", MEANWHILE, ids=lambda error: type(error).__name__)
def test_what_was_changed_meanwhile_is_said_on_a_page(desk, course, monkeypatch, error):
    monkeypatch.setattr(mend_course, "move_task", Raises(error))

    answer = desk.post(f"/courses/{course.pk}/tasks/3/up/", {"was": ""})

    assert answer.status_code == 409
    assert "<h1>Changed meanwhile</h1>" in answer.content.decode()


def test_a_phone_is_told_to_come_again(phone, open_class, monkeypatch):
    monkeypatch.setattr(station, "take_readings", Raises(OperationalError("deadlock")))

    answer = phone.post(
        f"/c/{open_class.code}/readings/", {"readings": []}, content_type="application/json"
    )

    assert answer.status_code == 503
    assert answer.json()["message"].endswith("Try again.")
