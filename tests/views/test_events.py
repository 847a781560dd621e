"""The server's log: what is noted of a request, by keys alone."""

import json
import logging

import pytest
from django.urls import get_resolver

from exercises.exchange.writing import FORMATS
from exercises.models import Person
from exercises.serving.event_log import LOGGER, AsLine
from exercises.views.events import ACTS, EXPORTS
from tests import cast

PASSWORD = "ridge line 240 paces"
SECRETS = ("Mia", "mia", "Halvorsen", "ines", "ines@school.example", "203.0.113.9", PASSWORD)


@pytest.fixture
def lines():
    """What was written, as lines of JSON; of every logger of the program, not of events alone."""
    kept = []

    class Keep(logging.Handler):
        def emit(self, record):
            kept.append(self.format(record))

    handler = Keep()
    handler.setFormatter(AsLine())
    root = logging.getLogger()
    root.addHandler(handler)
    yield kept
    root.removeHandler(handler)


@pytest.fixture
def account(ines):
    ines.email = "ines@school.example"
    ines.set_password(PASSWORD)
    ines.save()
    return ines


def told(lines):
    """Event, account, class and outcome of each line."""
    rows = [json.loads(line) for line in lines]
    return [
        (row["event"], row["account"], row["class"], row["outcome"])
        for row in rows
        if row["event"] != "program"
    ]


def sign_in(client, password):
    return client.post("/sign-in/", {"username": "ines", "password": password})


def test_sign_ins_and_failed_ones_are_noted_by_the_accounts_key(client, account, lines):
    sign_in(client, "something wrong")
    sign_in(client, PASSWORD)
    client.post("/sign-out/")
    client.post("/sign-in/", {"username": "nobody here", "password": "something wrong"})

    assert told(lines) == [
        ("sign_in", account.pk, None, "not_done"),
        ("sign_in", account.pk, None, "done"),
        ("sign_out", account.pk, None, "done"),
        ("sign_in", None, None, "not_done"),
    ]


def test_a_line_has_its_time_in_utc_and_nothing_more_than_keys(client, account, lines):
    sign_in(client, PASSWORD)

    row = json.loads(lines[0])
    assert list(row) == ["time", "event", "account", "class", "outcome"]
    assert row["time"][10:11] + row["time"][-1] == "TZ"


def test_refusals_are_noted_wherever_they_happen(client, open_class, lines):
    answer = client.post(f"/c/{open_class.code}/readings/", "{}", content_type="application/json")
    for _ in range(61):
        client.post(f"/c/{open_class.code}/other-phone/", {"code": "AAAAAA"})

    assert answer.status_code == 403
    noted = told(lines)
    assert noted[0] == ("refusal", None, open_class.pk, "forbidden")
    assert set(noted[1:]) <= {("refusal", None, open_class.pk, "must_wait")}


def test_an_account_that_asks_for_what_is_not_theirs_is_noted(client, karl, open_class, lines):
    client.get(f"/classes/{open_class.pk}/debrief/")
    client.force_login(karl)
    client.get(f"/classes/{open_class.pk}/debrief/")
    client.get(f"/classes/{open_class.pk}/results.csv")
    client.get("/no-such-page/")

    assert told(lines) == [
        ("refusal", karl.pk, open_class.pk, "not_theirs"),
        ("export", karl.pk, open_class.pk, "not_theirs"),
    ]


def test_exports_deletions_and_roles_are_noted_with_their_class(desk, ines, open_class, lines):
    pk = open_class.pk
    desk.get(f"/classes/{pk}/results.csv")
    desk.post(f"/classes/{pk}/remove/")
    desk.post(f"/classes/{pk}/helpers/", {})

    assert [row[:3] for row in told(lines)] == [
        ("export", ines.pk, pk),
        ("deletion", ines.pk, pk),
        ("role", ines.pk, pk),
    ]


def test_no_name_code_or_address_stands_in_the_log(client, account, lines, settings):
    """A whole class, with what goes wrong in it: mistyped names, wrong codes, a fault."""
    made = cast.class_of(account)
    settings.BEHIND_PROXY = True
    common = {"HTTP_X_FORWARDED_FOR": "203.0.113.9"}
    join = {"names": "Mia Halvorsen", "graduation": "2", "is_set": "no"}
    client.post(f"/c/{made.code}/join/", join, **common)
    client.post("/sign-in/", {"username": "Mia Halvorsen", "password": PASSWORD}, **common)
    sign_in(client, "something wrong")
    sign_in(client, PASSWORD)
    person = Person.objects.get()
    for path in ("results.csv", "results.xlsx", "print/cards.pdf", "no-such-page/"):
        client.get(f"/classes/{made.pk}/{path}", **common)
    client.post("/account/e-mail/", {"email": "ines@school.example", "password": PASSWORD})
    client.post(f"/c/{made.code}/forget/", {"person": person.pk}, **common)
    client.post(f"/classes/{made.pk}/names/", {})
    logging.getLogger("django.request").error(
        "%s: %s", "Internal Server Error", f"/c/{made.code}/", exc_info=ValueError("Mia Halvorsen")
    )

    written = "\n".join(lines)
    assert len(lines) >= 8
    assert [one for one in (*SECRETS, made.code) if one in written] == []


def test_a_fault_is_told_by_its_kind_and_place_without_its_words(lines):
    try:
        raise ValueError("Mia Halvorsen is not a number")
    except ValueError:
        logging.getLogger("django.request").exception("%s: %s", "Error", "/c/ABCDEF/")

    row = json.loads(lines[0])
    assert (row["event"], row["level"], row["from"]) == ("program", "error", "django.request")
    assert (row["words"], row["fault"], len(row["where"])) == ("%s: %s", "ValueError", 1)


def test_the_events_of_the_tables_are_of_addresses_that_there_are():
    named = {name for name in get_resolver().reverse_dict if isinstance(name, str)}

    assert (set(ACTS) | EXPORTS) - named == set()
    assert {f"points_{form}" for form in FORMATS} <= EXPORTS


def test_an_address_that_removes_or_gives_a_file_away_is_noted():
    named = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    removing = {name for name in named if name.endswith(("_delete", "_remove", "_withdraw"))}
    giving = {name for name in named if name.endswith(("_csv", "_xlsx", "_pdf", "_gpx", "_kml"))}

    assert removing - set(ACTS) == set()
    assert giving - EXPORTS == set()


def test_events_are_shown_by_the_settings_that_hold():
    assert logging.getLogger(LOGGER).isEnabledFor(logging.INFO)
