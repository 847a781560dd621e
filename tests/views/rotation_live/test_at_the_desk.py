"""A rotation that is kept and runs: signals, taps, readings, a new plan, what phones are told."""

import datetime
import uuid

import pytest
from django.utils import timezone

from exercises.models import Rotation, RotationMark, TrailEntry
from exercises.presenting.rotation_live import rotation_now
from exercises.usecases import run_rotation
from exercises.usecases.follow_rotation import follow
from exercises.usecases.take_readings import take_readings
from exercises.usecases.trail import Account, Named
from tests import cast, rotated
from tests.rotated import mark
from tests.views.rotation_live.taps import after, groups, post, take

ASKED = {"begin": "10:00", "minutes": "90", "helpers": "1"}


# Kept and started


def test_what_is_reckoned_is_kept_as_it_was_shown(desk, open_class, people):
    address = f"/classes/{open_class.pk}/rotation/"
    shown = desk.get(address, ASKED).content.decode()
    query = "&".join(f"{name}={value}" for name, value in ASKED.items())
    for _ in range(2):  # a second tap keeps it once
        desk.post(f"{address}keep/?{query}")

    (row,) = Rotation.objects.all()
    assert (row.version, row.started_at, row.made_by) == (1, None, "ines")
    assert f"{row.starts_at:%Y-%m-%d %H:%M}" == "2026-10-02 21:00"  # 10:00 of the day in Auckland
    page = desk.get(address).content.decode()
    assert "Reckoned, not kept yet" in shown
    assert ("Kept: version 1" in page, "We start now" in page) == (True, True)


def test_what_cannot_be_reckoned_is_not_kept(desk, open_class, people):
    desk.post(f"/classes/{open_class.pk}/rotation/keep/?begin=10:00&minutes=1&helpers=1")
    desk.post(f"/classes/{open_class.pk}/rotation/keep/")

    assert not Rotation.objects.exists()


@pytest.mark.parametrize("posted", [{}, {"at": "23:55"}])
def test_it_starts_now_or_at_a_time_of_today(desk, open_class, people, posted):
    row = rotated.kept(open_class)
    before = timezone.now()

    answer = desk.post(f"/classes/{open_class.pk}/rotation/{row.version}/start/", posted)

    row.refresh_from_db()
    assert answer.url == f"/classes/{open_class.pk}/rotation/live/"
    if posted:
        assert timezone.localtime(row.starts_at, datetime.UTC).strftime("%M") == "55"
    else:
        assert before <= row.starts_at <= timezone.now()
    assert [entry.verb for entry in TrailEntry.objects.order_by("pk")][-2:] == [
        "kept_rotation",
        "started_rotation",
    ]


def test_a_time_that_is_none_starts_nothing(desk, open_class, people):
    row = rotated.kept(open_class)

    desk.post(f"/classes/{open_class.pk}/rotation/{row.version}/start/", {"at": "noon"})

    row.refresh_from_db()
    assert row.started_at is None


def test_what_runs_is_not_started_anew_once_something_was_noted(desk, row):
    take(row, mark("change", number=0), at=after(3))

    with pytest.raises(run_rotation.CannotRun):
        run_rotation.start(
            rotation=row, starts_at=after(5), by=Account(row.course_class.owner), now=after(5)
        )


def test_what_is_ended_is_shown_no_more(desk, row):
    for _ in range(2):
        desk.post(f"/classes/{row.course_class_id}/rotation/{row.version}/end/")

    assert rotation_now(row.course_class, after(1)) is None
    assert TrailEntry.objects.filter(verb="ended_rotation").count() == 1
    page = desk.get(f"/classes/{row.course_class_id}/rotation/live/").content.decode()
    assert "No rotation runs now." in page


def test_who_stands_where_is_kept_and_goes_on_to_the_next_version(desk, open_class, people):
    row = rotated.kept(open_class)
    desk.post(
        f"/classes/{open_class.pk}/rotation/{row.version}/helpers/",
        {"A": "  Pim  de Wit ", "B": "", "Z": "x"},
    )
    newer = rotated.kept(open_class, after(60))

    assert (newer.version, newer.helpers) == (2, {"A": "Pim de Wit"})


# Signals and taps


def test_a_signal_moves_all_that_follows(row):
    before = rotation_now(row.course_class, after(2))
    take(row, mark("change", number=0, at=after(2)), at=after(2))
    changed = rotation_now(row.course_class, after(2.5))
    later = rotation_now(row.course_class, after(3))

    assert before["words"] == "Round 1 of 2, until 22:34"
    assert changed["words"] == "Walking to round 2 of 2, which begins at 22:33"
    assert later["words"] == "Round 2 of 2, until 22:37"
    assert [one["doing"] for one in changed["groups"]] == ["on the way to B", "on the way to A"]


