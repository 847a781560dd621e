"""Put tasks into a course, in order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction
from django.db.models import F, Max

from .. import vocabulary
from ..domain.planning.pairs import Pair
from ..domain.planning.weighing import Line
from ..domain.tasks import wants
from ..domain.tasks.bands import Band
from ..domain.tasks.kinds import kind_of
from ..domain.tasks.kinds.face import Face
from ..domain.words import say
from ..models import Course, Point, Task

MOST_TASKS = 60
POINTS_OF = ("station_id", "target_id", "second_id", "third_id")
BEYOND = 1000  # more than any number of a task


class CannotChange(ValueError):
    """A change of a course that is not possible any more. The message says why."""


def locked(pk: int) -> Course:
    """A course, locked with its site until the transaction ends: whoever puts tasks into a course
    and whoever takes points off its site come one after the other.
    """
    return Course.objects.select_for_update().select_related("site").get(pk=pk)


def check_points(course: Course, task: Task) -> None:
    """Raise CannotChange where a point of a task is not on the course's site any more."""
    points = {getattr(task, name) for name in POINTS_OF} - {None}
    if course.site.points.filter(pk__in=points).count() < len(points):
        raise CannotChange(say("A point of this task is not on the site any more."))


@transaction.atomic
def add_task(*, course: Course, task: Task, then_face: bool = False) -> Task:
    """Append an unsaved task to a course, and its field half if that is to follow. Raises
    CannotChange for more than it holds.
    """
    locked(course.pk)
    check_points(course, task)
    if course.tasks.count() + 1 + then_face > MOST_TASKS:
        raise CannotChange(say("A course holds {most} tasks.", most=MOST_TASKS))
    task.course = course
    task.number = _last_number(course) + 1
    task.save()
    if then_face:
        Task.objects.create(
            course=course,
            number=task.number + 1,
            kind=Face.code,
            station=task.station,
            target=task.target,
            north=task.north,
            full_credit_deg=task.full_credit_deg,
            part_credit_deg=task.part_credit_deg,
            feedback=task.feedback,
            angle_way=task.angle_way,
        )
    return task


@transaction.atomic
def remove_task(*, task: Task) -> None:
    """Take a task out; those after it move up. A class that is open keeps its frozen key."""
    course = locked(task.course_id)
    task.delete()
    put_in_order(course, course.tasks.values_list("pk", flat=True))


def put_in_order(course: Course, keys: Iterable[int]) -> None:
    """Number the tasks of a course from 1 in the order of their primary keys, in two queries;
    whoever calls holds the course's lock.
    """
    tasks = [Task(pk=key, number=number) for number, key in enumerate(keys, start=1)]
    # out of the way first: numbers are unique in a course
    course.tasks.update(number=F("number") + BEYOND)
    Task.objects.bulk_update(tasks, ["number"])


@transaction.atomic
def set_policies(*, course: Course, policies: Mapping[int, str]) -> None:
    """Say of tasks, by number, when their answer is told (`tasks.telling`); empty: as the class
    has it. Classes that are open keep theirs.
    """
    for number, policy in policies.items():
        course.tasks.filter(number=number).update(feedback=policy)


@transaction.atomic
def set_visible(*, station: Point, targets: Iterable[Point]) -> None:
    """Say which targets can be seen from a station."""
    station.sees.all().delete()
    station.sees.bulk_create(
        [
            station.sees.model(station=station, target=target)
            for target in targets
            if target.pk != station.pk
        ]
    )


@transaction.atomic
def change_task(
    *,
    course: Course,
    number: int,
    was: str,
    band: Band | None = None,
    target: str | None = None,
    is_dropped: bool = False,
) -> None:
    """Change a task as the check offers: its band, its target, or drop it. `was` is the task as it
    was shown (`Task.fingerprint`).

    Raises CannotChange where the task has been changed meanwhile, so that a button that is pressed
    twice acts once.
    """
    locked(course.pk)
    task = (
        course.tasks.select_related("station", "target", "second", "third")
        .filter(number=number)
        .first()
    )
    if task is None or task.fingerprint() != was:
        raise CannotChange(say("This task was changed meanwhile. Look at the check once more."))
    if is_dropped:
        remove_task(task=task)
    elif band:
        Task.objects.filter(pk=task.pk).update(
            full_credit_deg=band.full_credit_deg, part_credit_deg=band.part_credit_deg
        )
    else:
        _retarget(course, task, target)


