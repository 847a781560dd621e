"""A fixed cast: Ines owns the class, Karl is another instructor, Mia is in the class, Tom is
not.
"""

import datetime
import uuid
from datetime import UTC

from django.contrib.auth import get_user_model
from django.db import connection

from exercises.domain.earth.geodesy import Position, destination
from exercises.models import Course, CourseClass, Point, Site, Task, Visible
from exercises.promises import enforce
from exercises.usecases.join_class import join_class
from exercises.usecases.open_class import create_class, open_class
from exercises.usecases.take_readings import take_readings

NOW = datetime.datetime(2026, 10, 3, 9, 30, tzinfo=UTC)
LATER = NOW + datetime.timedelta(hours=2)
DAY = datetime.date(2026, 10, 3)


def instructor(name, password=None):
    """An instructor's account, with a password for who signs in."""
    return get_user_model().objects.create_user(name, password=password)


def site_of(owner, name="Test ground"):
    """A site with stations A and B and targets T1 to T3."""
    site = Site.objects.create(
        owner=owner,
        name=name,
        latitude=-45.13,
        longitude=170.10,
        grid_epsg=2193,
        cautions="Keep off the road.",
    )
    middle, points = Position(-45.13, 170.10, 400), {}
    for code, bearing, distance, mark in (
        ("A", 0, 1, "peg at the gate"),
        ("B", 90, 200, "painted stone"),
        ("T1", 70, 300, ""),
        ("T2", 130, 260, ""),
        ("T3", 300, 220, ""),
    ):
        place = destination(middle, bearing, distance)
        points[code] = Point.objects.create(
            site=site,
            code=code,
            name=f"the {code} thing",
            latitude=place.latitude_deg,
            longitude=place.longitude_deg,
            elevation_m=400,
            accuracy_m=0.5,
            mark=mark,
            is_target=not mark,
        )
    Visible.objects.bulk_create(
        [Visible(station=points[s], target=points[t]) for s in "AB" for t in ("T1", "T2", "T3")]
    )
    return site


def course_of(site):
    """A course of three tasks: a sight in magnetic, one to follow, one to convert."""
    course = Course.objects.create(site=site, name="Short round")
    point = {point.code: point for point in site.points.all()}
    Task.objects.create(
        course=course,
        number=1,
        kind="sight",
        station=point["A"],
        target=point["T1"],
        north="magnetic",
    )
    Task.objects.create(
        course=course, number=2, kind="follow", station=point["B"], target=point["T3"], north="true"
    )
    Task.objects.create(
        course=course,
        number=3,
        kind="convert",
        station=point["A"],
        north="true",
        given_deg=100,
        given_north="magnetic",
        full_credit_deg=2,
        part_credit_deg=4,
    )
    return course


def class_of(
    owner, *, is_open=True, feedback=CourseClass.Feedback.AT_ONCE, course=None, asks=True, on=DAY
):
    """A class of Ines's course, open unless said otherwise."""
    course = course or course_of(site_of(owner))
    made = create_class(
        owner=owner,
        course_class=CourseClass(
            course=course,
            name="Saturday",
            date=on,
            time_zone="Pacific/Auckland",
            feedback=feedback,
            asks=asks,
        ),
    )
    if is_open:
        open_class(course_class=made, by=owner, now=NOW)
        made.refresh_from_db()
    return made


def close(course_class, **more):
    """Close a class at LATER, with other changes of its row."""
    CourseClass.objects.filter(pk=course_class.pk).update(
        state=CourseClass.State.CLOSED, closed_at=LATER, **more
    )
    course_class.refresh_from_db()


def unheld():
    """A stretch in which the database lets anything in: for rows of before it held promises, and
    for those that are looked for.
    """
    return enforce.lifted(connection)


def join(course_class, *names):
    """People in a class, as (person, secret) pairs."""
    return join_class(
        course_class=course_class,
        names=names,
        compass_number="7",
        graduation_deg=2,
        declination_is_set=False,
        now=NOW,
    )


def class_with_mia(owner, client, course):
    """An open class of a course in which the test client's phone speaks for Mia: `joined` holds her
    and her secret.
    """
    made = class_of(owner, course=course)
    made.joined = join(made, "Mia")
    speaks_for(client, made, made.joined)
    return made


def answer_of(course_class, task):
    """The answer of a task in the first key of a class."""
    return next(answer for answer in course_class.keys.get().as_domain() if answer.task == task)


def speaks_for(client, course_class, joined):
    """Let a test client's phone speak for people."""
    client.cookies[f"navclass_{course_class.pk}"] = "|".join(
        f"{person.pk}:{secret}" for person, secret in joined
    )
    return client


def reading(person, task="1", text="044", **more):
    """A reading as a phone sends it."""
    return {
        "id": str(uuid.uuid4()),
        "person": person.pk,
        "task": task,
        "text": text,
        "mils": False,
        "measured_at": "2026-10-03T09:40:00Z",
        **more,
    }


def send(course_class, person, *pairs, now=NOW):
    """Readings that arrive, as (task, text) pairs."""
    take_readings(
        course_class=course_class,
        people=[person],
        sent=[reading(person, task=task, text=text) for task, text in pairs],
        answers=course_class.keys.first().as_domain(),
        now=now,
    )


def six_read(course_class, *, too_much_deg=12, other=("3", "125")):
    """Six people who read some degrees too much at A, and give one answer more."""
    answer = course_class.keys.get().as_domain()[0]
    for place, (person, _) in enumerate(join(course_class, *"abcdef")):
        send(
            course_class,
            person,
            ("1", f"{round(answer.expected_deg + too_much_deg + place % 2) % 360:03d}"),
            other,
        )
    return course_class
