"""A new plan for what remains of a rotation, looked at before it is kept."""

import pytest
from django.utils import timezone

from exercises.models import Rotation
from tests.rotated import mark
from tests.views.rotation_live.taps import groups, post


def again(desk, row, **late):
    return desk.get(f"/classes/{row.course_class_id}/rotation/again/", late)


def hidden(page):
    text = page.content.decode()
    return {
        name: text.split(f'name="{name}" value="')[1].split('"')[0]
        for name in ("looked_at", "looked_like")
    }


def test_who_skipped_is_taken_up_as_it_was_shown(desk, runs_now):
    post(desk, runs_now, mark("skips", group="g1", station="A"))
    shown = again(desk, runs_now)
    address = f"/classes/{runs_now.course_class_id}/rotation/again/"
    answers = [desk.post(address, hidden(shown)) for _ in range(2)]

    newer, older = Rotation.objects.all()
    assert (newer.version, newer.is_running, newer.starts_at) == (2, True, older.starts_at)
    assert answers[0].url == f"/classes/{runs_now.course_class_id}/rotation/live/"
    at = [one.at.get("g1") for one in newer.as_domain().rounds]
    assert at == [None, "B", "A"]
    assert "look again" in answers[1].content.decode()


def test_what_came_in_meanwhile_is_looked_at_first(desk, runs_now):
    shown = hidden(again(desk, runs_now))
    post(desk, runs_now, mark("skips", group="g1", station="A"))

    answer = desk.post(f"/classes/{runs_now.course_class_id}/rotation/again/", shown)

    assert "Something came in meanwhile" in answer.content.decode()
    assert Rotation.objects.count() == 1


@pytest.mark.parametrize(
    "no_moment",
    [
        "2026-13-45T99:99:99Z",
        "0001-01-01T00:00:00+14:00",
        "0001-01-01T00:00:00Z",
        "9999-12-31T23:59:59-14:00",
        "2026-05-16",
        "now",
        "",
    ],
)
def test_a_moment_that_cannot_be_keeps_no_plan_nobody_looked_at(desk, runs_now, no_moment):
    shown = hidden(again(desk, runs_now))

    answer = desk.post(
        f"/classes/{runs_now.course_class_id}/rotation/again/",
        shown | {"looked_at": no_moment, "looked_like": "another"},
    )

    assert "look again" in answer.content.decode()
    assert Rotation.objects.count() == 1


def test_who_is_late_comes_later(desk, runs_now):
    text = " ".join(again(desk, runs_now, late_1="9").content.decode().split())

    assert "All are through at" in text
    assert 'name="late_1" value="9"' in text


def test_a_new_version_keeps_what_was_tapped(desk, runs_now):
    post(desk, runs_now, mark("skips", group="g1", station="A"))
    desk.post(f"/classes/{runs_now.course_class_id}/rotation/again/", hidden(again(desk, runs_now)))

    found = groups(runs_now.course_class, timezone.now())["g1"]

    assert (found["skipped"], found["words"]) == ("", "● on time")