def _retarget(course: Course, task: Task, target: str | None) -> None:
    """Let a task ask for another target. Raises CannotChange where the site has none."""
    targets = course.site.points.filter(code=target, is_target=True)
    point = targets.exclude(pk=task.station_id).first()
    if point is None:
        raise CannotChange(say("There is no target “{code}” on this site any more.", code=target))
    Task.objects.filter(pk=task.pk).update(target=point, given_deg=None)
    if wants.FIELD_HALF in kind_of(task.kind).wants:
        # the field half goes where the map half goes
        field_halves = course.tasks.filter(kind=Face.code, station=task.station, target=task.target)
        field_halves.exclude(station=point).update(target=point)


@transaction.atomic
def reorder(*, course: Course, numbers: Sequence[int], was: str) -> None:
    """Put the tasks of a course in an order of their numbers. `was` is `Course.fingerprint` as it
    was shown.

    Raises CannotChange where the course is another by now, and unless each number stands there
    once.
    """
    locked(course.pk)
    rows = {task.number: task.pk for task in course.tasks.all()}
    if not rows or sorted(numbers) != sorted(rows) or course.fingerprint() != was:
        raise CannotChange(say("The course was changed meanwhile. Look at the check once more."))
    put_in_order(course, [rows[number] for number in numbers])


@transaction.atomic
def take_pair(*, course: Course, pair: Pair, band: Band) -> int:
    """Append the two tasks of a `planning.pairs.Pair` to follow; those that the course asks already
    are left out. Returns how many. Raises CannotChange for more than it holds.
    """
    locked(course.pk)
    points = {point.code: point for point in course.site.points.all()}
    if not points.keys() >= {*pair.stations, *pair.targets}:
        raise CannotChange(say("This pair is not offered any more. Look at the course once more."))
    ends = [
        (points[station], points[target])
        for station, target in zip(pair.stations, pair.targets, strict=True)
        if not course.tasks.filter(
            kind="follow",
            station__code=station,
            target__code=target,
            given_deg=pair.given_deg,
            given_north=pair.north,
        ).exists()
    ]
    number = _last_number(course)
    if number + len(ends) > MOST_TASKS:
        raise CannotChange(say("A course holds {most} tasks.", most=MOST_TASKS))
    for place, (station, target) in enumerate(ends, start=1):
        Task.objects.create(
            course=course,
            number=number + place,
            kind="follow",
            station=station,
            target=target,
            north=pair.north,
            given_deg=pair.given_deg,
            given_north=pair.north,
            full_credit_deg=band.full_credit_deg,
            part_credit_deg=band.part_credit_deg,
        )
    return len(ends)


@transaction.atomic
def take_lines(*, course: Course, lines: Iterable[Line], kind: str, band: Band) -> int:
    """Append a task for each line (station, target, north) that the course does not ask yet in this
    kind and north; returns how many.

    Raises CannotChange for a line whose points are not there any more, and for more tasks than a
    course holds; nothing is stored then.
    """
    locked(course.pk)
    points = {point.code: point for point in course.site.points.all()}
    there = {
        (task.station.code, task.target.code if task.target else "", task.north, task.kind)
        for task in course.tasks.select_related("station", "target")
    }
    number, added = _last_number(course), 0
    for line in lines:
        if (line.station, line.target, line.north, kind) in there:
            continue
        station, target = _ends(line, points)
        _check_north(line, kind)
        added += 1
        if number + added > MOST_TASKS:
            raise CannotChange(say("A course holds {most} tasks.", most=MOST_TASKS))
        Task.objects.create(
            course=course,
            number=number + added,
            kind=kind,
            station=station,
            target=target,
            north=line.north,
            full_credit_deg=band.full_credit_deg,
            part_credit_deg=band.part_credit_deg,
        )
    return added


def _last_number(course: Course) -> int:
    """The number of the last task of a course, 0 where it has none."""
    return course.tasks.aggregate(last=Max("number"))["last"] or 0


def _ends(line: Line, points: Mapping[str, Point]) -> tuple[Point, Point]:
    """The station and the target of a line. Raises CannotChange where they are no longer."""
    station, target = points.get(line.station), points.get(line.target)
    if station and target and station.mark and target.is_target and station != target:
        return station, target
    raise CannotChange(
        say(
            "The line from {station} to {target} is not on this site any more. Propose once more.",
            station=line.station,
            target=line.target,
        )
    )


def _check_north(line: Line, kind: str) -> None:
    """Raises CannotChange for a north in which a kind is not asked."""
    if line.north not in kind_of(kind).norths:
        raise CannotChange(
            say(
                "“{kind}” is not asked in degrees {north}. Propose once more.",
                kind=vocabulary.KINDS[kind],
                north=vocabulary.NORTHS[line.north],
            )
        )
