"""Keep a rotation, start it, signal, note where groups are, and take up again who skipped."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from django.db import transaction

from ..domain.running.rotation import Rotation as Planned
from ..domain.running.rotation_again import taken_up
from ..domain.running.rotation_plain import as_plain
from ..domain.running.rotation_signals import CHANGE
from ..domain.words import say
from ..models import CourseClass, Rotation, RotationMark
from ..models.reading import BELIEVED
from ..models.rotation import SAID, SIGNALS
from . import trail
from .clocks import not_before
from .follow_rotation import Followed, follow
from .take_readings import moment

LONGEST_NAME = 60


class CannotRun(ValueError):
    """What was asked of a rotation cannot be as things are. The message says why."""


@transaction.atomic
def keep(
    *, course_class: CourseClass, planned: Planned, starts_at: datetime, by: trail.By, now: datetime
) -> Rotation:
    """Keep a rotation as a new version; the same one kept again at once stays one."""
    CourseClass.objects.select_for_update().get(pk=course_class.pk)
    latest = course_class.rotations.first()
    plan = json.loads(json.dumps(as_plain(planned)))  # as it will be read back
    if latest and not latest.started_at and (latest.plan, latest.starts_at) == (plan, starts_at):
        return latest
    helpers = latest.helpers if latest else {}
    return _keep(course_class, latest, plan, by, now, starts_at=starts_at, helpers=helpers)


def _keep(
    course_class: CourseClass,
    latest: Rotation | None,
    plan: dict[str, Any],
    by: trail.By,
    now: datetime,
    **more: Any,
) -> Rotation:
    """A new version, noted."""
    row: Rotation = Rotation.objects.create(
        course_class=course_class,
        version=latest.version + 1 if latest else 1,
        made_at=now,
        made_by=by.name,
        plan=plan,
        **more,
    )
    after = {"version": row.version, "rounds": len(plan["rounds"])}
    trail.note(course_class=course_class, by=by, now=now, verb="kept_rotation", after=after)
    return row


@transaction.atomic
def start(*, rotation: Rotation, starts_at: datetime, by: trail.By, now: datetime) -> None:
    """Let a rotation start at a moment; one that is started may start anew while nothing was
    signalled or noted. Raises CannotRun.
    """
    row = Rotation.objects.select_for_update().get(pk=rotation.pk)
    if row.version != row.course_class.rotations.order_by("-version")[0].version:
        raise CannotRun(say("There is a newer version of this rotation. Start that one."))
    if row.is_running and row.starts_at == starts_at:
        return
    if row.started_at and row.marks.exists():
        raise CannotRun(
            say("It runs already, and something was noted. Keep it anew to start it anew.")
        )
    row.starts_at, row.started_at, row.ended_at = starts_at, now, None
    row.save(update_fields=["starts_at", "started_at", "ended_at"])
    after = {"version": row.version, "starts_at": starts_at.isoformat()}
    trail.note(course_class=row.course_class, by=by, now=now, verb="started_rotation", after=after)


@transaction.atomic
def end(*, rotation: Rotation, by: trail.By, now: datetime) -> None:
    """End a rotation before its time: no phone shows it any more. Twice changes nothing."""
    changed = Rotation.objects.filter(
        pk=rotation.pk, started_at__isnull=False, ended_at=None
    ).update(ended_at=not_before("started_at", now))
    if changed:
        trail.note(
            course_class=rotation.course_class,
            by=by,
            now=now,
            verb="ended_rotation",
            after={"version": rotation.version},
        )


@transaction.atomic
def name_helpers(*, rotation: Rotation, names: Mapping[str, str]) -> None:
    """Say who stands at which station; an empty name is nobody."""
    row = Rotation.objects.select_for_update().get(pk=rotation.pk)
    stations = [station["code"] for station in row.plan["stations"]]
    tidy = {code: " ".join(names.get(code, "").split())[:LONGEST_NAME] for code in stations}
    row.helpers = {code: name for code, name in tidy.items() if name}
    row.save(update_fields=["helpers"])


def take_marks(
    *, rotation: Rotation, sent: Iterable[Any], clock: Any, by: trail.By, now: datetime
) -> list[str]:
    """Keep what a helper's page sends: dicts of id (a UUID made there), what it says, round of a
    signal, or group and station, and marked_at by its clock, which shows `clock` as it sends them.
    Returns the ids that need not be sent again; what is no mark is not kept, and not asked for
    again either.
    """
    shown = moment(clock)
    ahead = shown - now if shown else timedelta(0)
    done = []
    for item in sent:
        if not isinstance(item, dict):
            continue
        done.append(str(item.get("id")))
        if mark := _mark(rotation, item, by, now, ahead):
            _store(mark, by, now)
    return done


@transaction.atomic
def _store(mark: RotationMark, by: trail.By, now: datetime) -> None:
    """Store a mark once; the first signal to change in a round is noted."""
    Rotation.objects.select_for_update().get(pk=mark.rotation_id)
    marks = mark.rotation.marks
    if marks.filter(client_id=mark.client_id).exists():
        return
    is_first = not marks.filter(what=CHANGE, round=mark.round).exists()
    mark.save()
    if mark.what == CHANGE and is_first:
        trail.note(
            course_class=mark.rotation.course_class,
            by=by,
            now=now,
            verb="signalled_change",
            after={"round": mark.round + 1},
        )


def _mark(
    rotation: Rotation, item: dict[str, Any], by: trail.By, now: datetime, ahead: timedelta
) -> RotationMark | None:
    """One mark to keep, or None of what is none; `ahead` is how far the helper's clock is."""
    try:
        client_id = uuid.UUID(str(item.get("id")))
    except ValueError:
        return None
    about = _about(rotation.plan, item)
    if about is None:
        return None
    said = moment(item.get("marked_at"))
    marked_at = min(said - ahead, now) if said else now
    return RotationMark(
        rotation=rotation,
        client_id=client_id,
        by=by.name,
        marked_at=marked_at if now - marked_at <= BELIEVED else now,
        received_at=now,
        **about,
    )


