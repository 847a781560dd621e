"""Load the demonstration once: two invented sites, three closed classes with readings from a seeded
generator, an open one waiting.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.earth.angles import wrap
from ..domain.mistakes import causes
from ..domain.results.rehearsal import Participant, answer_text, participant
from ..domain.tasks.answer import Answer
from ..domain.tasks.carried_bearing import own_answer
from ..domain.tasks.forms.direction import Direction
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
from .open_class import KEPT, close_class, create_class, open_class
from .take_said import label_reading

USERNAME, PASSWORD = "demo", "terrace-and-cove"
FOLDER = settings.BASE_DIR / "fixtures" / "demo"
SURVEYED_AT = datetime(2026, 5, 30, 1, 0, tzinfo=UTC)
OBSERVED_AT = datetime(2026, 10, 2, 1, 0, tzinfo=UTC)
BENT_STATION, BENT_BY_DEG = "C", 9.0  # the sheep yards' steel gate, for the debrief to show
BENT_COMPASS, COMPASS_OFF_DEG = "5", -8.0  # one that two people hold
SHOWN = timedelta(days=3650)  # invented names stay
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


LEFT_OUT = 0.04  # of the tasks, by a person
# mistakes that the instructor saw in one class, and how often it was what the diagnosis says
LABELLED, SEEN_AS_SAID = 30, 0.97
# The road, the tarn, the yard: kind, name, whether it is an area, corners.
HAZARDS = (
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


@dataclass(frozen=True)
class Ground:
    """An invented site, and the table of its points in fixtures/demo."""

    name: str
    latitude: float
    longitude: float
    epsg: int | None
    cautions: str
    table: str


TERRACE = Ground(
    "Matagouri Terrace Field Centre",
    -45.1302,
    170.1003,
    2193,
    TERRACE_CAUTIONS,
    "terrace_points.csv",
)
COVE = Ground("Heron Cove Camp", 44.5402, -63.9321, None, COVE_CAUTIONS, "cove_points.csv")


@transaction.atomic
def load_demo(*, now: datetime) -> CourseClass:
    """Load it all, or nothing if it is there already. Returns the open class."""
    user, is_new = get_user_model().objects.get_or_create(username=USERNAME)
    if not is_new:
        return user.classes.filter(state=CourseClass.State.OPEN).order_by("pk").first()
    user.set_password(PASSWORD)
    user.save()
    terrace_site = _site(user, TERRACE)
    _course(_site(user, COVE), "Round the cove", "cove_course.csv")
    _hazards(terrace_site)
    _observed(terrace_site)
    terrace = _course(terrace_site, "Round the terrace", "terrace_course.csv")
    wayfinding = _course(terrace_site, "Map and paces", "terrace_map_course.csv")
    for course, name, held_on, names, seed in (
        (terrace, "Winter introduction", date(2026, 6, 20), NAMES[:16], 20260620),
        (terrace, "Spring introduction", date(2026, 10, 3), NAMES, 20261003),
        (wayfinding, "Spring, with map and paces", date(2026, 10, 24), NAMES[:14], 20261298),
    ):
        held = _draft(user, course, name, held_on, CourseClass.Feedback.RELEASED, SHOWN)
        _hold(held, names, random.Random(seed))
    _label(user.classes.get(name="Winter introduction"), random.Random(20260621))
    waiting = _draft(
        user, terrace, "Thursday beginners", now.date(), CourseClass.Feedback.AT_ONCE, KEPT
    )
    open_class(course_class=waiting, by=user, now=now)
    waiting.refresh_from_db()
    return waiting


def _draft(
    user: AbstractUser, course: Course, name: str, on: date, feedback: str, kept: timedelta
) -> CourseClass:
    """A class of the demonstration, not open yet; `kept` is how long its names stay."""
    return create_class(
        owner=user,
        course_class=CourseClass(
            course=course,
            name=name,
            date=on,
            names_until=on + kept,
            time_zone="Pacific/Auckland",
            feedback=feedback,
        ),
    )


def _rows(name: str, columns: Sequence[str]) -> list[tables.Row]:
    """The rows of a table in fixtures/demo."""
    path = FOLDER / name
    with open(path, encoding="utf-8", newline="") as stream:
        return list(tables.rows(path.name, stream, columns))


def _site(user: AbstractUser, ground: Ground) -> Site:
    """A site with its points and what is seen from where, from a table in fixtures/demo."""
    site = Site.objects.create(
        owner=user,
        name=ground.name,
        latitude=ground.latitude,
        longitude=ground.longitude,
        grid_epsg=ground.epsg,
        cautions=ground.cautions,
    )
    rows = _rows(ground.table, tables.POINT_COLUMNS)
    points = {row["point"]: _point(site, row) for row in rows}
    for line, point in enumerate(points.values(), start=2):
        survey = survey_site.unsaved(
            point.as_domain().position,
            point.as_domain().error,
            point.method,
            measured_on=SURVEYED_AT.date(),
            by=user,
            now=SURVEYED_AT,
            details={"how": "file", "source": ground.table, "line": line},
        )
        survey.point = point
        survey.save()
    Visible.objects.bulk_create(
        [
            Visible(station=points[row["point"]], target=points[code])
            for row in rows
            for code in row["sees"].split()
        ]
    )
    return site


def _point(site: Site, row: tables.Row) -> Point:
    """A point of a site, from a row of its table."""
    return Point.objects.create(
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


def _course(site: Site, name: str, file: str) -> Course:
    """A course of a site, from a table in fixtures/demo."""
    course = Course.objects.create(site=site, name=name)
    points = {point.code: point for point in site.points.all()}
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


def _hazards(site: Site) -> None:
    """The road, the tarn, the yard: what the map shows and the check minds."""
    Hazard.objects.bulk_create(
        [
            Hazard(site=site, kind=kind, name=name, corners=corners, is_area=is_area)
            for kind, name, is_area, corners in HAZARDS
        ]
    )


def _observed(site: Site) -> None:
    """Bearings that the instructor shot at five stations, fore and back, the day before the spring
    class.
    """
    rng, ground = random.Random(20261002), site.as_domain()
    points = {point.code: point for point in site.points.all()}
    for one, other in ("AB", "BC", "CD", "DA", "AC", "AE", "DE"):
        for start, end in ((one, other), (other, one)):
            norths, _ = ground.north_of(ground.point(start).position, OBSERVED_AT.date())
            right_deg = norths.turn(ground.sight_line(start, end).bearing_deg, "true", "magnetic")
            bent_deg = BENT_BY_DEG if start == BENT_STATION else 0.0
            read_deg = round((right_deg + bent_deg + rng.gauss(0, 0.8)) * 2) / 2
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


def _hold(held: CourseClass, names: Sequence[str], rng: random.Random) -> None:
    """Open a class, fill it with people, two to a compass, and readings from `results.rehearsal`,
    and close it.
    """
    begin = datetime.combine(held.date, time(21), tzinfo=UTC)
    open_class(course_class=held, by=held.owner, now=begin)
    answers = held.keys.get().as_domain()
    compasses = [
        Compass.objects.create(course_class=held, number=str(number + 1))
        for number in range(len(names) // 2)
    ]
    readings: list[Reading] = []
    for place, name in enumerate(names):
        compass = compasses[place % len(compasses)]
        acted = participant(name, rng)
        if compass.number == BENT_COMPASS:
            acted = replace(acted, offset_deg=acted.offset_deg + COMPASS_OFF_DEG)
        person = Person.objects.create(
            course_class=held, name=name, compass=compass, joined_at=begin
        )
        first = begin + timedelta(minutes=10)
        readings += acted_readings(person, acted, _from(answers, place), first, rng)
    Reading.objects.bulk_create(readings)
    close_class(course_class=held, now=begin + timedelta(hours=3))
    debrief(course_class=held, now=begin + timedelta(hours=3))


def _label(held: CourseClass, rng: random.Random) -> None:
    """What the instructor saw, standing beside some of those who made a mistake: mostly what was
    said.
    """
    later = datetime.combine(held.date, time(21), tzinfo=UTC) + timedelta(hours=4)
    judged = debrief(course_class=held, now=later).judged
    mistaken = [one for one in judged if causes.mistakes(one.cause)][:LABELLED]
    given = held.readings.in_bulk([one.reading.key for one in mistaken])
    for one in mistaken:
        was_seen = rng.random() < SEEN_AS_SAID
        label_reading(
            reading=given[one.reading.key],
            cause=causes.of_person(one.cause) if was_seen else "other_target",
            verdict=one.verdict,
            client_id=uuid.UUID(int=rng.getrandbits(128), version=4),
            by=held.owner,
            now=later,
        )
    debrief(course_class=held, now=later)


def _from(answers: Sequence[Answer], place: int) -> Sequence[Answer]:
    """The tasks in the order of one person: different starts, so that nobody follows, unless one
    task goes on from another.
    """
    if any(answer.after for answer in answers):
        return answers
    turned = place % len(answers)
    return [*answers[turned:], *answers[:turned]]


def acted_readings(
    person: Person,
    acted: Participant,
    answers: Sequence[Answer],
    begin: datetime,
    rng: random.Random,
) -> Iterator[Reading]:
    """The readings of one person, unsaved, five minutes a task from a moment on."""
    measured_deg: dict[str, float] = {}
    for step, answer in enumerate(answers):
        if rng.random() < LEFT_OUT:
            continue
        bias_deg = BENT_BY_DEG if answer.station == BENT_STATION else 0.0
        asked = own_answer(answer, measured_deg.get(answer.after))
        text = answer_text(asked, acted, rng, bias_deg)
        seen = answer.form.parse_on_paper(answer, text)
        if kind_of(answer.kind).line_measured(answer):
            measured_deg[answer.task] = Direction.of(answer).direction(answer, seen)
        moment = begin + timedelta(minutes=5 * step, seconds=rng.randrange(240))
        yield Reading(
            course_class=person.course_class,
            person=person,
            client_id=uuid.UUID(int=rng.getrandbits(128), version=4),
            task=answer.task,
            text=text,
            attempt=1,
            measured_at=moment,
            received_at=moment + timedelta(seconds=rng.randrange(2, 600)),
            source=Reading.Source.DEMO,
            compass_number=person.compass.number,
            **answer.form.columns(seen),
        )
