"""The instructors' door: guessing is slow, and shuts nobody out for long but who guesses."""

import base64
import hashlib

import hypothesis
import pytest
from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.test import Client, RequestFactory
from hypothesis import given, strategies

from exercises.models import AccountSession, Failures
from exercises.serving import hashing
from exercises.usecases import load_demo, renew_password
from exercises.usecases.passwords import NotOurWords
from exercises.usecases.sign_in import ACCOUNT, ADDRESS, KNOWN, end_demonstration
from exercises.views import shut_doors, signing_in
from exercises.views.address import address_of
from tests import cast

RIGHT = "heather, kettle, ladder"
HERE, STRANGER = "192.0.2.1", "198.51.100.9"  # for documentation, RFC 5737


@pytest.fixture
def owner(db):
    return cast.instructor("ines", RIGHT)


def sign_in(client, password=RIGHT, name="ines", address=HERE):
    return client.post("/sign-in/", {"username": name, "password": password}, REMOTE_ADDR=address)


def guess(times, name="ines", address=STRANGER):
    for _ in range(times):
        answer = sign_in(Client(), "wrong", name, address)
    return answer


def test_a_stranger_who_guesses_an_account_waits_with_the_name_kept(owner, client):
    assert guess(ACCOUNT.bears + 1).status_code == 200

    answer = sign_in(client, RIGHT, address=STRANGER)

    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "2")
    page = answer.content.decode()
    assert "Too many wrong tries. Wait 2 seconds, then try again." in page
    assert 'value="ines"' in page


def test_the_owner_comes_in_where_they_have_been_while_a_stranger_guesses(owner):
    known, unknown = Client(), Client()
    sign_in(known)
    known.post("/sign-out/")
    guess(ACCOUNT.bears + 1)

    assert (sign_in(known).status_code, sign_in(unknown).status_code) == (302, 429)


def test_a_browser_is_known_to_the_account_that_signed_in_there_and_to_no_other(owner, karl):
    client = Client()
    sign_in(client)
    guess(ACCOUNT.bears + 1, "karl")

    assert sign_in(client, "wrong", "karl").status_code == 429


@pytest.mark.parametrize("token", ["", "x", "WyJhIiwiYiJd:1:2", '["a", "b"]'])
def test_a_token_that_is_not_ours_knows_nobody(owner, client, token):
    client.cookies[signing_in.KNOWN] = token
    guess(ACCOUNT.bears + 1)

    assert sign_in(client).status_code == 429


def test_a_known_browser_may_not_guess_for_ever(owner):
    client = Client()
    sign_in(client)
    statuses = [sign_in(client, "wrong").status_code for _ in range(KNOWN.bears + 2)]

    assert statuses == [200] * (KNOWN.bears + 1) + [429]


def test_an_address_that_guesses_many_accounts_waits(owner, client):
    for number in range(ADDRESS.bears + 1):
        guess(1, f"name{number}")

    assert sign_in(client, address=STRANGER).status_code == 429
    assert sign_in(client, address=HERE).status_code == 302


def test_signing_in_oneself_does_not_free_an_address_to_guess_on(owner, karl):
    for number in range(ADDRESS.bears):
        guess(1, f"name{number}")
    sign_in(Client(), address=STRANGER)

    assert guess(1, "name").status_code == 200
    assert guess(1, "name").status_code == 429


def test_an_account_that_is_not_there_is_answered_as_one_that_is(owner):
    there, not_there = (
        [sign_in(Client(), "wrong", name, f"192.0.2.{number}").status_code for number in range(9)]
        for name in ("ines", "nobody")
    )

    assert there == not_there == [200] * (ACCOUNT.bears + 1) + [429] * 3


def test_a_right_password_forgets_what_was_mistyped(owner):
    guess(ACCOUNT.bears, address=HERE)
    sign_in(Client())

    assert list(Failures.objects.exclude(number=0).values_list("door", "number")) == [
        (f"sign in from {HERE}", ACCOUNT.bears)
    ]


def test_while_another_password_is_hashed_nobody_waits_and_nothing_is_counted(
    owner, client, settings
):
    settings.PASSWORD_HASHERS = ["exercises.serving.hashing.OneAtATime"]
    with hashing._place:
        answer = sign_in(client, "wrong")

    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "3")
    assert "Try again in a few seconds." in answer.content.decode()
    assert not Failures.objects.exclude(number=0).exists()


def test_a_password_is_hashed_as_django_hashes_it():
    stored = hashing.OneAtATime().encode("granite lantern otter", "salt", 1000)

    digest = hashlib.pbkdf2_hmac("sha256", b"granite lantern otter", b"salt", 1000)
    assert stored == f"pbkdf2_sha256$1000$salt${base64.b64encode(digest).decode()}"
    assert hashing.OneAtATime().encode("granite lantern otter", "salt", 1000) == stored