def test_a_signal_sent_twice_is_stored_once_and_two_who_signal_count_once(row):
    signal = mark("change", number=0, at=after(2))
    for _ in range(2):
        assert take(row, signal, at=after(2)) == [signal["id"]]
    take(row, mark("change", number=0, at=after(2.2)), at=after(2.2), by="Oona")

    assert RotationMark.objects.count() == 2
    assert rotation_now(row.course_class, after(3))["words"] == "Round 2 of 2, until 22:37"
    assert TrailEntry.objects.filter(verb="signalled_change").count() == 1


def test_two_minutes_more(row):
    take(row, mark("more", number=0), at=after(2))

    assert rotation_now(row.course_class, after(3))["words"] == "Round 1 of 2, until 22:36"


def test_a_signal_without_a_signal_counts_from_when_it_was_given(row):
    # the helper's clock is an hour fast; the tap was ten minutes before it came
    fast = datetime.timedelta(hours=1)
    signal = mark("change", number=0, at=after(2) + fast)
    run_rotation.take_marks(
        rotation=row,
        sent=[signal],
        clock=(after(12) + fast).isoformat(),
        by=Named("Pim"),
        now=after(12),
    )

    assert RotationMark.objects.get().marked_at == after(2)


@pytest.mark.parametrize(
    "sent",
    [
        1,
        None,
        {},
        {"id": "x", "what": "change", "round": 0},
        mark("change", number=2),
        mark("change", number=-1),
        mark("change", number=True),
        mark("change", number="0"),
        mark("dance", number=0),
        mark("here", group="g9", station="A"),
        mark("here", group="g1", station="Z"),
        mark("here", group=["g1"], station={}),
        mark("here", number=0),
    ],
)
def test_what_is_no_mark_is_not_kept(desk, runs_now, sent):
    answer = post(desk, runs_now, sent)

    assert (answer.status_code, RotationMark.objects.count()) == (200, 0)


@pytest.mark.parametrize(
    "body", ["{}", "x", "[]", '{"version": 1}', '{"version": 1, "marks": 1}', "[" * 5000]
)
def test_what_is_no_list_of_marks_is_refused_in_words(desk, runs_now, body):
    answer = desk.post(
        f"/classes/{runs_now.course_class_id}/rotation/marks/",
        body,
        content_type="application/json",
    )

    assert (answer.status_code, answer.json()["message"]) == (
        400,
        "This is not a list of marks. Reload the page.",
    )


def test_the_page_is_told_what_came_of_its_taps(desk, runs_now):
    tap = mark("skips", group="g1", station="A")
    told = post(desk, runs_now, tap).json()

    assert (told["kept"], told["version"], told["signals"]) == ([tap["id"]], 1, [])
    assert told["groups"]["g1"][3] == "skipped A"


def test_without_a_script_everything_is_a_form(desk, runs_now):
    address = f"/classes/{runs_now.course_class_id}/rotation/"
    desk.post(f"{address}marks/", {"id": str(uuid.uuid4()), "what": "change", "round": "0"})
    desk.post(
        f"{address}marks/",
        {"id": str(uuid.uuid4()), "what": "here", "group": "g2", "station": "B"},
    )

    assert [(one.what, one.by) for one in RotationMark.objects.all()] == [
        ("change", "ines"),
        ("here", "ines"),
    ]
    assert "Walking to round 2 of 2" in desk.get(f"{address}live/").content.decode()


# Where groups are


def sent_at(row, person, task, minute, received):
    made = cast.reading(person, task=task, measured_at=after(minute).isoformat())
    take_readings(
        course_class=row.course_class,
        people=[person],
        sent=[made],
        answers=row.course_class.keys.get().as_domain(),
        now=after(received),
    )


def test_a_late_phone_is_no_late_group(row, people):
    # read in its round, heard of twelve minutes later
    sent_at(row, people["Mia"][0], "1", 3, 15)

    found = groups(row.course_class, after(8.9))["g1"]

    assert (found["words"], found["silent"]) == ("● on time", "")


def test_who_still_reads_at_the_station_before_is_behind(row, people):
    sent_at(row, people["Mia"][0], "1", 7, 7)

    found = groups(row.course_class, after(7))

    assert (found["g1"]["words"], found["g1"]["mark"]) == ("▼ 3 min behind", "behind")
    assert (found["g2"]["words"], found["g2"]["mark"]) == ("● on time", "on")


def test_a_group_with_paper_is_not_asked_where_it_is(row, people):
    row.course_class.groups.filter(name="g2").update(way="paper")

    found = groups(row.course_class, after(6))

    assert (found["g1"]["silent"], found["g2"]["silent"]) == ("nothing heard from A", "")


def test_thirty_readings_cost_as_many_queries_as_one(row, people, django_assert_num_queries):
    for number in (1, 30):
        for _ in range(number):
            sent_at(row, people["Mia"][0], "1", 3, 3)
        with django_assert_num_queries(5):
            follow(row.course_class, after(5))
