"""Cookies that speak for somebody belong to this host alone, where all is https.

Names: RFC 6265bis, 4.1.3.2: `__Host-` wants Secure, Path=/ and no Domain.
"""

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from exercises.domain.running import roles
from exercises.usecases import give_roles
from exercises.views.acting import remember_helper
from exercises.views.phone_cookie import classes_of_phone
from tests import cast
from tests.test_roles import invited


@pytest.fixture
def over_https(settings):
    """A server off a hotspot, as far as cookies are concerned."""
    settings.HOST_PREFIX, settings.SESSION_COOKIE_SECURE = "__Host-", True


def join(client, course_class, name):
    return client.post(
        f"/c/{course_class.code}/join/?more=1",
        {"names": name, "compass": "", "graduation": "2", "is_set": "no"},
    )


def speaks_as(client, course_class):
    """The names for whom a phone speaks."""
    state = client.get(f"/c/{course_class.code}/state/").json()
    return [person["name"] for person in state["people"]]


def test_a_phones_cookie_is_taken_from_this_host_alone(client, open_class, over_https):
    join(client, open_class, "Mia")

    cookie = client.cookies[f"__Host-navclass_{open_class.pk}"]
    assert (cookie["secure"], cookie["path"], cookie["domain"]) == (True, "/", "")
    assert speaks_as(client, open_class) == ["Mia"]


def test_a_phone_that_joined_before_goes_on_and_somebody_joins_it(client, open_class, over_https):
    cast.speaks_for(client, open_class, cast.join(open_class, "Mia"))

    before = speaks_as(client, open_class)
    join(client, open_class, "Tom")

    assert (before, speaks_as(client, open_class)) == (["Mia"], ["Mia", "Tom"])


def test_both_names_of_a_class_are_one_class(open_class):
    request = RequestFactory().get("/")
    request.COOKIES = {
        "navclass_7": "1:a",
        "__Host-navclass_7": "1:a",
        "__Secure-navclass_8": "1:a",
    }

    assert classes_of_phone(request) == [7]


@pytest.fixture
def pim(open_class, ines):
    """A helper's row and secret."""
    given = invited(open_class, ines, roles.HELPER, sees_answers=False)
    return give_roles.take_by_name(invitation=given, name="Pim", now=timezone.now())


@pytest.mark.parametrize("prefix", ["", "__Host-"])
def test_a_helpers_cookie_opens_the_class_by_either_name(
    client, open_class, pim, over_https, prefix
):
    staff, secret = pim
    client.cookies[f"{prefix}navclass_helps_{open_class.pk}"] = f"{staff.pk}:{secret}"

    assert client.get(f"/classes/{open_class.pk}/headcount/").status_code == 200


def test_a_helpers_cookie_is_taken_from_this_host_alone(open_class, pim, over_https):
    answer = remember_helper(HttpResponse(), *pim)

    assert list(answer.cookies) == [f"__Host-navclass_helps_{open_class.pk}"]
