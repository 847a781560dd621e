"""Load the demonstration once: two invented sites, three closed classes with readings from a seeded
generator, an open one waiting.
"""

import random
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction

from ..domain.earth.angles import wrap
from ..domain.results.rehearsal import answer_text, participant
from ..domain.tasks.carried_bearing import own_answer
from ..domain.tasks.kinds import kind_of
from ..domain.tasks.site import FULL_CREDIT_M, PART_CREDIT_M
from ..exchange import tables
from ..models import (
    Compass,
    Course,
    CourseClass,
    Hazard,
    ObservedBearing,
    Person,
    Point,
    Reading,
    Site,
    Task,
    Visible,
)
from . import survey_site
from .debrief import debrief
from .open_class import close_class, create_class, open_class

USERNAME, PASSWORD = "demo", "terrace-and-cove"
FOLDER = settings.BASE_DIR / "fixtures" / "demo"
SURVEYED_AT, OBSERVED_AT = (
    datetime(2026, 5, 30, 1, 0, tzinfo=UTC),
    datetime(2026, 10, 2, 1, 0, tzinfo=UTC),
)
BENT_STATION, BENT_BY_DEG = "C", 9.0  # the sheep yards' steel gate, for the debrief to show
BENT_COMPASS, COMPASS_OFF_DEG = "5", -8.0  # one that two people hold
NAMES = (
    "Aroha",
    "Bram",
    "Celeste",
    "Dara",
    "Eamon",
    "Fenna",
    "Goran",
    "Hine",
    "Idris",
    "Jutta",
    "Kwame",
    "Lotte",
    "Mateo",
    "Niamh",
    "Oskar",
    "Priya",
    "Quill",
    "Rewi",
    "Saskia",
    "Tane",
    "Ulla",
    "Viggo",
    "Wiremu",
    "Ylva",
)
TERRACE_CAUTIONS = (
    "Stay between the shingle road and the tarn fence. Do not enter the water or climb the yards.\n"
    "Back at the steps when the bell rings. Lost? Walk north to the shingle road and wait. "
    "Thunder: everybody to the bakehouse.\n"
    "Wardens of the ground decide; their word comes first."
)
COVE_CAUTIONS = (
    "Keep off the slip and the rocks below the weed line. Tide table at the kitchen. "
    "Whistle: three blasts, then stay where you are."
)


@transaction.atomic
def load_demo(*, now):
    """Load it all, or nothing if it is there already. Returns the open class."""
    user, is_new = get_user_model().objects.get_or_create(username=USERNAME)
    if not is_new:
        return user.classes.filter(state=CourseClass.State.OPEN).order_by("pk").first()
    user.set_password(PASSWORD)
    user.save()
    ground = _site(
        user,
        "Matagouri Terrace Field Centre",
        -45.1302,
        170.1003,
        2193,
        TERRACE_CAUTIONS,
        "terrace",
    )
    _course(
        _site(user, "Heron Cove Camp", 44.5402, -63.9321, None, COVE_CAUTIONS, "cove"),
        "Round the cove",
        "cove_course.csv",
    )
    _hazards(ground)
    _observed(ground)
    terrace, wayfinding = (
        _course(ground, "Round the terrace", "terrace_course.csv"),
        _course(ground, "Map and paces", "terrace_map_course.csv"),
    )
    _held_class(user, terrace, "Winter introduction", date(2026, 6, 20), NAMES[:16], seed=20260620)
    _held_class(user, terrace, "Spring introduction", date(2026, 10, 3), NAMES, seed=20261003)
    _held_class(
        user,
        wayfinding,
        "Spring, with map and paces",
        date(2026, 10, 24),
        NAMES[:14],
        seed=20261298,
    )
    waiting = create_class(
        owner=user,
        course_class=CourseClass(
            course=terrace,
            name="Thursday beginners",
            date=now.date(),
            time_zone="Pacific/Auckland",
            feedback=CourseClass.Feedback.AT_ONCE,
        ),
    )
    open_class(course_class=waiting, by=user, now=now)
    waiting.refresh_from_db()
    return waiting


def _rows(name, columns):
    path = FOLDER / name
    with open(path, encoding="utf-8", newline="") as stream:
        return list(tables.rows(path.name, stream, columns))


def _site(user, name, latitude, longitude, epsg, cautions, prefix):
    """A site with its points and what is seen from where, from a table in fixtures/demo."""
    site = Site.objects.create(
        owner=user,
        name=name,
        latitude=latitude,
        longitude=longitude,
        grid_epsg=epsg,
        cautions=cautions,
    )
    rows = _rows(f"{prefix}_points.csv", tables.POINT_COLUMNS)
    points = {
        row["point"]: Point.objects.create(
            site=site,
            code=row["point"],
            name=row["name"],
            latitude=row.number("latitude"),
            longitude=row.number("longitude"),
            elevation_m=row.number("elevation_m"),
            accuracy_m=row.number("accuracy_m"),
            method=row["method"],
            mark=row["mark"],
            is_target=row["is_target"] == "yes",
        )
        for row in rows
    }
    for line, point in enumerate(points.values(), start=2):
        found = survey_site.unsaved(
            point.as_domain().position,
            point.as_domain().error,
            point.method,
            measured_on=SURVEYED_AT.date(),
            by=user,
            now=SURVEYED_AT,
            details={"how": "file", "source": f"{prefix}_points.csv", "line": line},
        )
        found.point = point
        found.save()
    Visible.objects.bulk_create(
        [
            Visible(station=points[row["point"]], target=points[code])
            for row in rows
            for code in row["sees"].split()
        ]
    )
    return site