def _about(plan: Mapping[str, Any], item: Mapping[str, Any]) -> dict[str, Any] | None:
    """What a mark says and what it is about: a round, or a group and a station, of the plan; None
    of what is none.
    """
    what, number = item.get("what"), item.get("round")
    if what in SIGNALS:
        is_number = isinstance(number, int) and not isinstance(number, bool)
        is_round = is_number and number in range(len(plan["rounds"]))
        return {"what": what, "round": number} if is_round else None
    group, station = item.get("group"), item.get("station")
    is_known = (
        what in SAID
        and group in [one["code"] for one in plan["groups"]]
        and station in [one["code"] for one in plan["stations"]]
    )
    return {"what": what, "group": group, "station": station} if is_known else None


def planned_again(followed: Followed, late_min: Mapping[str, float]) -> Planned:
    """The rotation with what remains planned anew; `late_min` says in how many minutes groups that
    are away are back. The same for the same state. Raises NoRotation.
    """
    return taken_up(
        followed.rotation,
        followed.seen,
        followed.now_min,
        rng=np.random.default_rng(followed.row.pk),
        back_min={group: followed.now_min + minutes for group, minutes in late_min.items()},
    )


@transaction.atomic
def take_up_again(
    *,
    course_class: CourseClass,
    late_min: Mapping[str, float],
    looked_at: datetime,
    looked_like: str,
    by: trail.By,
    now: datetime,
) -> Rotation | None:
    """Keep the new plan that somebody looked at, as a version that runs; None where by now another
    version runs, or something came in, so that they should look again. Raises NoRotation.
    """
    CourseClass.objects.select_for_update().get(pk=course_class.pk)
    followed = follow(course_class, looked_at)
    if followed is None or look_of(followed) != looked_like:
        return None
    row = followed.row
    plan = json.loads(json.dumps(as_plain(planned_again(followed, late_min))))
    return _keep(
        course_class,
        course_class.rotations.first(),
        plan,
        by,
        now,
        starts_at=row.starts_at,
        started_at=row.started_at,
        helpers=row.helpers,
    )


def look_of(followed: Followed) -> str:
    """What changes whenever something comes in that could change a new plan."""
    return f"{followed.row.version}.{followed.heard}"
