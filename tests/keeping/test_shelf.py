"""The rule by which old backups go, against a brute force that steps through the days."""

import itertools
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, strategies as st

from exercises.keeping import shelf

NOW = datetime(2026, 10, 3, 9, 30, tzinfo=UTC)
DAY = timedelta(days=1)


def named(*ages_days, now=NOW):
    return [
        shelf.name_of(made_at=now - age * DAY, why="daily", is_sealed=False) for age in ages_days
    ]


def test_nothing_younger_than_seven_days_goes():
    assert shelf.to_thin(named(0, 0.2, 0.4, 1, 2, 3, 4, 5, 6, 6.9), now=NOW, weeks=0) == []


def test_of_an_older_week_the_newest_stays():
    # 2026-10-03 is a Saturday: 13 to 19 days ago is the week from Monday 14 to Sunday 20 September
    names = named(0, 1, 2, 13, 14, 19, 20)

    assert shelf.to_thin(names, now=NOW, weeks=8) == named(14, 19)


def test_nothing_older_than_the_weeks_that_are_set_stays():
    assert shelf.to_thin(named(0, 1, 2, 62, 63, 700), now=NOW, weeks=8) == named(63, 700)


def test_a_clock_that_was_set_years_ahead_does_not_cost_the_last_three():
    ahead = NOW + 2000 * DAY
    names = [*named(0, now=ahead), *named(0, 1, 2, 3)]

    assert shelf.to_thin(names, now=ahead, weeks=8) == named(2, 3)


@pytest.mark.parametrize(
    "name",
    [
        "holiday.zip",
        "navclass-20260231T093000Z-daily.zip",
        "navclass-20200101T000000Z-daily.zip.part",
        "navclass-20200101T000000Z-other.zip",
        "xnavclass-20200101T000000Z-daily.zip",
        "navclass.sqlite3",
    ],
)
def test_what_is_no_backup_of_ours_never_goes(name):
    assert shelf.to_thin([name, *named(0, 1, 2)], now=NOW, weeks=0) == []


@pytest.mark.parametrize("weeks", [0, 1, 8])
def test_a_year_of_daily_backups_settles_into_days_and_weeks(weeks):
    held = []
    for day in range(365):
        now = NOW + day * DAY
        held += named(0, now=now)
        gone = shelf.to_thin(held, now=now, weeks=weeks)
        held = [name for name in held if name not in gone]
    ages = sorted((now - shelf.made_at(name)) / DAY for name in held)

    assert ages[:7] == [0, 1, 2, 3, 4, 5, 6]
    assert len(ages) - 7 in (weeks, weeks + 1)  # a week that the seven days cut counts as well
    assert max(ages) < shelf.hold_days(weeks)
    assert all(later - earlier <= 7 for earlier, later in itertools.pairwise(ages))


@given(
    st.lists(st.floats(-10, 400), max_size=60),
    st.integers(0, 20),
)
def test_what_stays_is_young_weekly_or_among_the_last_three(ages, weeks):
    names = sorted(set(named(*ages)))
    gone = shelf.to_thin(names, now=NOW, weeks=weeks)
    stay = [name for name in names if name not in gone]
    newest = sorted(names, key=lambda name: (shelf.made_at(name), name))[-3:]

    assert set(newest) <= set(stay)
    assert all((NOW - shelf.made_at(name)) >= 7 * DAY for name in gone)
    assert all(
        (NOW - shelf.made_at(name)) < shelf.hold_days(weeks) * DAY
        for name in stay
        if name not in newest
    )
    assert shelf.to_thin(stay, now=NOW, weeks=weeks) == []  # once is enough
