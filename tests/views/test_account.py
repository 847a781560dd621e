"""An instructor's own account: where it is signed in, and its password."""

from datetime import datetime, timedelta
from io import StringIO

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from exercises.models import AccountSession
from exercises.usecases import hold_sessions
from exercises.views import account_sessions
from tests import cast

LAPTOP = "Mozilla/5.0 (X11; Linux x86_64; rv:109.0) Gecko/20100101 Firefox/115.0"
PHONE = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 13_5_1 like Mac OS X) AppleWebKit/605.1.15 "
    "(KHTML, like Gecko) Version/13.1.1 Mobile/15E148 Safari/604.1"
)
OLD, NEW = "heather, kettle, ladder", "granite lantern otter"


@pytest.fixture
def owner(db):
    return cast.instructor("ines", OLD)


def signed_in(agent):
    """A browser in which Ines has signed in."""
    client = Client(HTTP_USER_AGENT=agent)
    client.post("/sign-in/", {"username": "ines", "password": OLD})
    return client


def is_in(client):
    return client.get("/account/").status_code == 200


def names():
    return [row.name for row in AccountSession.objects.order_by("began_at")]


def test_the_account_lists_where_it_is_signed_in_with_this_place_said(owner):
    laptop = signed_in(LAPTOP)
    signed_in(PHONE)

    page = laptop.get("/account/").content.decode()

    assert (page.count("Firefox on Linux"), page.count("Safari on iPhone")) == (1, 1)
    assert page.count("this one, for") == page.count("Sign out there<") == 1


def test_the_operator_signs_an_account_out_and_nobody_else(owner, karl):
    laptop, other = signed_in(LAPTOP), Client()
    other.force_login(karl)

    call_command("sign_out", "ines", stdout=StringIO())

    assert (is_in(laptop), is_in(other)) == (False, True)


def test_the_operator_signs_everybody_out(owner, karl):
    laptop, other = signed_in(LAPTOP), Client()
    other.force_login(karl)

    call_command("sign_out", "--everybody", stdout=StringIO())

    assert (is_in(laptop), is_in(other)) == (False, False)


def test_an_account_that_is_not_there_is_signed_out_by_nobody(db):
    with pytest.raises(CommandError, match="No account is called Ines"):
        call_command("sign_out", "Ines")


def test_a_page_never_holds_the_key_of_a_session(owner):
    laptop, phone = signed_in(LAPTOP), signed_in(PHONE)

    page = laptop.get("/account/").content.decode()

    assert not any(client.session.session_key in page for client in (laptop, phone))


def test_one_place_is_signed_out_and_the_other_stays(owner):
    laptop, phone = signed_in(LAPTOP), signed_in(PHONE)

    laptop.post(f"/account/sessions/{names()[1]}/end/")

    assert (is_in(laptop), is_in(phone)) == (True, False)


def test_nobody_ends_the_session_of_another(owner, karl):
    laptop, other = signed_in(LAPTOP), Client()
    other.force_login(karl)

    other.post(f"/account/sessions/{names()[0]}/end/")

    assert is_in(laptop)


def test_signing_out_everywhere_signs_out_here_too(owner, karl):
    laptop, phone, other = signed_in(LAPTOP), signed_in(PHONE), Client()
    other.force_login(karl)

    answer = laptop.post("/account/sign-out/", follow=True)

    assert "You are signed out everywhere." in answer.content.decode()
    assert [is_in(client) for client in (laptop, phone, other)] == [False, False, True]


def change(client, **more):
    filled = {"old_password": OLD, "new_password1": NEW, "new_password2": NEW}
    return client.post("/account/password/", {**filled, **more})


def test_a_new_password_holds_and_ends_every_session_but_this(owner):
    laptop, phone = signed_in(LAPTOP), signed_in(PHONE)

    assert change(laptop).url == "/account/"

    assert get_user_model().objects.get().check_password(NEW)
    assert (is_in(laptop), is_in(phone), AccountSession.objects.count()) == (True, False, 1)
    assert "Firefox on Linux" in laptop.get("/account/").content.decode()


@pytest.mark.parametrize(
    "wrong",
    [
        pytest.param({"old_password": "not it"}, id="the old one is wrong"),
        pytest.param({"new_password2": "granite lantern"}, id="not the same twice"),
    ],
)
def test_a_password_that_is_not_taken_changes_nothing(owner, wrong):
    laptop, phone = signed_in(LAPTOP), signed_in(PHONE)

    assert change(laptop, **wrong).status_code == 200

    assert get_user_model().objects.get().check_password(OLD)
    assert is_in(phone)


def test_a_session_notes_its_use_every_few_minutes_and_no_oftener(owner, desk_of):
    row = AccountSession.objects.get
    began = row().used_at
    for seconds, noted in ((299, began), (300, began + timedelta(seconds=300))):
        desk_of(began + timedelta(seconds=seconds)).get("/account/")
        assert row().used_at == noted
    assert row().began_at == began


@pytest.fixture
def desk_of(owner, monkeypatch):
    """Ines's browser at a moment."""
    client = signed_in(LAPTOP)

    def at_moment(moment):
        monkeypatch.setattr(account_sessions.timezone, "now", lambda: moment)
        return client

    return at_moment


@pytest.mark.parametrize(
    ("days", "used_days", "is_over"),
    [
        pytest.param(0, 13.9, False, id="two weeks less an hour without use"),
        pytest.param(0, 14, True, id="two weeks without use"),
        pytest.param(80, 9.9, False, id="old, but used"),
        pytest.param(80, 10, True, id="ninety days old"),
    ],
)
def test_a_session_ends_after_two_weeks_without_use_and_after_ninety_days(days, used_days, is_over):
    used = cast.NOW + timedelta(days=days)
    session = {"began_at": cast.NOW.isoformat(), "used_at": used.isoformat()}

    assert (
        hold_sessions.is_over(
            session=session,
            longest=timedelta(days=90),
            idle=timedelta(days=14),
            now=used + timedelta(days=used_days),
        )
        is is_over
    )


def test_who_was_signed_in_too_long_is_led_to_the_sign_in_with_the_reason(owner):
    laptop = signed_in(LAPTOP)
    session = laptop.session
    session["began_at"] = (timezone.now() - timedelta(days=90)).isoformat()
    session.save()

    answer = laptop.get("/account/", follow=True)

    assert answer.redirect_chain == [("/sign-in/?next=/account/", 302)]
    assert "You were signed in for long." in answer.content.decode()
    assert not AccountSession.objects.filter(user=owner).exists()


def test_a_phone_without_a_session_costs_no_query(phone, open_class, django_assert_num_queries):
    phone.get("/practice/")
    with django_assert_num_queries(0):
        phone.get("/practice/")


def test_what_began_before_sessions_noted_it_begins_now(owner):
    session = {}

    hold_sessions.note_use(session=session, agent=LAPTOP, now=cast.NOW)

    assert datetime.fromisoformat(session["began_at"]) == cast.NOW
    assert session["agent"] == LAPTOP
