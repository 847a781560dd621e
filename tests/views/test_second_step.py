"""The second step at sign-in: codes of an app by the clock, recovery codes, and taking it off."""

import logging
import re
from datetime import UTC, datetime, timedelta
from io import StringIO

import pyotp
import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from exercises.models import AuthenticatorApp, RecoveryCode
from exercises.usecases import second_step as usecase
from exercises.usecases.second_step import PATIENCE, matching_step
from exercises.views import second_step as views, signing_in
from tests import cast

PASSWORD = "heather, kettle, ladder"
# RFC 6238, appendix B, SHA-1: seconds since 1970, and the last six of its eight digits
RFC_SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"  # "12345678901234567890" in base32
RFC_6238 = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
]


def at(seconds):
    return datetime.fromtimestamp(seconds, UTC)


@pytest.mark.parametrize(("seconds", "code"), RFC_6238)
def test_codes_are_those_of_the_standard(seconds, code):
    assert matching_step(RFC_SECRET, code, at(seconds)) == seconds // 30


@pytest.mark.parametrize(
    ("late_s", "is_taken"), [(-59, False), (-30, True), (0, True), (59, True), (60, False)]
)
def test_a_code_holds_one_step_before_and_after_its_own(late_s, is_taken):
    begins = 1111111110  # a step of thirty seconds begins
    now = at(begins + late_s)

    assert (matching_step(RFC_SECRET, "050471", now) is not None) is is_taken


def test_a_code_may_be_typed_with_a_space():
    assert matching_step(RFC_SECRET, "050 471", at(1111111111)) is not None


@pytest.mark.parametrize("code", ["", "5", "05047", "0504711", "abcdef", "०५०४७१", "é"])
def test_what_is_no_code_is_none(code):
    assert matching_step(RFC_SECRET, code, at(1111111111)) is None


@pytest.fixture
def owner(db):
    return cast.instructor("ines", PASSWORD)


@pytest.fixture
def app(owner, clock):
    """What makes the codes of an app that was set up a minute ago; `codes` are recovery codes."""
    secret = usecase.new_secret()
    made = pyotp.TOTP(secret)
    before = cast.NOW - timedelta(minutes=1)
    made.codes = usecase.add_app(
        account=owner, secret=secret, name="Phone", code=made.at(before), now=before
    )
    return made


def give_password(client, **more):
    return client.post("/sign-in/", {"username": "ines", "password": PASSWORD, **more})


def give(client, code):
    return client.post("/sign-in/second-step/", {"code": code})


def is_in(client):
    return client.get("/account/").status_code == 200


def text(answer):
    return " ".join(answer.content.decode().split())


def test_after_the_password_the_code_is_asked_and_nobody_is_in_before_it(client, app, clock):
    answer = give_password(client, next="/kits/")
    assert (answer.status_code, answer.url, is_in(client)) == (302, "/sign-in/second-step/", False)

    answer = give(client, app.at(clock.now))

    assert (answer.url, is_in(client)) == ("/kits/", True)


def test_without_a_password_just_now_there_is_no_second_step(client, app, clock):
    assert give(client, app.at(clock.now)).url == "/sign-in/"
    give_password(client)
    clock.now += timedelta(seconds=views.PENDING_S + 1)

    assert give(client, app.at(clock.now)).url == "/sign-in/"
    assert not is_in(client)


def test_a_code_is_taken_once(app, clock):
    first, second = Client(), Client()
    for client in (first, second):
        give_password(client)
        answer = give(client, app.at(clock.now))

    assert (is_in(first), is_in(second)) == (True, False)
    assert "That code does not hold." in text(answer)


def test_the_code_with_which_an_app_was_set_up_lets_nobody_in(client, app, clock):
    clock.now -= timedelta(minutes=1)
    give_password(client)

    give(client, app.at(clock.now))

    assert not is_in(client)


def test_a_recovery_code_lets_in_once_however_it_is_typed(app, clock):
    first, second = Client(), Client()
    typed = f" {app.codes[0][:4].lower()}-{app.codes[0][4:]}"
    for client in (first, second):
        give_password(client)
        give(client, typed)

    assert (is_in(first), is_in(second)) == (True, False)
    assert "9 recovery codes are left." in text(first.get("/account/"))


