"""The names of backups, and which of them stay: a rule of dates alone.

A name tells when and why a backup was made, and nothing about anybody:
`navclass-20261003T093000Z-daily.zip`, with `.sealed` behind it when it is encrypted.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

SEALED = ".sealed"
WHYS = ("daily", "by-hand", "migration")
PATTERN = re.compile(
    rf"navclass-(\d{{8}}T\d{{6}}Z)-({'|'.join(WHYS)})\.zip({re.escape(SEALED)})?", re.ASCII
)
STAMP = len("20261003T093000Z")
ALL_OF = timedelta(days=7)  # nothing younger than this goes
ALWAYS = 3  # the newest stay whatever the rule says: a clock set wrong must not cost all of them
A_WEEK = timedelta(days=7)


def stamp_of(moment: datetime) -> str:
    """A moment as names have it, in UTC.

    >>> stamp_of(datetime(2026, 10, 3, 9, 30, tzinfo=UTC))
    '20261003T093000Z'
    """
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def stamped(stamp: str) -> datetime | None:
    """The moment of a stamp; None for what is none."""
    try:
        return datetime.strptime(stamp.upper(), "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    except ValueError:
        return None


def name_of(*, made_at: datetime, why: str, is_sealed: bool) -> str:
    """What a backup is called.

    >>> name_of(made_at=datetime(2026, 10, 3, 9, 30, tzinfo=UTC), why="daily", is_sealed=True)
    'navclass-20261003T093000Z-daily.zip.sealed'
    """
    return f"navclass-{stamp_of(made_at)}-{why}.zip{SEALED if is_sealed else ''}"


def made_at(name: str) -> datetime | None:
    """When a backup was made, by its name; None for a file that is no backup of ours.

    >>> made_at("navclass-20261003T093000Z-daily.zip")
    datetime.datetime(2026, 10, 3, 9, 30, tzinfo=datetime.timezone.utc)
    >>> made_at("holiday.zip")
    """
    match = PATTERN.fullmatch(name)
    return stamped(match[1]) if match else None


def hold_days(weeks: int) -> int:
    """For how many days after it was deleted here a backup may still hold something.

    >>> hold_days(8)
    63
    """
    return (ALL_OF + weeks * A_WEEK).days


def to_thin(names: Iterable[str], *, now: datetime, weeks: int) -> list[str]:
    """The names of the backups that go: of those older than seven days the newest of each week
    stays, for `weeks` weeks more; the newest three always stay, and so does what is no backup.

    Weeks are those of the calendar. Counted back from today, each day's backup would push out the
    one before it, and none would grow old.
    """
    known = {name: moment for name in names if (moment := made_at(name))}
    by_age = sorted(known, key=lambda name: (known[name], name), reverse=True)
    weeks_kept: set[tuple[int, int]] = set()
    gone = []
    for place, name in enumerate(by_age):
        age = now - known[name]
        week = known[name].isocalendar()[:2]
        is_young = age < ALL_OF
        is_weekly = week not in weeks_kept and age < ALL_OF + weeks * A_WEEK
        if place >= ALWAYS and not is_young and not is_weekly:
            gone.append(name)
        elif not is_young:
            weeks_kept.add(week)
    return gone


def newest(folder: Path) -> datetime | None:
    """When the last backup in a folder was made; None where there is none."""
    if not folder.is_dir():
        return None
    return max(filter(None, (made_at(path.name) for path in folder.iterdir())), default=None)


def forget_replaced(folder: Path, before: datetime) -> None:
    """Delete the files that a restore put aside before a moment: they hold names as well."""
    for path in folder.glob("*.replaced-*"):
        moment = stamped(path.name.rpartition(".replaced-")[2][:STAMP])
        if moment and moment < before:
            path.unlink()
