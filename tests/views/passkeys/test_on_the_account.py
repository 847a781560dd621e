"""Passkeys made and taken away on the account's pages."""

import logging
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from exercises.models import AuthenticatorApp, Passkey, RecoveryCode
from exercises.serving.event_log import LOGGER
from exercises.usecases import second_step as usecase
from exercises.views import passkeys as views
from tests import cast
from tests.authenticator import Authenticator
from tests.views.passkeys.pages import (
    MAKE,
    NEW,
    ORIGIN,
    PASSWORD,
    STEP,
    USE,
    browser,
    give_password,
    is_in,
    make,
    name_it,
    options,
    text,
    use,
)


def test_a_passkey_is_made_after_the_password_and_shows_ten_codes_once(desk, device):
    passkey = Passkey.objects.get()

    assert (passkey.name, passkey.rp_id, passkey.sign_count) == ("Laptop", "localhost", 1)
    assert (len(set(device.codes)), RecoveryCode.objects.count()) == (10, 10)
    page = text(desk.get("/account/"))
    assert "Laptop</strong>" in page
    assert "not used yet" in page


def test_a_second_passkey_shows_no_codes_and_is_made_on_another_device(desk, device):
    name_it(desk, "Key on the ring")
    asked = options(desk.get(MAKE))
    first = Passkey.objects.get()
    assert [one["id"] for one in asked["excludeCredentials"]] == [first.credential_id]
    assert asked["user"]["id"] == first.user_handle

    answer = desk.post(MAKE, {"answer": Authenticator().make(asked, ORIGIN)})

    assert answer.url == "/account/"
    assert [one.name for one in Passkey.objects.all()] == ["Laptop", "Key on the ring"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": "Laptop", "password": "not it"}, "That is not the password."),
        ({"name": "", "password": PASSWORD}, "This field is required."),
        ({"name": "x" * 41, "password": PASSWORD}, "at most 40 characters"),
    ],
)
def test_the_browser_is_not_asked_before_name_and_password_are_right(desk, typed, said):
    assert said in text(desk.post(NEW, typed))
    assert desk.get(MAKE).url == NEW


def test_a_password_said_long_ago_makes_no_passkey(desk, clock):
    name_it(desk)
    sent = Authenticator().make(options(desk.get(MAKE)), ORIGIN)
    clock.now += timedelta(seconds=views.NAMED_S + 1)

    answer = desk.post(MAKE, {"answer": sent}, follow=True)

    assert "That took too long. Type the password once more." in text(answer)
    assert not Passkey.objects.exists()


def test_an_id_that_another_account_has_is_refused_in_words(device):
    other = browser()
    other.force_login(cast.instructor("karl", PASSWORD))

    answer = make(other, Authenticator(credential_id=device.credential_id))

    assert "This passkey is set up already." in text(answer)
    assert options(answer)  # and the browser is asked anew
    assert Passkey.objects.count() == 1
    assert RecoveryCode.objects.filter(user__username="karl").count() == 0


def test_what_was_made_for_another_page_is_not_kept(desk):
    answer = make(desk, Authenticator(), origin="https://evil.example")

    assert "The browser made no passkey that fits this server." in text(answer)
    assert not Passkey.objects.exists()


def remove(desk, **typed):
    key = Passkey.objects.get().pk
    return desk.post(f"/account/second-step/passkey/{key}/remove/", typed)


def test_removing_asks_for_the_password_and_the_last_takes_the_codes_along(desk, device):
    remove(desk, password="not it")
    assert Passkey.objects.exists()

    assert remove(desk, password=PASSWORD).url == "/account/"

    assert not Passkey.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert "Add a passkey" in text(desk.get("/account/"))
    client = browser()
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    assert is_in(client)


def test_recovery_codes_stay_while_an_app_or_a_passkey_does(desk, device, owner):
    app = AuthenticatorApp.objects.create(
        user=owner, name="Phone", sealed_secret="x", since=cast.NOW, last_step=0
    )

    remove(desk, password=PASSWORD)

    assert RecoveryCode.objects.count() == 10
    usecase.remove_app(account=owner, key=app.pk)
    assert RecoveryCode.objects.count() == 0


def test_the_operator_takes_passkeys_off_too(device):
    call_command("second_step_off", "ines", stdout=StringIO())

    client = browser()
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    assert is_in(client)
    assert (Passkey.objects.count(), RecoveryCode.objects.count()) == (0, 0)


@pytest.mark.parametrize(
    ("host", "said"),
    [
        ("10.42.0.1:8000", "this address is a number: 10.42.0.1"),
        ("class.lan", "Passkeys need https"),
    ],
)
def test_where_browsers_know_no_passkeys_the_page_says_so_and_offers_none(
    device, owner, host, said
):
    desk = browser(host)
    desk.force_login(owner)
    page = text(desk.get("/account/"))
    assert said in page
    assert f'href="{NEW}"' not in page
    assert said in text(desk.post(NEW, {"name": "Laptop", "password": PASSWORD}))

    client = browser(host)
    asks = give_password(client)

    assert "Your passkeys work at localhost, not here." in text(asks)
    assert options(asks) is None
    assert use(client, device, {"challenge": "AAAA", "rpId": "localhost"}).url == STEP
    assert not is_in(client)


def test_a_passkey_goes_with_its_account(owner, device):
    owner.delete()

    assert not Passkey.objects.exists()


def test_the_log_says_what_was_set_up_used_and_removed_by_keys_alone(desk, owner, caplog):
    device = Authenticator()
    with caplog.at_level(logging.INFO, logger=LOGGER):
        desk.post(MAKE, {"answer": "{}"})
        make(desk, device)
        client = browser()
        client.post(USE, {"answer": "{}"})
        give_password(client)
        use(client, device, rp_id="evil.example")
        use(client, device)
        remove(desk, password=PASSWORD)

    noted = [
        (record.msg, record.told["account"], record.told["outcome"]) for record in caplog.records
    ]
    assert noted == [
        ("second_step_set_up", owner.pk, "not_done"),
        ("second_step_set_up", owner.pk, "done"),
        ("second_step", None, "not_done"),
        ("sign_in", owner.pk, "done"),
        ("second_step", owner.pk, "not_done"),
        ("second_step", owner.pk, "done"),
        ("deletion", owner.pk, "done"),
    ]
