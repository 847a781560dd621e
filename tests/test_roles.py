"""Who may do what in a class: each role at each address of it. What a role is refused is not there
for it; what it may see depends on nothing but this table.
"""

from dataclasses import dataclass
from datetime import timedelta

import pytest
from django.urls import get_resolver, reverse
from django.utils import timezone

from exercises.domain.running import roles
from exercises.domain.running.roles import Act
from exercises.models import Invitation, Staff, TrailEntry
from exercises.permissions import acting_in
from exercises.usecases import count_heads, give_roles
from exercises.usecases.guard_door import CODES, note_failure
from exercises.usecases.trail import Account
from tests import cast, rotated

ALL = {"owner", "co_instructor", "helper", "helper_with_answers", "observer"}
RUNS = {"owner", "co_instructor"}
HELPS = ALL - {"observer"}
# each address of a class: its method, and the roles that reach it
TABLE = {
    "class": ("get", RUNS),  # others with an account are led to the live page
    "class_arrivals": ("get", ALL),
    "class_opening": ("get", RUNS),
    "class_open": ("post", RUNS),
    "class_close": ("post", RUNS),
    "class_reopen": ("post", RUNS),
    "class_release": ("post", RUNS),
    "live": ("get", ALL),
    "live_parts": ("get", ALL),
    "live_acts": ("post", HELPS),
    "paper": ("get", HELPS),
    "helpers": ("get", {"owner"}),
    "invitation_withdraw": ("post", {"owner"}),
    "role_end": ("post", {"owner"}),
    "class_names": ("get", {"owner"}),
    "class_trail": ("get", RUNS),
    "class_closing": ("get", RUNS),
    "class_again": ("get", RUNS),
    "compasses_checked": ("get", RUNS),
    "class_kit": ("get", HELPS),
    "kit_choose": ("post", RUNS),
    "kit_give": ("post", HELPS),
    "kit_back": ("post", HELPS),
    "kit_said": ("post", RUNS),
    "rotation": ("get", RUNS),
    "rotation_keep": ("post", RUNS),
    "rotation_start": ("post", RUNS),
    "rotation_end": ("post", RUNS),
    "rotation_helpers": ("post", RUNS),
    "rotation_live": ("get", HELPS),
    "rotation_clock": ("get", ALL),
    "rotation_state": ("get", ALL),
    "rotation_marks": ("post", HELPS),
    "rotation_again": ("get", RUNS),
    "emergency": ("get", ALL),
    "emergency_pdf": ("get", ALL),
    "before_going_out": ("get", RUNS),
    "check_tick": ("post", RUNS),
    "retest": ("get", RUNS),
    "class_settings": ("get", RUNS),
    "class_remove": ("get", {"owner"}),
    "class_put_back": ("post", {"owner"}),
    "roster": ("get", RUNS),
    "class_joining": ("post", RUNS),
    "groups_shuffle": ("post", RUNS),
    "person_change": ("post", RUNS),
    "person_left": ("post", RUNS),
    "person_back": ("post", RUNS),
    "person_same": ("get", RUNS),
    "person_out": ("get", RUNS),
    "headcounts": ("get", HELPS),
    "headcount": ("get", HELPS),
    "headcount_state": ("get", HELPS),
    "headcount_marks": ("post", HELPS),
    "person_band": ("post", RUNS),
    "prints": ("get", RUNS),
    "printed": ("get", RUNS),
    "class_key": ("get", RUNS | {"helper_with_answers"}),
    "debrief": ("get", RUNS),
    "debrief_alone": ("get", RUNS),
    "person_sheets": ("get", RUNS),
    "person_sheet": ("get", RUNS),
    "reading_label": ("post", RUNS),
    "key_correct": ("get", RUNS),
    "results_csv": ("get", RUNS),
    "results_xlsx": ("get", RUNS),
    "attendance_csv": ("get", RUNS),
    "attendance_xlsx": ("get", RUNS),
}
GIVEN = {
    "co_instructor": (roles.CO_INSTRUCTOR, False),
    "helper": (roles.HELPER, False),
    "helper_with_answers": (roles.HELPER, True),
    "observer": (roles.OBSERVER, False),
}


@dataclass(frozen=True)
class Ground:
    """A class with a person, a reading, an invitation and a row of staff to act on."""

    course_class: object
    owner: object
    numbers: dict


