"""Who may see what, by the table of `permissions.py`. A URL that is missing from it fails here."""

import pytest
from django.urls import get_resolver, reverse

from tests import cast
from tests.permissions import OUT, TABLE, arguments


@pytest.mark.parametrize("who", ["ines", "karl", "nobody"])
@pytest.mark.parametrize(
    ("name", "wanted", "method", "ines_sees", "karl_sees", "nobody_sees"),
    TABLE,
    ids=[row[0] for row in TABLE],
)
def test_who_sees_what(
    client,
    open_class,
    mia,
    ines,
    karl,
    laid_out,
    who,
    name,
    wanted,
    method,
    ines_sees,
    karl_sees,
    nobody_sees,
):
    if who != "nobody":
        client.force_login({"ines": ines, "karl": karl}[who])
    address = reverse(name, kwargs=arguments(wanted, open_class, mia, laid_out))

    answer = getattr(client, method)(address)

    assert answer.status_code == {"ines": ines_sees, "karl": karl_sees, "nobody": nobody_sees}[who]
    if (
        who == "nobody"
        and answer.status_code == OUT
        and name
        not in (
            "sign_out",
            "set_language",
            "station",
            "mine",
            "compass",
            "pace",
            "lengths",
            "forget_me",
            "own_classes",
        )
    ):
        assert answer.url.startswith("/sign-in/")


@pytest.mark.parametrize(
    "row",
    [
        row
        for row in TABLE
        if row[0]
        not in (
            "home",
            "sign_in",
            "site_new",
            "site_edit",
            "point_new",
            "point_edit",
            "point_lines",
            "course_new",
            "course",
            "join",
            "other_phone",
            "set_language",
            "desk_lengths",
            "hand_in",
            "task_edit",
            "key_correct",
            "compass",
            "pace",
            "lengths",
            "point_here",
            "point_here_again",
            "point_measured",
            "points_import",
            "traverse",
            "ground",
            "hazard_new",
            "hazard_edit",
            "paper",
            "helpers",
            "invitation",
            "organisations",
            "organisation_join",
            "roster",
            "person_same",
            "person_out",
            "headcounts",
            "app_new",
            "app_remove",
            "passkey_new",
            "passkey_make",
            "passkey_remove",
            "recovery_codes",
            "second_step",
            "course_name",
            "class_again",
            "class_settings",
            "site_remove",
            "course_remove",
            "class_remove",
            "site_safety",
            "before_going_out",
            "compasses_checked",
            "point_delete",
            "rotation_again",
            "kits",
            "kit",
            "kit_settings",
            "kit_check",
            "kit_compass",
            "class_names",
            "forget_me",
            "own_classes",
            "retest",
            "account_password",
            "account_email",
            "account_export",
            "account_import",
            "account_delete",
            "site_export",
            "forgotten",
            "password_new",
        )
    ],
    ids=lambda row: row[0],
)
def test_the_wrong_method_is_refused(desk, open_class, mia, laid_out, row):
    name, wanted, method = row[:3]

    assert (
        getattr(desk, "get" if method == "post" else "post")(
            reverse(name, kwargs=arguments(wanted, open_class, mia, laid_out))
        ).status_code
        == 405
    )


def test_every_address_is_in_the_table():
    names = {
        pattern.name for entry in get_resolver().url_patterns for pattern in entry.url_patterns
    }

    assert names == {row[0] for row in TABLE}


def test_another_persons_secret_does_not_speak_for_mia(client, open_class, mia):
    tom = cast.join(open_class, "Tom")
    cast.speaks_for(client, open_class, tom)

    answer = client.post(
        f"/c/{open_class.code}/readings/",
        {"readings": [cast.reading(mia)]},
        content_type="application/json",
    )

    assert answer.json()["readings"][0]["status"] == "refused"
