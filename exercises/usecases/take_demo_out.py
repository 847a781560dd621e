"""Take the demonstration's open class out: its groups half-way through their rotation, as it looks
at a moment of its hour.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from django.db import transaction

from ..domain.results.rehearsal import Participant, participant
from ..domain.running import roles
from ..domain.running.kit import Event
from ..domain.running.rotation import Rotation as Planned
from ..models import Compass, CourseClass, Group, Kit, KitCompass, Person, Reading
from . import give_roles, hand_out, keep_kit, run_rotation, trail
from .join_class import note_heard
from .load_demo import BENT_COMPASS, COMPASS_OFF_DEG, acted_readings
from .reckon_rotation import groups_of, reckoned

OUT_FOR = timedelta(minutes=45)
MINUTES = 90  # of the rotation
GROUPS = {
    "Fern": ("Anouk", "Benat", "Cosmin"),
    "Moss": ("Delphine", "Emeka", "Freya"),
    "Reed": ("Gethin", "Hoku", "Ilse"),
    "Sedge": ("Jory", "Kaia", "Lorcan"),
}
SETTLING_MIN = 1.5  # before the first reading at a station
SILENT_GROUP, SILENT_FOR = "Sedge", timedelta(minutes=22)  # for the page to show
HELPERS = "Niamh", "Ruaridh"  # beside the two dangers
CHECKED_BEFORE = timedelta(days=150)
SEED = 20261127


@transaction.atomic
def take_demo_out(*, course_class: CourseClass, now: datetime) -> None:
    """Fill an open class without people: four groups of three with compasses of a kit, one of which
    is bad, a rotation under way, and an invitation for a helper. A class that has people stays as
    it is.
    """
    if course_class.people.exists():
        return
    rng = random.Random(SEED)
    begin = now - OUT_FOR
    by = trail.Account(course_class.owner)
    CourseClass.objects.filter(pk=course_class.pk).update(opened_at=begin)
    people = list(_people(course_class, begin))
    note_heard(people=people, now=begin)
    _hand_out(course_class, people, by, begin)
    rotation = _rotation(course_class, by, begin)
    Reading.objects.bulk_create(
        reading for person in people for reading in _readings(person, rotation, now, rng)
    )
    give_roles.invite(
        course_class=course_class,
        role=roles.HELPER,
        sees_answers=False,
        days=30,
        by=by,
        now=begin,
    )


def _people(course_class: CourseClass, begin: datetime) -> Iterator[Person]:
    """The people of the groups, with their compasses: the first two of a group share one, the third
    has one alone.
    """
    numbers = itertools.count(1)
    for group_name, names in GROUPS.items():
        group = Group.objects.create(course_class=course_class, name=group_name)
        shared, own = (
            Compass.objects.create(course_class=course_class, number=str(next(numbers)))
            for _ in range(2)
        )
        for name, compass in zip(names, (shared, shared, own), strict=True):
            yield Person.objects.create(
                course_class=course_class,
                name=name,
                group=group,
                compass=compass,
                joined_at=begin,
            )


def _hand_out(
    course_class: CourseClass, people: list[Person], by: trail.Account, begin: datetime
) -> None:
    """A kit with one spare, checked in autumn; its bad compass was dropped since. The others are
    out.
    """
    kit = Kit.objects.create(owner=course_class.owner, name="Field box")
    numbers = list(dict.fromkeys(person.compass.number for person in people))
    spare = str(len(numbers) + 1)
    rows = [KitCompass(kit=kit, number=number) for number in [*numbers, spare]]
    for compass in KitCompass.objects.bulk_create(rows):
        keep_kit.write(
            compass=compass,
            event=Event.CHECKED,
            offset_deg=0.5,
            error_deg=0.8,
            by=by,
            now=begin - CHECKED_BEFORE,
        )
    dropped = kit.compasses.get(number=BENT_COMPASS)
    keep_kit.write(
        compass=dropped,
        event=Event.DAMAGED,
        words="dropped on the stile, looks sound",
        by=by,
        now=begin - CHECKED_BEFORE / 2,
    )
    hand_out.choose_kit(course_class=course_class, kit=kit, by=by, now=begin)
    course_class.refresh_from_db()
    holders = {person.compass.number: person for person in reversed(people)}
    for number in numbers:
        hand_out.give_out(
            course_class=course_class,
            numbers=[number],
            person=holders[number],
            group_name="",
            by=by,
            now=begin,
        )


def _rotation(course_class: CourseClass, by: trail.Account, begin: datetime) -> Planned:
    """A rotation that began with the class, with somebody at each danger."""
    groups = groups_of(course_class)
    planned = reckoned(
        course_class=course_class, groups=groups, minutes=MINUTES, helpers=len(HELPERS)
    )
    row = run_rotation.keep(
        course_class=course_class, planned=planned, starts_at=begin, by=by, now=begin
    )
    run_rotation.start(rotation=row, starts_at=begin, by=by, now=begin)
    dangerous = [station.code for station in planned.problem.stations if station.is_dangerous]
    run_rotation.name_helpers(rotation=row, names=dict(zip(dangerous, HELPERS, strict=False)))
    return planned


def _readings(
    person: Person, rotation: Planned, now: datetime, rng: random.Random
) -> Iterator[Reading]:
    """The readings of one person until now, round by round."""
    acted = _acted(person, rng)
    until = now - SILENT_FOR if person.group.name == SILENT_GROUP else now
    answers = person.course_class.keys.get().as_domain()
    for one in rotation.rounds:
        station = one.at.get(person.group.name)
        begin = now - OUT_FOR + timedelta(minutes=one.from_min + SETTLING_MIN)
        here = [answer for answer in answers if answer.station == station]
        for reading in acted_readings(person, acted, here, begin, rng):
            if reading.received_at <= until:
                yield reading


def _acted(person: Person, rng: random.Random) -> Participant:
    """How a person reads, with the compass in their hand."""
    acted = participant(person.name, rng)
    if person.compass.number == BENT_COMPASS:
        return replace(acted, offset_deg=acted.offset_deg + COMPASS_OFF_DEG)
    return acted