@pytest.fixture
def ground(ines, open_class, mia):
    cast.send(open_class, mia, ("1", "044"))
    invitation = invited(open_class, ines, roles.HELPER, False)
    staff, _ = give_roles.take_by_name(invitation=invitation, name="Oona", now=timezone.now())
    numbers = {
        "class": open_class.pk,
        "person": mia.pk,
        "reading": open_class.readings.get().pk,
        "what": "pack",
        "version": rotated.started(open_class).version,
        "count": count_heads.begin(
            course_class=open_class, occasion="before", by=Account(ines), now=cast.NOW
        ).pk,
    }
    rows = {"invitation_withdraw": invitation.pk, "role_end": staff.pk}
    return Ground(open_class, ines, {**numbers, "rows": rows})


def invited(course_class, owner, role, sees_answers, days=1):
    return give_roles.invite(
        course_class=course_class,
        role=role,
        sees_answers=sees_answers,
        days=days,
        by=Account(owner),
        now=timezone.now(),
    )


def signed_in(client, ground, role):
    """Sign in somebody with a role, with an account."""
    if role == "owner":
        client.force_login(ground.owner)
        return
    karl = cast.instructor("karl")
    if role in GIVEN:
        given = invited(ground.course_class, ground.owner, *GIVEN[role])
        give_roles.take_as_account(invitation=given, user=karl, now=cast.NOW)
    client.force_login(karl)


def on_a_phone(client, ground, role):
    """Give a phone without an account a role."""
    given = invited(ground.course_class, ground.owner, *GIVEN[role])
    staff, secret = give_roles.take_by_name(invitation=given, name="Pim", now=timezone.now())
    client.cookies[f"navclass_helps_{ground.course_class.pk}"] = f"{staff.pk}:{secret}"


def ask(client, ground, name, follow=False):
    numbers = ground.numbers
    wanted = {
        "pk": numbers["class"],
        "person": numbers["person"],
        "reading": numbers["reading"],
        "what": numbers["what"],
        "count": numbers["count"],
        "version": numbers["version"],
        "number": 1,
        "row": numbers["rows"].get(name),
    }
    (pattern,) = [entry for entry in patterns() if entry.name == name]
    kwargs = {key: wanted[key] for key in pattern.pattern.converters}
    return getattr(client, TABLE[name][0])(reverse(name, kwargs=kwargs))


def patterns():
    return [pattern for entry in get_resolver().url_patterns for pattern in entry.url_patterns]


@pytest.mark.parametrize("role", [*sorted(ALL), "none"])
@pytest.mark.parametrize("name", TABLE)
def test_an_account_reaches_what_its_role_allows(client, ground, name, role):
    signed_in(client, ground, role)

    answer = ask(client, ground, name)

    if name == "class" and role in ALL - RUNS:
        assert answer.url == reverse("live", args=[ground.course_class.pk])
    else:
        assert (answer.status_code != 404) == (role in TABLE[name][1])


@pytest.mark.parametrize("role", ["helper", "helper_with_answers", "observer"])
@pytest.mark.parametrize("name", TABLE)
def test_a_phone_without_an_account_reaches_what_helpers_need(client, ground, name, role):
    on_a_phone(client, ground, role)

    answer = ask(client, ground, name)

    is_sent_away = answer.status_code == 404 or (
        answer.status_code == 302 and answer.url.startswith("/sign-in/")
    )
    assert is_sent_away != (role in TABLE[name][1])


def test_every_address_of_a_class_is_in_the_table():
    names = {
        pattern.name
        for pattern in patterns()
        if str(pattern.pattern).startswith("classes/<key:pk>/")
    }

    assert names == set(TABLE)


@pytest.mark.parametrize("role", sorted(GIVEN))
def test_a_role_that_ended_opens_nothing(client, ground, role):
    signed_in(client, ground, role)
    give_roles.end_role(
        staff=Staff.objects.get(name="karl"), by=Account(ground.owner), now=cast.LATER
    )

    assert {ask(client, ground, name).status_code for name in TABLE} == {404}


def test_a_phone_whose_role_ended_is_led_to_the_sign_in(client, ground):
    on_a_phone(client, ground, "helper")
    give_roles.end_role(
        staff=Staff.objects.get(name="Pim"), by=Account(ground.owner), now=cast.LATER
    )

    assert ask(client, ground, "live").url.startswith("/sign-in/")


def test_a_helpers_secret_opens_no_other_class(client, ground, karl):
    other = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))
    on_a_phone(client, ground, "helper")
    cookies = client.cookies
    cookies[f"navclass_helps_{other.pk}"] = cookies[
        f"navclass_helps_{ground.course_class.pk}"
    ].value

    assert client.get(f"/classes/{other.pk}/live/").url.startswith("/sign-in/")


