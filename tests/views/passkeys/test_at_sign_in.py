"""Passkeys used after the password at sign-in."""

import logging
from datetime import timedelta

import pyotp
import pytest

from exercises.models import Passkey
from exercises.usecases import second_step as usecase
from exercises.usecases.passkeys import HOLDS
from exercises.usecases.second_step import PATIENCE
from exercises.views import passkey_questions, second_step, signing_in
from tests import cast
from tests.authenticator import Authenticator
from tests.views.passkeys.pages import (
    MAKE,
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
