"""What phones are told of a rotation that runs, and what helpers without an account send."""

import json

import pytest
from django.utils import timezone

from exercises.models import RotationMark, TrailEntry
from exercises.usecases import give_roles, run_rotation
from exercises.usecases.trail import Account
from tests import cast, rotated
from tests.rotated import mark
from tests.views.rotation_live.taps import after, post, take


def state(client, row):
    return client.get(f"/c/{row.course_class.code}/state/").json()


def test_a_phone_is_told_where_its_group_goes(client, row, people):
    cast.speaks_for(client, row.course_class, [people["Tom"]])
    told = state(client, row)["rotation"]

    start = cast.NOW.timestamp()
    assert told == {
        "groups": [["g2", [["B", "22:30", start], ["A", "22:35", start + 300]]]],
        "ends": ["22:39", start + 540],
    }


def test_a_phone_is_told_of_the_last_signal(client, row, people):
    cast.speaks_for(client, row.course_class, [people["Tom"]])
    take(row, mark("more", number=0), mark("change", number=0, at=after(2)), at=after(2))

    start = cast.NOW.timestamp()
    assert state(client, row)["rotation"]["change"] == [start + 120, start + 420, ["A"]]


def test_a_phone_hears_of_a_signal_by_the_question_that_it_asks_anyway(client, row, people):
    cast.speaks_for(client, row.course_class, [people["Tom"]])
    address = f"/c/{row.course_class.code}/state/"
    have = {"have": state(client, row)["stamp"]}
    before = client.get(address, have).status_code
    take(row, mark("here", group="g1", station="A"), at=after(1))
    tapped = client.get(address, have).status_code
    take(row, mark("change", number=0), at=after(2))

    assert (before, tapped, client.get(address, have).status_code) == (204, 204, 200)


@pytest.mark.parametrize("case", ["kept", "ended", "no group", "draft"])
def test_a_phone_is_told_nothing_where_nothing_runs_for_it(client, open_class, people, case):
    row = rotated.kept(open_class) if case == "kept" else rotated.started(open_class)
    if case == "ended":
        run_rotation.end(rotation=row, by=Account(open_class.owner), now=after(1))
    if case == "no group":
        open_class.people.update(group=None)
    if case == "draft":
        with cast.unheld():
            type(open_class).objects.update(state="draft", opened_at=None)
    cast.speaks_for(client, open_class, [people["Mia"]])

    assert "rotation" not in state(client, row)


def test_what_a_phone_is_told_is_small(client, open_class):
    codes = [chr(65 + place) for place in range(12)]
    joined = rotated.grouped(open_class, [f"P{place}" for place in range(12)])
    row = rotated.started(open_class, rotation=rotated.planned(12, codes))
    cast.speaks_for(client, open_class, [joined["P3"]])

    assert len(json.dumps(state(client, row)["rotation"], separators=(",", ":"))) < 400


def test_a_helper_without_an_account_signals(client, open_class, runs_now):
    given = give_roles.invite(
        course_class=open_class,
        role="helper",
        sees_answers=False,
        days=1,
        by=Account(open_class.owner),
        now=timezone.now(),
    )
    staff, secret = give_roles.take_by_name(invitation=given, name="Pim", now=timezone.now())
    client.cookies[f"navclass_helps_{open_class.pk}"] = f"{staff.pk}:{secret}"

    told = post(client, runs_now, mark("change", number=0)).json()

    assert [(what, number) for what, number, _ in told["signals"]] == [("change", 0)]
    assert TrailEntry.objects.get(verb="signalled_change").by_name == "Pim"


@pytest.mark.parametrize("version", [[], {}, "one", "2026-10-03", True, 10**30, None])
def test_marks_of_what_is_no_version_are_refused_in_words(desk, runs_now, version):
    """27 November 2026: a text or a list in its place ended the request."""
    answer = desk.post(
        f"/classes/{runs_now.course_class_id}/rotation/marks/",
        {"version": version, "marks": [], "clock": None},
        content_type="application/json",
    )

    assert answer.status_code < 500
    assert not RotationMark.objects.exists()