@pytest.mark.parametrize("token", ["", "1", "1:", ":", "x:y", "1:x", "9" * 40 + ":x", "²:x"])
def test_a_token_that_is_none_opens_nothing(client, ground, token):
    client.cookies[f"navclass_helps_{ground.course_class.pk}"] = token

    assert ask(client, ground, "live").url.startswith("/sign-in/")


def test_an_invitation_gives_its_role_to_a_name_on_a_phone(client, ground):
    given = invited(ground.course_class, ground.owner, roles.HELPER, False)

    taken = client.post(f"/helping/{given.code}/", {"name": "Pim"})

    assert taken.url == f"/classes/{ground.course_class.pk}/live/"
    assert client.get(taken.url).status_code == 200
    staff = Staff.objects.get(name="Pim")
    assert (staff.role, staff.sees_answers, staff.user) == ("helper", False, None)


def test_an_invitation_is_typed_where_a_class_code_is(client, ground):
    given = invited(ground.course_class, ground.owner, roles.HELPER, False)

    typed = f"{given.code[:6].lower()} {given.code[6:]}"

    assert client.get("/", {"code": typed}).url == f"/helping/{given.code}/"


def test_a_co_instructor_needs_an_account(client, ground):
    given = invited(ground.course_class, ground.owner, roles.CO_INSTRUCTOR, False)

    answer = client.post(f"/helping/{given.code}/", {"name": "Pim"})

    assert "A co-instructor needs an account." in answer.content.decode()
    assert not Staff.objects.filter(name="Pim").exists()


@pytest.mark.parametrize("case", ["expired", "withdrawn", "unknown"])
def test_an_invitation_that_does_not_hold_gives_nothing(client, ground, case):
    given = invited(ground.course_class, ground.owner, roles.HELPER, False)
    if case == "expired":
        long_ago = cast.NOW - timedelta(days=3000)
        Invitation.objects.update(made_at=long_ago, expires_at=long_ago)
    if case == "withdrawn":
        give_roles.withdraw(invitation=given, by=Account(ground.owner), now=cast.NOW)
    code = "AAAAAAAAAAAA" if case == "unknown" else given.code

    answer = client.post(f"/helping/{code}/", {"name": "Pim"})

    said = "No invitation has this code." if case == "unknown" else "does not hold any more"
    assert (answer.status_code, said in answer.content.decode()) == (404, True)
    assert not Staff.objects.filter(name="Pim").exists()


def test_guessing_invitations_shuts_their_door_for_a_while_to_who_guesses(client, ground):
    note_failure(
        door="invitation from 127.0.0.1",
        patience=CODES,
        now=timezone.now(),
        tries=CODES.bears + 7,
    )
    link = f"/helping/{invited(ground.course_class, ground.owner, roles.HELPER, False).code}/"

    answer = client.get(link)
    assert (answer.status_code, 100 < int(answer.headers["Retry-After"]) <= 120) == (429, True)
    assert "Too many wrong tries." in answer.content.decode()
    assert client.get(link, REMOTE_ADDR="198.51.100.9").status_code == 200


def test_the_owner_keeps_their_own_role(client, ground):
    given = invited(ground.course_class, ground.owner, roles.OBSERVER, False)
    client.force_login(ground.owner)

    client.post(f"/helping/{given.code}/")

    assert acting_in(ground.owner, ground.course_class.pk).role == roles.OWNER


def test_an_account_with_a_role_finds_the_class_in_its_list(client, ground):
    signed_in(client, ground, "observer")

    assert "Saturday" in client.get("/sites/").content.decode()


def test_what_others_see_is_noted_with_who_when_and_what(client, ground):
    client.force_login(ground.owner)
    with cast.unheld():
        TrailEntry.objects.all().delete()
    for verb in ("close", "close", "reopen", "release"):
        client.post(f"/classes/{ground.course_class.pk}/{verb}/")

    noted = TrailEntry.objects.order_by("pk")
    assert [(entry.by_name, entry.verb) for entry in noted] == [
        ("ines", "closed"),
        ("ines", "reopened"),
        ("ines", "released"),
    ]
    page = client.get(f"/classes/{ground.course_class.pk}/trail/").content.decode()
    assert page.index("released the feedback") < page.index("closed the class")


@pytest.mark.parametrize("act", Act)
def test_a_role_may_never_do_more_than_the_one_above_it(act):
    ladder = (roles.OWNER, roles.CO_INSTRUCTOR, roles.HELPER, roles.OBSERVER)
    allowed = [roles.may(role, act, sees_answers=True) for role in ladder]

    assert allowed == sorted(allowed, reverse=True)