@given(strategies.text(min_size=1, max_size=20), strategies.text("abc123", min_size=1))
@hypothesis.settings(max_examples=8)
def test_any_password_is_hashed_as_django_hashes_it(password, salt):
    assert hashing.OneAtATime().encode(password, salt, 10) == (
        PBKDF2PasswordHasher().encode(password, salt, 10)
    )


def test_busy_elsewhere_is_a_page_that_says_when_to_come_again(rf):
    answer = shut_doors.WhoMustWait(None).process_exception(rf.get("/"), hashing.Busy())

    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "3")


@pytest.mark.parametrize(
    ("serves", "status"),
    [pytest.param(False, 403, id="serve"), pytest.param(True, 302, id="demo")],
)
def test_the_demonstrations_password_opens_the_demonstration_alone(
    db, client, settings, serves, status
):
    settings.DEMONSTRATION = serves
    cast.instructor(load_demo.USERNAME, load_demo.PASSWORD)

    answer = sign_in(client, load_demo.PASSWORD, load_demo.USERNAME)

    assert answer.status_code == status
    assert ("everybody can read" in answer.content.decode()) == (not serves)


def test_who_was_signed_in_with_the_demonstrations_password_is_so_no_longer(owner):
    demo = cast.instructor(load_demo.USERNAME, load_demo.PASSWORD)
    for account in (demo, owner):
        Client().force_login(account)

    end_demonstration()

    assert [row.user for row in AccountSession.objects.all()] == [owner]


def test_a_demonstration_with_a_password_of_its_own_stays_signed_in(db):
    Client().force_login(cast.instructor(load_demo.USERNAME, RIGHT))

    end_demonstration()

    assert AccountSession.objects.count() == 1


# what is refused, and in whose words: Django's validators, but the last ones
@pytest.mark.parametrize(
    ("password", "words"),
    [
        ("short one", "too short"),
        ("ines-ines-x", "too similar"),
        ("password123", "too common"),
        ("4711081547110815", "entirely numeric"),
        (load_demo.PASSWORD, "everybody can read"),
        ("Navclass-Compass_2026", "anybody guesses here"),
        ("brújula 1234 clase", "anybody guesses here"),
    ],
)
def test_a_password_that_is_easily_guessed_is_not_taken(db, client, password, words):
    account = get_user_model().objects.create_user("ines-ines", password=RIGHT)
    client.force_login(account)

    answer = client.post(
        "/account/password/",
        {"old_password": RIGHT, "new_password1": password, "new_password2": password},
    )

    assert words in answer.content.decode()
    account.refresh_from_db()
    assert account.check_password(RIGHT)


@pytest.mark.parametrize(
    "password", ["compass under the stairs", "class of otters 12", "1234567890"]
)
def test_words_of_ours_among_others_are_no_fault_of_a_password(password):
    NotOurWords().validate(password)


def test_whoever_finds_a_browser_open_cannot_guess_the_password_there(owner, client):
    client.force_login(owner)
    filled = {"old_password": "wrong", "new_password1": "x", "new_password2": "x"}
    statuses = [
        client.post("/account/password/", filled).status_code for _ in range(KNOWN.bears + 2)
    ]

    assert statuses == [200] * (KNOWN.bears + 1) + [429]


def test_a_new_password_by_link_does_not_wait_for_strangers(owner, client):
    guess(ACCOUNT.bears + 1)
    from_link = Client()
    opened = from_link.get(path_of_link())
    from_link.post(opened.url, {"new_password1": RIGHT + "s", "new_password2": RIGHT + "s"})

    assert sign_in(Client(), RIGHT + "s").status_code == 302


def path_of_link():
    account = get_user_model().objects.get(username="ines")
    uid, token = renew_password.link_parts(account=account)
    return f"/new-password/{uid}/{token}/"


@pytest.mark.parametrize(
    ("behind_proxy", "meta", "address"),
    [
        (False, {"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "198.51.100.9"}, "192.0.2.1"),
        (True, {"HTTP_X_FORWARDED_FOR": "203.0.113.5, 198.51.100.9"}, "198.51.100.9"),
        (True, {"REMOTE_ADDR": "192.0.2.1"}, "192.0.2.1"),
        (False, {"REMOTE_ADDR": "2001:db8:1:2:3::4"}, "2001:db8:1:2::/64"),
        (False, {"REMOTE_ADDR": ""}, "nowhere"),
        (True, {"HTTP_X_FORWARDED_FOR": "' OR 1=1"}, "nowhere"),
    ],
)
def test_where_a_request_comes_from(settings, behind_proxy, meta, address):
    settings.BEHIND_PROXY = behind_proxy
    request = RequestFactory().get("/")
    request.META.pop("REMOTE_ADDR")
    request.META.update(meta)

    assert address_of(request) == address
