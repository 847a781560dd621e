"""Guessing codes of classes and cards: slow by address wherever one can be typed, and never slow
for a class that mistypes.
"""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from exercises.models import CourseClass, Failures, Site
from exercises.usecases import guard_door
from exercises.usecases.guard_door import CODES, Shut
from tests import cast

HERE, ELSEWHERE = "192.0.2.1", "198.51.100.9"  # for documentation, RFC 5737
WRONG = "AAAAAA"
GET, POST = "get", "post"
# every address that takes a code of a class or a card
DOORS = {
    "front page": (GET, "/?code={code}"),
    "front page by way of a card": (GET, "/?card={code}"),
    "class": (GET, "/c/{code}/"),
    "joining": (GET, "/c/{code}/join/"),
    "joining by way of a card": (GET, "/c/{right}/join/?card={code}"),
    "joining, sent": (POST, "/c/{code}/join/"),
    "other phone": (GET, "/c/{code}/other-phone/"),
    "other phone, sent": (POST, "/c/{code}/other-phone/"),
    "compass": (GET, "/c/{code}/compass/"),
    "pace": (GET, "/c/{code}/pace/"),
    "lengths": (GET, "/c/{code}/lengths/"),
    "sheets": (GET, "/c/{code}/mine/"),
    "forgetting": (GET, "/c/{code}/forget/"),
    "state": (GET, "/c/{code}/state/"),
    "cautions": (POST, "/c/{code}/heard/"),
    "readings": (POST, "/c/{code}/readings/"),
    "at home": (POST, "/c/{code}/at-home/"),
    "card": (GET, "/s/{code}/"),
    "card in capitals": (GET, "/S/{code}/"),
    "own classes": (POST, "/my-classes/"),
}


def come(course_class, door, code=WRONG, client=None, address=HERE):
    method, path = DOORS[door]
    return getattr(client or Client(), method)(
        path.format(code=code, right=course_class.code),
        {"code": code, "personal_code": "NOBODY"} if method == POST else {},
        REMOTE_ADDR=address,
    )


def shut(address=HERE):
    """Let an address have guessed until it waits."""
    guard_door.note_failure(
        door=f"code from {address}", patience=CODES, now=timezone.now(), tries=CODES.bears + 1
    )


def counted(address=HERE):
    return Failures.objects.filter(door=f"code from {address}").values_list("number", flat=True)


@pytest.mark.parametrize("door", DOORS)
def test_a_wrong_code_counts_wherever_it_is_typed(open_class, door):
    come(open_class, door)

    assert list(counted()) == [1]


@pytest.mark.parametrize("door", DOORS)
def test_who_guessed_too_often_waits_wherever_a_code_is_typed(open_class, door):
    shut()

    here, elsewhere = come(open_class, door), come(open_class, door, address=ELSEWHERE)

    assert (here.status_code, here.headers["Retry-After"]) == (429, "2")
    assert elsewhere.status_code != 429


@pytest.mark.parametrize("door", ["front page", "class", "joining", "card"])
def test_a_right_code_waits_as_well_and_so_tells_a_guesser_nothing(open_class, door):
    shut()
    right = open_class.course.site.points.first().card_code if door == "card" else open_class.code

    assert come(open_class, door, right).status_code == 429


def test_right_codes_are_never_counted(open_class):
    card = open_class.course.site.points.first().card_code
    for door, (_, path) in DOORS.items():
        come(open_class, door, card if "/s/" in path.lower() or "card" in path else open_class.code)

    assert not counted()


def test_a_phone_in_the_class_waits_at_no_door(open_class, phone):
    shut()

    statuses = [
        come(open_class, door, open_class.code, phone).status_code
        for door in ("class", "joining", "compass", "state", "forgetting")
    ]

    assert statuses == [200, 302, 200, 200, 200]


def test_a_phone_that_claims_to_be_in_a_class_waits_like_others(open_class, client):
    shut()
    client.cookies[f"navclass_{open_class.pk}"] = "1:guessed"

    assert come(open_class, "state", open_class.code, client).status_code == 429


@pytest.mark.parametrize("removed", ["class", "site"])
def test_phones_that_ask_for_what_was_removed_count_as_no_guess(open_class, removed):
    card = open_class.course.site.points.first().card_code
    cast.close(open_class)
    which = {"class": CourseClass, "site": Site}[removed]
    which.objects.update(removed_at=cast.LATER)

    assert come(open_class, "state", open_class.code).status_code == 404
    if removed == "site":
        assert come(open_class, "card", card).status_code == 404
    assert not counted()


def test_a_page_that_goes_on_asking_for_a_code_that_held_before_counts_once(open_class):
    for _ in range(CODES.bears + 2):
        assert come(open_class, "state").status_code == 404

    assert list(counted()) == [1]


def test_a_class_of_thirty_behind_one_address_is_not_slowed_by_ordinary_mistakes(open_class):
    """Thirty people who mistype twice each before they get it right."""
    for person in range(30):
        for slip in range(2):
            wrong = come(open_class, "front page", f"{WRONG[:-2]}{person:02d}{slip}"[-6:])
            assert wrong.status_code == 200
        assert come(open_class, "front page", open_class.code).status_code == 302


def guesses_in(within, rests):
    """How many guesses a patient guesser has within a time; they come as soon as the door lets
    them, and after so many of a run wait until it has forgotten all.
    """
    door, at, made, run = "patient", cast.NOW, 0, 0
    while at - cast.NOW < within:
        if run == rests:
            at, run = at + CODES.forgets, 0
            continue
        try:
            guard_door.look(door=door, patience=CODES, now=at, find=lambda: None, guess=str(made))
        except Shut as waits:
            at += timedelta(seconds=waits.seconds)
        else:
            made, run = made + 1, run + 1
    return made


@pytest.mark.parametrize("rests", [CODES.bears, CODES.bears + 4, CODES.bears + 40, 10_000])
def test_a_thousand_guesses_take_longer_than_a_day_however_they_are_spread(db, rests):
    assert guesses_in(timedelta(days=1), rests) < 1000
