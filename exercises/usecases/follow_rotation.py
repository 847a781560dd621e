"""How a rotation stands: what was signalled, where groups are, who is behind."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from ..domain.running.rotation import Rotation as Planned
from ..domain.running.rotation_live import State, standing
from ..domain.running.rotation_seen import READ, Known, Sign, known
from ..domain.running.rotation_signals import Signal, Turn, signalled, turn_at
from ..models import CourseClass, Group, Person, Rotation, RotationMark
from ..models.rotation import SAID, SIGNALS


@dataclass(frozen=True)
class Followed:
    """A rotation that runs, at a moment. `planned` is without its signals, `rotation` with them;
    `ahead_min` says by how many minutes each group is ahead (positive) or behind; `turn` is None
    when the last round is over. `heard` is how much was told of it so far.
    """

    row: Rotation
    now_min: float
    planned: Planned
    rotation: Planned
    signals: tuple[Signal, ...]
    seen: Known
    ahead_min: dict[str, float]
    turn: Turn | None
    on_paper: frozenset[str]
    heard: int


def running(course_class: CourseClass) -> Rotation | None:
    """The rotation that a class runs: the latest that was started, unless it was ended."""
    row: Rotation | None = (
        course_class.rotations.filter(started_at__isnull=False).order_by("-version").first()
    )
    return row if row and row.is_running else None


def signals_of(row: Rotation, marks: Iterable[RotationMark]) -> tuple[Signal, ...]:
    """The signals of a rotation, of some marks."""
    return tuple(
        Signal(mark.what, mark.round, row.minute(mark.marked_at))
        for mark in marks
        if mark.what in SIGNALS and mark.rotation_id == row.pk
    )


def follow(course_class: CourseClass, now: datetime) -> Followed | None:
    """How the rotation of a class stands at a moment, in a fixed number of queries; None where none
    runs.
    """
    row = running(course_class)
    if row is None:
        return None
    marks = list(RotationMark.objects.filter(rotation__course_class=course_class))
    readings = _readings(course_class, row)
    signals = signals_of(row, marks)
    planned = row.as_domain()
    rotation = signalled(planned, signals)
    now_min = row.minute(now)
    seen = known(rotation, [*_said(row, marks), *readings], now_min)
    on_paper = course_class.groups.filter(way=Group.Way.PAPER).values_list("name", flat=True)
    return Followed(
        row=row,
        now_min=now_min,
        planned=planned,
        rotation=rotation,
        signals=signals,
        seen=seen,
        ahead_min=standing(rotation, State(seen.visits), now_min),
        turn=turn_at(rotation, now_min),
        on_paper=frozenset(on_paper),
        heard=len(marks) + len(readings),
    )


def _said(row: Rotation, marks: Sequence[RotationMark]) -> list[Sign]:
    """What helpers said of groups, whichever version they saw."""
    return [
        Sign(mark.what, mark.group, mark.station, row.minute(mark.marked_at))
        for mark in marks
        if mark.what in SAID
    ]


def _readings(course_class: CourseClass, row: Rotation) -> list[Sign]:
    """The readings of groups since the start, by when they were made."""
    key = course_class.keys.order_by("-version").first()
    station = {answer.task: answer.station for answer in key.as_domain()} if key else {}
    rows = course_class.readings.filter(received_at__gte=row.starts_at).select_related(
        "person__group", "person__same_as__group"
    )
    return [
        Sign(READ, reading.whose.group.name, station[reading.task], row.minute(reading.moment))
        for reading in rows
        if reading.whose.group and reading.task in station
    ]


def told_to_phones(course_class: CourseClass) -> tuple[object, ...] | None:
    """What changes whenever phones should be told of the rotation anew, in one query."""
    signals = Count("marks", filter=Q(marks__what__in=SIGNALS))
    found: tuple[object, ...] | None = (
        course_class.rotations.filter(started_at__isnull=False)
        .annotate(signals=signals)
        .order_by("-version")
        .values_list("version", "starts_at", "ended_at", "signals")
        .first()
    )
    return found


@dataclass(frozen=True)
class Ways:
    """What the people of a phone are told of a rotation: it with its signals, when these came, and
    the groups of these people.
    """

    row: Rotation
    rotation: Planned
    signals: tuple[Signal, ...]
    groups: tuple[str, ...]


def ways_of(course_class: CourseClass, people: Iterable[Person]) -> Ways | None:
    """The rotation that runs, for the groups of some people; None where there is nothing to tell
    them.
    """
    row = running(course_class)
    if row is None:
        return None
    planned = row.as_domain()
    known_groups = {group.code for group in planned.problem.groups}
    names = course_class.groups.filter(people__in=people).distinct().values_list("name", flat=True)
    groups = tuple(name for name in names if name in known_groups)
    signals = signals_of(row, row.marks.filter(what__in=SIGNALS))
    return Ways(row, signalled(planned, signals), signals, groups) if groups else None
