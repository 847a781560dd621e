"""What a browser may keep: every address, signed in and with a phone's cookie."""

import re

import pytest
from django.urls import get_resolver, reverse

from exercises.serving import shell
from exercises.views.keepable import KEEPABLE
from tests import cast
from tests.permissions import TABLE, arguments

# the phone's shell, which works without a network, and pages about nobody
SHELL = {
    "authority",
    "bare_page",
    "glossary",
    "home",
    "manifest",
    "practice",
    "retention",
    "script",
    "station",
    "style",
    "trust",
    "worker",
}


def is_kept(answer):
    """Whether a browser may write it to its disk."""
    return "no-store" not in answer.headers.get("Cache-Control", "")


def test_the_shell_is_no_more_than_this():
    assert KEEPABLE <= SHELL
    assert {one.name for one in get_resolver("exercises.urls").url_patterns} >= KEEPABLE


@pytest.mark.parametrize("who", ["an instructor", "a phone of the class", "nobody"])
@pytest.mark.parametrize(
    ("name", "wanted", "method"), [row[:3] for row in TABLE], ids=[row[0] for row in TABLE]
)
def test_nothing_about_anybody_is_kept(
    client, open_class, mia, ines, laid_out, who, name, wanted, method
):
    if who == "an instructor":
        client.force_login(ines)
    elif who != "nobody":
        cast.speaks_for(client, open_class, mia.joined)
    address = reverse(name, kwargs=arguments(wanted, open_class, mia, laid_out))

    answer = getattr(client, method)(address)

    if is_kept(answer):
        assert name in SHELL
        page = answer.content.decode(errors="replace")
        assert re.findall(r"\b(?:Mia|ines|Oona)\b", page) == []


@pytest.mark.parametrize("name", sorted({"home", "practice", "glossary", "bare_page"}))
def test_what_the_worker_keeps_may_be_kept(client, db, name):
    assert is_kept(client.get(reverse(name)))


def test_a_phone_may_keep_the_bare_page_of_its_class_and_not_what_it_shows(phone, open_class):
    page, state = (phone.get(f"/c/{open_class.code}/{part}") for part in ("", "state/"))

    assert (page.status_code, state.status_code) == (200, 200)
    assert is_kept(page)
    assert not is_kept(state)


def test_files_of_the_shell_are_kept_for_a_year_as_before(client):
    answer = client.get(f"/phone-{shell.version()}.css")

    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"


@pytest.mark.parametrize("address", ["/nowhere/", "/classes/999999/", "/c/AAAAAA/"])
def test_an_address_that_is_not_there_is_not_kept(desk, address):
    assert not is_kept(desk.get(address))


def test_a_static_file_is_none_of_its_business(client):
    answer = client.get("/static/exercises/icon.svg")

    assert "no-store" not in answer.headers["Cache-Control"]
