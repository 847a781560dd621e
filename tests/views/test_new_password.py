"""A new password for who has forgotten theirs: by the operator's link, and by mail."""

import re
import threading
from datetime import datetime, timedelta
from io import StringIO

import pytest
from django.contrib.auth import get_user_model
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client

from exercises.models import AccountSession
from exercises.serving import mail as sending
from tests import cast

NEW = "granite lantern otter"


@pytest.fixture
def owner(db):
    account = cast.instructor("ines", "heather, kettle, ladder")
    account.email = "ines@field.example"
    account.save()
    return account


def link_of(*arguments):
    """What the operator's command prints."""
    said = StringIO()
    call_command("password_link", *arguments, stdout=said, stderr=StringIO())
    return said.getvalue().strip()


def path_of(link):
    return re.sub(r"https?://[^/]+", "", link)


def choose(client, path, password=NEW):
    """Open a link and choose a password; what is answered."""
    opened = client.get(path)
    if opened.status_code == 200:
        return opened
    return client.post(opened.url, {"new_password1": password, "new_password2": password})


def test_the_operators_link_gives_a_new_password_and_signs_out_everywhere(owner, client):
    laptop = Client()
    laptop.force_login(owner)

    answer = choose(client, path_of(link_of("ines")))

    assert answer.url == "/sign-in/"
    assert get_user_model().objects.get().check_password(NEW)
    assert not AccountSession.objects.filter(user=owner).exists()


def test_a_link_works_once(owner, client):
    path = path_of(link_of("ines"))
    choose(client, path)

    again = choose(Client(), path, "another, longer, one")

    assert "This link was used before, or is older than a day." in again.content.decode()
    assert get_user_model().objects.get().check_password(NEW)


@pytest.mark.parametrize("seconds", [86_399, 86_401])
def test_a_link_holds_for_a_day(owner, client, seconds, monkeypatch):
    path = path_of(link_of("ines"))
    generator = "django.contrib.auth.tokens.PasswordResetTokenGenerator"
    now = datetime.now() + timedelta(seconds=seconds)
    monkeypatch.setattr(f"{generator}._now", lambda self: now)

    assert ("older than a day" in choose(client, path).content.decode()) == (seconds > 86_400)


def test_the_link_leads_to_where_the_operator_says(owner):
    assert link_of("ines", "--address", "https://class.lan:8443/").startswith(
        "https://class.lan:8443/new-password/"
    )


def test_the_command_names_an_account_that_is_not_there(owner):
    with pytest.raises(CommandError, match="No account is called karl"):
        link_of("karl")


def test_the_command_makes_an_account_that_nobody_enters_before_they_choose(db, client):
    path = path_of(link_of("karl", "--new"))
    assert not get_user_model().objects.get().has_usable_password()

    choose(client, path)

    assert get_user_model().objects.get(username="karl").check_password(NEW)


def test_the_command_makes_no_account_twice(owner):
    with pytest.raises(CommandError, match="An account is called ines already"):
        link_of("ines", "--new")


def test_without_mail_the_sign_in_says_whom_to_ask(client, db):
    assert "Ask who runs this server" in client.get("/sign-in/").content.decode()
    assert "Ask who runs this server" in client.get("/new-password/").content.decode()


@pytest.fixture
def with_mail(settings, monkeypatch):
    """A server that sends mail, at once."""
    settings.MAIL_IS_SET_UP = True
    settings.HOTSPOT, settings.ALLOWED_HOSTS = False, ["field.example", "testserver"]
    settings.DEFAULT_FROM_EMAIL = "navclass@field.example"

    class AtOnce(threading.Thread):
        def start(self):
            self.run()

    monkeypatch.setattr(sending.threading, "Thread", AtOnce)


def test_a_link_is_mailed_to_the_address_of_the_account(owner, client, with_mail):
    answer = client.post("/new-password/", {"email": "INES@field.example"}, follow=True)

    (letter,) = mail.outbox
    assert (letter.to, letter.subject) == (["ines@field.example"], "A new password for navclass")
    link = re.search(r"https://field\.example/new-password/\S+", letter.body)[0]
    assert choose(client, path_of(link)).url == "/sign-in/"
    assert "If an account has this address" in answer.content.decode()


def test_who_asks_under_another_name_of_the_server_gets_a_link_to_its_own(owner, client, with_mail):
    client.post("/new-password/", {"email": "ines@field.example"}, HTTP_HOST="testserver")

    assert "https://field.example/" in mail.outbox[0].body


def test_an_address_that_no_account_has_is_answered_alike_and_gets_nothing(
    owner, client, with_mail
):
    there, not_there = (
        Client().post("/new-password/", {"email": address}, follow=True).content.decode()
        for address in ("ines@field.example", "tom@field.example")
    )

    blank = [re.sub(r'value="[A-Za-z0-9]{64}"', "", page) for page in (there, not_there)]
    assert blank[0] == blank[1]
    assert [letter.to for letter in mail.outbox] == [["ines@field.example"]]


def test_an_address_is_kept_only_with_the_password(owner, client, with_mail):
    client.force_login(owner)
    for password in ("wrong", "heather, kettle, ladder"):
        client.post("/account/e-mail/", {"email": "i@field.example", "password": password})
        owner.refresh_from_db()
        assert (owner.email == "i@field.example") == (password != "wrong")


def test_without_mail_no_address_is_asked_for(owner, client):
    client.force_login(owner)

    assert client.get("/account/e-mail/").status_code == 404
    assert "E-mail" not in client.get("/account/").content.decode()
