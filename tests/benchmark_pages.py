"""How long the server takes for each page of the desk: `python -m tests.benchmark_pages`.

On SQLite in a folder of its own: the demonstration, and beside it a course of 40 tasks with a class
of 100 people who read them all. Prints, page by page, milliseconds of processor time of the first
request and the median of three more, queries, and kilobytes, and says which pages take longer than
they should:
300 ms with the demonstration, 500 ms with the large course and class. What may take longer says so
while it works (`data-slow`): prints, proposals, and the first look at readings that came since the
last. Times are measured here and never asserted.
"""

import argparse
import math
import os
import statistics
import tempfile
import time
import uuid

NUMBER_OF_TASKS, NUMBER_OF_PEOPLE = 40, 100
DEMONSTRATION_MS, LARGE_MS = 300, 500
HEAD = "| page | first, ms | then, ms | queries | kB |\n| --- | --- | --- | --- | --- |"


def prepare(folder):
    """Django on an empty database in a folder."""
    os.environ.update(NAVCLASS_DATA=folder, NAVCLASS_HOTSPOT="yes", NAVCLASS_SECRET_KEY="x" * 60)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
    import django

    django.setup()
    from django.core.management import call_command

    from exercises.serving import leftovers

    call_command("migrate", verbosity=0)
    leftovers.look_seldom()  # as the server does


def large_class(now, name="Forty tasks"):
    """A class of NUMBER_OF_PEOPLE on a course of NUMBER_OF_TASKS, held on the demonstration's site
    by people whose readings are drawn (seed 1). Returns it.
    """
    import random

    from django.contrib.auth import get_user_model

    from exercises.models import Course, CourseClass, Person, Reading, Site, Task
    from exercises.usecases.open_class import close_class, create_class, open_class

    site = Site.objects.order_by("pk").first()
    owner = get_user_model().objects.get()
    course = Course.objects.create(site=site, name=name)
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
    return held


def everywhere():
    """The addresses of pages that belong to no site."""
    return ["/sites/", "/sites/new/", "/hand-in/", "/experience/", "/practice/"]


def of_site(site):
    """The addresses of a site's pages."""
    point, hazard = site.points.first().code, site.hazards.first()
    here = f"/sites/{site.pk}/"
    pages = ("", "edit/", "import/", "here/", "measured/", "traverse/", "ground/", "over-time/")
    yield from (f"{here}{page}" for page in (*pages, "points/new/", "hazards/new/", "courses/new/"))
    yield from (f"{here}points/{point}/{page}" for page in ("", "surveys/", "here/"))
    if hazard:
        yield f"{here}hazards/{hazard.pk}/"


def of_course(course):
    """The addresses of a course's pages."""
    return [f"/courses/{course.pk}/", f"/courses/{course.pk}/tasks/1/"]


def of_class(held):
    """The addresses of a class's pages."""
    here = f"/classes/{held.pk}/"
    pages = ("", "arrivals/", "paper/", "print/", "key/", "debrief/", "debrief/alone/")
    yield from (f"{here}{page}" for page in pages)
    if not held.opened_at:
        yield f"{here}opening/"
    person = held.people.first()
    if person:
        yield f"{here}people/{person.pk}/"


def that_say_so(course, held):
    """The addresses of what may take longer, and says so meanwhile."""
    yield f"/courses/{course.pk}/propose/?number=8&kind=sight&north=mixed&preset=usual"
    yield f"/courses/{course.pk}/shows/?people=12"
    what = (
        "map",
        "cards",
        "sheets",
        "key",
        "pack",
        *(("people",) if held.readings.exists() else ()),
    )
    yield from (f"/classes/{held.pk}/print/{one}.pdf" for one in what)


def measure(client, address):
    """(milliseconds at first, median of three more, queries, kilobytes) of a page."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    times = []
    for _ in range(4):
        start = time.process_time()  # what other programs take of the machine does not count
        answer = client.get(address, HTTP_HOST="localhost")
        times.append(1000 * (time.process_time() - start))
    assert answer.status_code == 200, (address, answer.status_code)
    with CaptureQueriesContext(connection) as queries:
        client.get(address, HTTP_HOST="localhost")
    return times[0], statistics.median(times[1:]), len(queries), len(answer.content) / 1000


def print_table(title, addresses, client, limit_ms=math.inf):
    """Measure pages and print what was found."""
    print(f"\n{title}\n\n{HEAD}")
    slow = []
    for address in addresses:
        first, then, queries, size = measure(client, address)
        print(f"| {address} | {first:.0f} | {then:.0f} | {queries} | {size:.0f} |")
        slow += [address] if then > limit_ms else []
    if limit_ms < math.inf:
        print(f"\nLonger than {limit_ms} ms: {', '.join(slow) or 'none'}.")


def main():
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--small", action="store_true", help="the demonstration alone")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        prepare(folder)
        from django.contrib.auth import get_user_model
        from django.test import Client
        from django.utils import timezone

        from exercises.models import Course, CourseClass, Site
        from exercises.usecases.load_demo import load_demo

        load_demo(now=timezone.now())
        client = Client()
        client.force_login(get_user_model().objects.get())
        addresses = [
            *everywhere(),
            *(page for site in Site.objects.all() for page in of_site(site)),
            *(page for course in Course.objects.all() for page in of_course(course)),
            *(page for held in CourseClass.objects.all() for page in of_class(held)),
        ]
        print_table("The demonstration", addresses, client, DEMONSTRATION_MS)
        largest = max(CourseClass.objects.all(), key=lambda held: held.readings.count())
        print_table("What says that it works", that_say_so(largest.course, largest), client)
        if not chosen.small:
            held = large_class(timezone.now())
            addresses = [*everywhere(), *of_course(held.course), *of_class(held)]
            title = f"{NUMBER_OF_TASKS} tasks, {NUMBER_OF_PEOPLE} people"
            print_table(title, addresses, client, LARGE_MS)
            print_table("What says that it works", that_say_so(held.course, held), client)


if __name__ == "__main__":
    main()