def _course(site, name, file):
    """A course of a site, from a table in fixtures/demo."""
    course, points = (
        Course.objects.create(site=site, name=name),
        {point.code: point for point in site.points.all()},
    )
    for row in _rows(file, tables.COURSE_COLUMNS):
        more = [points[code] for code in row["more"].split()]
        Task.objects.create(
            course=course,
            number=int(row["task"]),
            kind=row["kind"],
            station=points[row["from"]],
            target=points.get(row["to"]),
            north=row["north"],
            full_credit_deg=row.number("full_credit_deg"),
            part_credit_deg=row.number("part_credit_deg"),
            given_deg=row.number("given_deg") if row["given_deg"] else None,
            given_north=row["given_north"],
            second=more[0] if more else None,
            third=more[1] if len(more) > 1 else None,
            legs=row["legs"],
            full_credit_m=row.number("full_credit_m", FULL_CREDIT_M),
            part_credit_m=row.number("part_credit_m", PART_CREDIT_M),
        )
    return course


def _hazards(site):
    """The road, the tarn, the yard: what the map shows and the check minds."""
    Hazard.objects.bulk_create(
        [
            Hazard(site=site, kind=kind, name=name, corners=corners, is_area=is_area)
            for kind, name, is_area, corners in (
                (
                    "road",
                    "Shingle road",
                    False,
                    [[-45.12668, 170.0951], [-45.12655, 170.0995], [-45.12672, 170.1061]],
                ),
                (
                    "water",
                    "The tarn",
                    True,
                    [
                        [-45.1298, 170.0953],
                        [-45.1296, 170.0966],
                        [-45.1304, 170.0972],
                        [-45.1313, 170.0968],
                        [-45.1315, 170.0955],
                    ],
                ),
                (
                    "steel",
                    "Gate and rails of the yards",
                    False,
                    [[-45.13088, 170.10352], [-45.13115, 170.10356]],
                ),
            )
        ]
    )


def _observed(site):
    """Bearings that the instructor shot at five stations, fore and back, the day before the spring
    class.
    """
    rng, ground = random.Random(20261002), site.as_domain()
    points = {point.code: point for point in site.points.all()}
    for one, other in ("AB", "BC", "CD", "DA", "AC", "AE", "DE"):
        for start, end in ((one, other), (other, one)):
            norths, _ = ground.north_of(ground.point(start).position, OBSERVED_AT.date())
            right_deg = norths.turn(ground.sight_line(start, end).bearing_deg, "true", "magnetic")
            read_deg = (
                round(
                    (
                        right_deg
                        + (BENT_BY_DEG if start == BENT_STATION else 0.0)
                        + rng.gauss(0, 0.8)
                    )
                    * 2
                )
                / 2
            )
            ObservedBearing.objects.create(
                site=site,
                client_id=uuid.UUID(int=rng.getrandbits(128), version=4),
                station=points[start],
                target=points[end],
                bearing_deg=wrap(read_deg),
                compass="1",
                observed_at=OBSERVED_AT,
                received_at=OBSERVED_AT,
            )


def _held_class(user, course, name, held_on, names, seed):
    """A class that was held, two people to a compass, with readings from `domain.rehearsal`."""
    begin = datetime(held_on.year, held_on.month, held_on.day, 21, 0, tzinfo=UTC)
    held = create_class(
        owner=user,
        course_class=CourseClass(
            course=course,
            name=name,
            date=held_on,
            time_zone="Pacific/Auckland",
            feedback=CourseClass.Feedback.RELEASED,
        ),
    )
    open_class(course_class=held, by=user, now=begin)
    answers, rng, readings = held.keys.get().as_domain(), random.Random(seed), []
    compasses = [
        Compass.objects.create(course_class=held, number=str(number + 1))
        for number in range(len(names) // 2)
    ]
    for place, who in enumerate(names):
        compass = compasses[place % len(compasses)]
        someone = participant(who, rng)
        if compass.number == BENT_COMPASS:
            someone = replace(someone, offset_deg=someone.offset_deg + COMPASS_OFF_DEG)
        person = Person.objects.create(
            course_class=held, name=who, compass=compass, joined_at=begin
        )
        turned, measured = place % len(answers), {}  # different starts, so that nobody follows
        for step, answer in enumerate(
            answers
            if any(answer.after for answer in answers)
            else answers[turned:] + answers[:turned]
        ):
            if rng.random() < 0.04:
                continue  # a task left out
            bias_deg = BENT_BY_DEG if answer.station == BENT_STATION else 0.0
            own = own_answer(answer, measured.get(answer.after))
            text = answer_text(own, someone, rng, bias_deg)
            seen = answer.form.parse_on_paper(answer, text)
            if kind_of(answer.kind).line_measured(answer):
                measured[answer.task] = answer.form.direction(answer, seen)
            moment = begin + timedelta(minutes=10 + 5 * step, seconds=rng.randrange(240))
            readings.append(
                Reading(
                    course_class=held,
                    person=person,
                    client_id=uuid.UUID(int=rng.getrandbits(128), version=4),
                    task=answer.task,
                    text=text,
                    attempt=1,
                    measured_at=moment,
                    received_at=moment + timedelta(seconds=rng.randrange(2, 600)),
                    source=Reading.Source.DEMO,
                    compass_number=compass.number,
                    **answer.form.columns(seen),
                )
            )
    Reading.objects.bulk_create(readings)
    close_class(course_class=held, now=begin + timedelta(hours=3))
    debrief(course_class=held, now=begin + timedelta(hours=3))
