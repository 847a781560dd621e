"""Passkeys on the account's pages and at sign-in, with a device in software (authenticator.py)."""

import json
import logging
import re
from datetime import timedelta
from io import StringIO

import pyotp
import pytest
from django.core.management import call_command
from django.test import Client

from exercises.models import AuthenticatorApp, Passkey, RecoveryCode
from exercises.serving.event_log import LOGGER
from exercises.usecases import second_step as usecase
from exercises.usecases.passkeys import HOLDS
from exercises.usecases.second_step import PATIENCE
from exercises.views import passkey_questions, passkeys as views, second_step, signing_in
from tests import cast
from tests.authenticator import Authenticator

PASSWORD = "heather, kettle, ladder"
HOST, ORIGIN = "localhost:8000", "http://localhost:8000"
NEW, MAKE = "/account/second-step/passkey/", "/account/second-step/passkey/make/"
STEP, USE = "/sign-in/second-step/", "/sign-in/second-step/passkey/"


@pytest.fixture
def owner(db):
    return cast.instructor("ines", PASSWORD)


@pytest.fixture
def clock(monkeypatch):
    """The moment at which pages are asked for, which tests move."""

    class Clock:
        now = cast.NOW

    for module in (views, passkey_questions, second_step, signing_in):
        monkeypatch.setattr(module.timezone, "now", lambda: Clock.now)
    return Clock


def browser(host=HOST):
    return Client(HTTP_HOST=host)


@pytest.fixture
def desk(owner, clock):
    client = browser()
    client.force_login(owner)
    return client


def text(answer):
    return " ".join(answer.content.decode().split())


def options(answer):
    """What a page asks the browser for; None for nothing."""
    found = re.search(
        r'<script id="passkey-options" type="application/json">(.+?)</script>',
        answer.content.decode(),
    )
    return found and json.loads(found[1])


def name_it(desk, name="Laptop"):
    return desk.post(NEW, {"name": name, "password": PASSWORD})


def make(desk, device, name="Laptop", origin=ORIGIN):
    """Add a passkey as a browser does; the answer to its last step."""
    name_it(desk, name)
    asked = options(desk.get(MAKE))
    return desk.post(MAKE, {"answer": device.make(asked, origin)})


@pytest.fixture
def device(desk):
    """A device that holds a passkey of Ines's; `codes` are her recovery codes."""
    made = Authenticator()
    page = make(desk, made).content.decode()
    made.codes = re.findall(r'<li><strong class="personal-code">([A-Z0-9 ]+)</strong>', page)
    return made


def give_password(client, **more):
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD, **more})
    return client.get(STEP)


def use(client, device, asked=None, origin=ORIGIN, **spoilt):
    asked = asked or options(client.get(STEP))
    return client.post(USE, {"answer": device.use(asked, origin, **spoilt)})


def is_in(client):
    return client.get("/account/").status_code == 200


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


def test_after_the_password_a_passkey_lets_in_and_nobody_is_in_before(device, clock):
    client = browser()
    asked = options(give_password(client, next="/kits/"))
    passkey = Passkey.objects.get()
    assert [one["id"] for one in asked["allowCredentials"]] == [passkey.credential_id]
    assert (asked["rpId"], is_in(client)) == ("localhost", False)

    answer = use(client, device, asked)

    assert (answer.url, is_in(client)) == ("/kits/", True)
    passkey.refresh_from_db()
    assert (passkey.sign_count, passkey.used_at) == (2, clock.now)
    assert client.cookies[signing_in.KNOWN].value
    assert "last used 0" in text(client.get("/account/"))


def test_a_device_that_does_not_count_lets_in_again_and_again(desk):
    device = Authenticator(counts=False)
    make(desk, device)

    for _ in range(2):
        client = browser()
        give_password(client)
        use(client, device)
        assert is_in(client)


def test_a_count_that_goes_back_lets_nobody_in_and_is_logged(device, caplog):
    Passkey.objects.update(sign_count=2)
    client = browser()
    give_password(client)

    with caplog.at_level(logging.WARNING, logger="navclass.doors"):
        answer = use(client, device)

    assert "This passkey counted backwards" in text(answer)
    assert not is_in(client)
    assert "a passkey counted backwards" in caplog.text
    assert Passkey.objects.get().used_at is None


def test_without_a_password_just_now_a_passkey_opens_nothing(device, clock):
    client = browser()
    asked = options(give_password(client))
    stranger = browser()

    assert use(stranger, device, asked).url == "/sign-in/"
    clock.now += timedelta(seconds=second_step.PENDING_S + 1)
    assert use(client, device, asked).url == "/sign-in/"
    assert not is_in(client)


def test_a_question_is_answered_once_also_where_two_answers_come_at_the_same_moment(desk):
    device = Authenticator(counts=False)
    make(desk, device)
    first, second = browser(), browser()
    sent = device.use(options(give_password(first)), ORIGIN)
    give_password(second)
    session = second.session  # as the second answer finds it before the first has been looked at
    session[passkey_questions.USE] = first.session[passkey_questions.USE]
    session.save()

    first.post(USE, {"answer": sent})
    answer = second.post(USE, {"answer": sent})

    assert (is_in(first), is_in(second)) == (True, False)
    assert "or was sent twice" in text(answer)


