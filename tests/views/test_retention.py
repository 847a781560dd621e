"""The page for parents and whoever answers for data, and the sentence wherever something goes."""

import pytest
from django.urls import reverse

from tests import cast


def text(answer):
    return " ".join(answer.content.decode().split())


def test_it_is_read_without_signing_in_and_says_the_days_of_this_server(client, db, settings):
    settings.BACKUP_WEEKS, settings.SESSION_DAYS = 3, 45

    page = text(client.get("/what-is-kept/"))

    assert "It is deleted itself within 28 days" in page
    assert "90 days after it unless its instructor says otherwise" in page
    assert "for at most 45 days" in page


def test_whom_to_ask_is_a_setting_and_shown_as_text(client, db, settings):
    settings.CONTACT = "Ana Rey <ana@school.example>"

    page = text(client.get("/what-is-kept/"))

    assert "<p>Ana Rey &lt;ana@school.example&gt;</p>" in page


def test_without_the_setting_it_names_the_instructor(client, db, settings):
    settings.CONTACT = ""

    assert "<p>The instructor of the class, or the school" in text(client.get("/what-is-kept/"))


@pytest.mark.parametrize(
    ("tiles", "is_said"), [("https://tiles.example/{z}/{x}/{y}", True), ("", False)]
)
def test_another_server_is_named_only_where_there_is_one(client, db, settings, tiles, is_said):
    settings.TILES_URL = tiles

    assert ("from another server" in text(client.get("/what-is-kept/"))) == is_said


def test_who_joins_finds_it_by_one_short_link(client, open_class):
    page = text(client.get(f"/c/{open_class.code}/join/"))

    assert page.count('<a href="/what-is-kept/">What is kept, and how long</a>') == 1


def test_it_stands_at_the_foot_of_the_desk(desk):
    assert '<a href="/what-is-kept/">' in text(desk.get("/sites/"))


def test_wherever_something_goes_it_is_said_how_long_backups_hold_it(
    desk, open_class, mia, settings
):
    settings.BACKUP_WEEKS = 2
    cast.speaks_for(desk, open_class, mia.joined)
    site = open_class.course.site_id
    addresses = [
        reverse("class_names", args=[open_class.pk]),
        reverse("person_out", args=[open_class.pk, mia.pk]),
        reverse("class_remove", args=[open_class.pk]),
        reverse("site_remove", args=[site]),
        reverse("forget_me", args=[open_class.code]),
    ]

    said = ["for up to 21 days more" in text(desk.get(address)) for address in addresses]

    assert said == [True] * len(addresses)
