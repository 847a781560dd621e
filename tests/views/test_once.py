"""A form of the desk that arrives twice acts once and is answered alike; one that was mended, one
of another tab, and one that was refused act as they should.
"""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from exercises.domain.earth.angle_units import DEGREES
from exercises.models import CourseClass, SentForm
from tests import cast
from tests.at_once import at_once
from tests.fuzz.world import build

HIDDEN = re.compile(r'name="form_token" value="([\w-]+)"')
# pages that who is not signed in may see: their forms come without a token then
WITHOUT_ACCOUNT = {"/sign-in/", "/new-password/", "/language/", "/", "/my-classes/"}


def token_of(client, path):
    """The token of the last form of a page."""
    return HIDDEN.findall(client.get(path).content.decode())[-1]


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


@pytest.fixture
def class_form(desk, course):
    """A filled form that makes a class, and where it is sent."""
    page = f"/courses/{course.pk}/"
    fields = {
        "name": "Sunday",
        "date": "2026-10-04",
        "time_zone": "Pacific/Auckland",
        "feedback": "at_once",
        "unit": DEGREES.code,
        "key_source": "computed",
        "form_token": token_of(desk, page),
    }
    return f"/courses/{course.pk}/classes/new/", fields


def test_a_form_that_arrives_twice_makes_one_class_and_leads_to_it_twice(desk, class_form):
    first, second = desk.post(*class_form), desk.post(*class_form)

    made = CourseClass.objects.get()
    assert (first.status_code, first.url) == (302, f"/classes/{made.pk}/")
    assert (second.status_code, second.url) == (302, f"/classes/{made.pk}/")


def test_a_form_mended_after_going_back_acts_again(desk, class_form):
    path, fields = class_form
    desk.post(path, fields)
    desk.post(path, {**fields, "name": "Sunday, second group"})

    assert CourseClass.objects.count() == 2


def test_the_same_form_in_two_tabs_acts_twice(desk, class_form, course):
    path, fields = class_form
    desk.post(path, fields)
    desk.post(path, {**fields, "form_token": token_of(desk, f"/courses/{course.pk}/")})

    assert CourseClass.objects.count() == 2


def test_a_form_that_was_refused_may_come_again(desk, class_form):
    path, fields = class_form
    assert desk.post(path, {**fields, "date": "no day"}).status_code == 200
    assert desk.post(path, {**fields, "date": "no day"}).status_code == 200

    assert not SentForm.objects.exists()


def test_what_was_sent_is_forgotten_after_a_day(desk, class_form, ines):
    desk.post(*class_form)
    SentForm.objects.update(at=timezone.now() - timedelta(hours=25))
    path, fields = class_form
    led_to = desk.post(path, {**fields, "name": "Another"}).url

    assert SentForm.objects.get().led_to == led_to


def test_a_token_of_another_account_hinders_nobody(desk, class_form, karl):
    path, fields = class_form
    desk.post(path, fields)
    other = Client()
    other.force_login(karl)

    assert other.post(path, fields).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_a_form_that_arrives_four_times_at_once_makes_one_class(desk, class_form):
    def press():
        own = Client(raise_request_exception=False)
        own.cookies = desk.cookies
        answer = own.post(*class_form)
        return answer.status_code, answer.url

    answers = at_once(*[press] * 4)

    made = CourseClass.objects.get()
    assert answers == [(302, f"/classes/{made.pk}/")] * 4


def test_every_form_of_the_desk_that_posts_has_a_token_of_its_own(db):
    """All pages that the addresses lead to, for the owner, with all their forms."""
    forms = [one for one in build().forms if one.method.lower() == "post"]
    desk = [one for one in forms if not one.path.startswith(("/c/", "/practice", "/s/"))]
    without = {one.path for one in desk if "form_token" not in one.fields}
    tokens = [one.fields["form_token"][0] for one in desk if "form_token" in one.fields]

    assert without <= WITHOUT_ACCOUNT
    assert len(tokens) == len(set(tokens)) > 150
