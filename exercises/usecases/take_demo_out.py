"""Take the demonstration's open class out: groups half-way round, as it looks at a moment of its
hour.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from django.db import transaction

from ..domain.results.rehearsal import participant
from ..domain.running import roles
from ..models import Compass, CourseClass, Group, Person, Reading
from . import give_roles, trail
from .join_class import note_heard
from .load_demo import BENT_COMPASS, COMPASS_OFF_DEG, acted_readings

OUT_FOR = timedelta(minutes=45)
GROUPS = {
    "Fern": ("Anouk", "Benat", "Cosmin"),
    "Moss": ("Delphine", "Emeka", "Freya"),
    "Reed": ("Gethin", "Hoku", "Ilse"),
    "Sedge": ("Jory", "Kaia", "Lorcan"),
}
SILENT_GROUP, SILENT_FOR = "Sedge", timedelta(minutes=22)  # for the page to show
SEED = 20261127


@transaction.atomic
def take_demo_out(*, course_class: CourseClass, now: datetime) -> None:
    """Fill an open class without people: four groups of three, two people to a compass, each group
    from a start of its own, and an invitation for a helper. A class that has people stays as it
    is.
    """
    if course_class.people.exists():
        return
    rng = random.Random(SEED)
    begin = now - OUT_FOR
    CourseClass.objects.filter(pk=course_class.pk).update(opened_at=begin)
    people = list(_people(course_class, begin))
    note_heard(people=people, now=begin)
    Reading.objects.bulk_create(
        reading for person in people for reading in _readings(person, now, rng)
    )
    give_roles.invite(
        course_class=course_class,
        role=roles.HELPER,
        sees_answers=False,
        days=30,
        by=trail.Account(course_class.owner),
        now=begin,
    )


def _people(course_class: CourseClass, begin: datetime) -> Iterator[Person]:
    """The people of the groups, with their compasses."""
    names = [(group, name) for group, names in GROUPS.items() for name in names]
    compasses = [
        Compass.objects.create(course_class=course_class, number=str(number + 1))
        for number in range(len(names) // 2)
    ]
    groups = {name: Group.objects.create(course_class=course_class, name=name) for name in GROUPS}
    for place, (group, name) in enumerate(names):
        yield Person.objects.create(
            course_class=course_class,
            name=name,
            group=groups[group],
            compass=compasses[place % len(compasses)],
            joined_at=begin,
        )


def _readings(person: Person, now: datetime, rng: random.Random) -> Iterator[Reading]:
    """The readings of one person until now, in the order of their group."""
    acted = participant(person.name, rng)
    if person.compass.number == BENT_COMPASS:
        acted = replace(acted, offset_deg=acted.offset_deg + COMPASS_OFF_DEG)
    group = list(GROUPS).index(person.group.name)
    until = now - SILENT_FOR if person.group.name == SILENT_GROUP else now
    answers = person.course_class.keys.get().as_domain()
    turned = 3 * group % len(answers)
    in_order = [*answers[turned:], *answers[:turned]]
    for reading in acted_readings(person, acted, in_order, now - OUT_FOR, rng):
        if reading.received_at <= until:
            yield reading