def test_guessing_codes_is_slowed_and_starts_anew_with_no_new_sign_in(app, clock):
    for number in range(PATIENCE.bears + 1):
        client = Client()
        give_password(client)
        assert give(client, f"00000{number}").status_code == 200
        clock.now += timedelta(seconds=400)  # long enough for the password's own door

    clock.now -= timedelta(seconds=400)
    give_password(client)
    answer = give(client, app.at(clock.now))

    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "2")


def test_the_owner_comes_in_where_they_have_been_while_a_stranger_guesses(app, clock):
    known, stranger = Client(), Client()
    give_password(known)
    give(known, app.at(clock.now))
    known.post("/sign-out/")
    give_password(stranger)
    for number in range(PATIENCE.bears + 2):
        answer = give(stranger, f"00000{number}")
    assert answer.status_code == 429
    clock.now += timedelta(seconds=30)

    give_password(known)
    give(known, app.at(clock.now))

    assert is_in(known)


def test_a_browser_is_known_only_after_the_second_step(client, app, clock):
    give_password(client)
    assert signing_in.KNOWN not in client.cookies

    give(client, app.at(clock.now))

    assert client.cookies[signing_in.KNOWN].value


@pytest.fixture
def desk(client, owner, clock):
    client.force_login(owner)
    return client


def set_up(desk, clock, **more):
    page = text(desk.get("/account/second-step/app/"))
    secret = re.search(r'personal-code">([A-Z2-7 ]+)<', page)[1].replace(" ", "")
    typed = {"name": "Phone", "code": pyotp.TOTP(secret).at(clock.now), "password": PASSWORD}
    return desk.post("/account/second-step/app/", {**typed, **more})


def test_an_app_is_set_up_with_the_password_and_shows_ten_codes_once(desk, clock):
    page = set_up(desk, clock).content.decode()

    codes = re.findall(r'<li><strong class="personal-code">([A-Z0-9 ]+)</strong>', page)
    assert (len(set(codes)), AuthenticatorApp.objects.count()) == (10, 1)
    assert RecoveryCode.objects.count() == 10
    kept = " ".join(RecoveryCode.objects.values_list("digest", flat=True))
    assert not any(code.replace(" ", "") in kept.upper() for code in codes)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"password": "not it"}, "That is not the password."),
        ({"code": "000000"}, "not the code that the app shows now"),
        ({"name": ""}, "This field is required."),
    ],
)
def test_an_app_is_not_set_up_with_what_is_wrong(desk, clock, more, said):
    page = text(set_up(desk, clock, **more))

    assert said in page
    assert not AuthenticatorApp.objects.exists()


def test_the_secret_is_sealed_and_opens_to_nobody_with_another_key(app, owner, settings, clock):
    kept = AuthenticatorApp.objects.get().sealed_secret
    assert app.secret not in kept

    settings.SECRET_KEY = "another"
    client = Client()
    give_password(client)
    give(client, app.at(clock.now))

    assert not is_in(client)


def test_a_second_app_shows_no_new_codes(desk, app, clock):
    assert set_up(desk, clock, name="Tablet").url == "/account/"
    assert AuthenticatorApp.objects.count() == 2


def test_removing_an_app_asks_for_the_password_and_the_last_takes_the_codes_along(desk, app):
    remove = f"/account/second-step/app/{AuthenticatorApp.objects.get().pk}/remove/"
    desk.post(remove, {"password": "not it"})
    assert AuthenticatorApp.objects.exists()

    assert desk.post(remove, {"password": PASSWORD}).url == "/account/"

    assert not AuthenticatorApp.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert "Set up an app" in text(desk.get("/account/"))


def test_new_recovery_codes_end_those_from_before(desk, app, clock):
    assert "00" not in app.codes
    desk.post("/account/second-step/codes/", {"password": PASSWORD})

    client = Client()
    give_password(client)
    give(client, app.codes[0])
    assert not is_in(client)
    assert RecoveryCode.objects.count() == 10


def test_the_operator_takes_it_off_and_the_log_says_so(app, owner, caplog):
    with caplog.at_level(logging.WARNING, logger="navclass.doors"):
        call_command("second_step_off", "ines", stdout=StringIO())

    client = Client()
    assert give_password(client).url == "/sites/"
    assert is_in(client)
    assert "second step of account ines taken off by the operator" in caplog.text


def test_the_operator_is_told_of_a_name_that_nobody_has(db):
    with pytest.raises(CommandError, match="No account is called nobody"):
        call_command("second_step_off", "nobody")