def test_a_session_forgets_the_question_with_the_answer(device):
    client = browser()
    asked = options(give_password(client))

    client.post(USE, {"answer": "{}"})

    assert client.session[passkey_questions.USE][0] != asked["challenge"]
    assert "That passkey does not let you in." in text(use(client, device, asked))


def test_an_answer_to_the_page_before_is_not_taken(device):
    client = browser()
    asked = options(give_password(client))
    client.get(STEP)  # asks anew

    assert "That passkey does not let you in." in text(use(client, device, asked))
    assert not is_in(client)


@pytest.mark.parametrize(
    ("late", "lets_in"), [(HOLDS, True), (HOLDS + timedelta(seconds=1), False)]
)
def test_a_question_holds_for_five_minutes(device, clock, late, lets_in):
    client = browser()
    asked = options(give_password(client))
    clock.now += late

    answer = use(client, device, asked)

    assert is_in(client) is lets_in
    assert lets_in or "longer than five minutes" in text(answer)


@pytest.mark.parametrize(
    "spoilt",
    [
        {"origin": "http://localhost:8001"},
        {"origin": "https://evil.example"},
        {"rp_id": "evil.example"},
        {"crossOrigin": True},
        {"type": "webauthn.create"},
        {"challenge": "AAAA"},
        {"flags": 0},
    ],
    ids=str,
)
def test_what_another_page_or_nobody_signed_lets_nobody_in(device, spoilt):
    client = browser()
    give_password(client)

    assert "That passkey does not let you in." in text(use(client, device, **spoilt))
    assert not is_in(client)


def test_another_accounts_passkey_lets_nobody_in(device):
    karl = cast.instructor("karl", PASSWORD)
    other = browser()
    other.force_login(karl)
    his = Authenticator()
    make(other, his)
    client = browser()
    give_password(client)

    assert "That passkey does not let you in." in text(use(client, his))
    assert not is_in(client)


def test_another_key_under_the_same_id_lets_nobody_in(device):
    forged = Authenticator(credential_id=device.credential_id)
    forged.handle, forged.count = device.handle, 7
    client = browser()
    give_password(client)

    assert "That passkey does not let you in." in text(use(client, forged))
    assert not is_in(client)


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


GARBAGE = ["", "{", "null", "\0", '{"id":"\\u0000"}', "é" * 500, "[" * 19_000, "x" * 20_001]


@pytest.mark.parametrize("sent", GARBAGE, ids=range(len(GARBAGE)))
def test_garbage_gets_words_at_either_page(desk, device, sent):
    name_it(desk)
    desk.get(MAKE)
    client = browser()
    give_password(client)

    for answer in (desk.post(MAKE, {"answer": sent}), client.post(USE, {"answer": sent})):
        assert answer.status_code == 200
        assert 'class="notice notice-error" role="alert">' in text(answer)
        assert options(answer)
    assert (Passkey.objects.count(), is_in(client)) == (1, False)


def test_a_body_beyond_all_bounds_is_refused(device):
    client = browser()
    give_password(client)

    assert client.post(USE, {"answer": "x" * 3_000_000}).status_code in (400, 413)


def test_trying_passkeys_is_slowed_as_codes_are_and_at_the_same_door(device, clock):
    for number in range(PATIENCE.bears + 1):
        client = browser()
        give_password(client)
        if number % 2:
            client.post(STEP, {"code": f"00000{number}"})
        else:
            use(client, device, rp_id="evil.example")
        clock.now += timedelta(seconds=400)  # long enough for the password's own door
    clock.now -= timedelta(seconds=400)
    give_password(client)

    answer = use(client, device)

    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "2")


def test_with_passkeys_alone_the_field_takes_recovery_codes(device):
    client = browser()
    page = text(give_password(client))
    assert "One of your recovery codes." in page
    assert "Use a passkey" in page

    client.post(STEP, {"code": device.codes[0]})

    assert is_in(client)


def test_beside_an_app_the_field_takes_its_codes_and_no_new_ones_are_shown(
    desk, device, owner, clock
):
    secret = usecase.new_secret()
    codes = usecase.add_app(
        account=owner,
        secret=secret,
        name="Phone",
        code=pyotp.TOTP(secret).at(clock.now),
        now=clock.now,
    )
    clock.now += timedelta(minutes=1)
    client = browser()
    assert "The six digits that your app shows" in text(give_password(client))

    client.post(STEP, {"code": pyotp.TOTP(secret).at(clock.now)})

    assert (codes, is_in(client)) == ([], True)


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


def test_a_passkey_of_one_name_is_not_offered_at_another(device, owner):
    client = browser("desk.localhost")

    asks = give_password(client)

    assert options(asks) is None
    assert "Your passkeys work at localhost, not here." in text(asks)
    answer = use(client, device, {"challenge": "AAAA", "rpId": "localhost"})
    assert "longer than five minutes" in text(answer)
    desk = browser("desk.localhost")
    desk.force_login(owner)
    assert "It works at localhost, not here." in text(desk.get("/account/"))


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


def test_who_came_in_by_a_passkey_is_forgiven_what_failed_before(device, clock):
    client = browser()
    give_password(client)
    use(client, device)
    client.post("/sign-out/")  # from now on the browser is known, and has a door of its own
    give_password(client)
    for number in range(PATIENCE.bears):
        client.post(STEP, {"code": f"00000{number}"})

    use(client, device)

    client.post("/sign-out/")
    give_password(client)
    assert client.post(STEP, {"code": "000000"}).status_code == 200
