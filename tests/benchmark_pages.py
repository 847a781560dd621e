"""How long the server takes for each page of the desk: `python -m tests.benchmark_pages`.

On SQLite in a folder of its own: the demonstration, and beside it a course of 40 tasks with a class
of 100 people who read them all. Prints, page by page, milliseconds of the first request and the
median of three more, queries, and kilobytes. Wall times are measured here and never asserted.
"""

import argparse
import os
import statistics
import tempfile
import time
import uuid

NUMBER_OF_TASKS, NUMBER_OF_PEOPLE = 40, 100


def prepare(folder):
    """Django on an empty database in a folder."""
    os.environ.update(NAVCLASS_DATA=folder, NAVCLASS_HOTSPOT="yes", NAVCLASS_SECRET_KEY="x" * 60)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def large_class(now):
    """A class of NUMBER_OF_PEOPLE on a course of NUMBER_OF_TASKS, held on the demonstration's site
    by people whose readings are drawn (seed 1).
    """
    import random

    from django.contrib.auth import get_user_model

    from exercises.models import Course, CourseClass, Person, Reading, Site, Task
    from exercises.usecases.open_class import close_class, create_class, open_class

    site = Site.objects.order_by("pk").first()
    owner = get_user_model().objects.get()
    course = Course.objects.create(site=site, name="Forty tasks")
    points = {point.code: point for point in site.points.all()}
    plain = site.as_domain()
    lines = [
        (station, target)
        for target in sorted(points)
        for station in sorted(points)
        if target in plain.visible.get(station, ())
    ]
    for number, (station, target) in enumerate(lines[:NUMBER_OF_TASKS], start=1):
        Task.objects.create(
            course=course,
            number=number,
            kind="sight",
            station=points[station],
            target=points[target],
            north=("magnetic", "true")[number % 2],
            full_credit_deg=5,
            part_credit_deg=10,
        )
    held = create_class(
        course_class=CourseClass(
            course=course, name="A hundred people", date=now.date(), time_zone="UTC"
        ),
        owner=owner,
    )
    open_class(course_class=held, by=owner, now=now)
    held.refresh_from_db()
    answers = held.keys.latest("version").as_domain()
    rng = random.Random(1)
    people = Person.objects.bulk_create(
        Person(
            course_class=held,
            name=f"Person {number}",
            name_key=f"person {number}",
            joined_at=now,
        )
        for number in range(1, NUMBER_OF_PEOPLE + 1)
    )
    readings = []
    for person in people:
        for answer in answers:
            read_deg = round(answer.expected_deg + rng.gauss(0, 2) + 180 * (rng.random() < 0.03))
            text = f"{read_deg % 360:03d}"
            columns = answer.form.columns(answer.form.parse(answer, text))
            readings.append(
                Reading(
                    course_class=held,
                    person=person,
                    client_id=uuid.UUID(int=rng.getrandbits(128)),
                    task=answer.task,
                    text=text,
                    attempt=1,
                    received_at=now,
                    source=Reading.Source.PHONE,
                    **columns,
                )
            )
    Reading.objects.bulk_create(readings)
    close_class(course_class=held, now=now)


def pages():
    """The addresses of the desk's pages."""
    from exercises.models import Course, CourseClass, Site

    yield "/sites/"
    for site in Site.objects.all():
        yield from (f"/sites/{site.pk}/{page}" for page in ("", "ground/", "over-time/"))
    for course in Course.objects.all():
        yield from (f"/courses/{course.pk}/", f"/courses/{course.pk}/propose/?number=8")
    for held in CourseClass.objects.all():
        here = f"/classes/{held.pk}/"
        yield from (here, f"{here}key/", f"{here}debrief/", f"{here}debrief/alone/")
    yield "/experience/"


def measure(client, address):
    """(milliseconds at first, median of three more, queries, kilobytes) of a page."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    times = []
    for _ in range(4):
        start = time.perf_counter()
        answer = client.get(address, HTTP_HOST="localhost")
        times.append(1000 * (time.perf_counter() - start))
    assert answer.status_code == 200, (address, answer.status_code)
    with CaptureQueriesContext(connection) as queries:
        client.get(address, HTTP_HOST="localhost")
    return times[0], statistics.median(times[1:]), len(queries), len(answer.content) / 1000


def main():
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--small", action="store_true", help="the demonstration alone")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        prepare(folder)
        from django.contrib.auth import get_user_model
        from django.test import Client
        from django.utils import timezone

        from exercises.usecases.load_demo import load_demo

        load_demo(now=timezone.now())
        if not chosen.small:
            large_class(timezone.now())
        client = Client()
        client.force_login(get_user_model().objects.get())
        print("| page | first, ms | then, ms | queries | kB |\n| --- | --- | --- | --- | --- |")
        for address in pages():
            first, then, queries, size = measure(client, address)
            print(f"| {address} | {first:.0f} | {then:.0f} | {queries} | {size:.0f} |")


if __name__ == "__main__":
    main()
