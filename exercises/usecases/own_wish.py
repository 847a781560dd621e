"""A person's own wish, from their phone: their name goes, or all that they gave.

While a class is open the wish is noted and done when it closes: whoever is out there must be
counted. A wish can be taken back until then.
"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from ..models import CourseClass, Person
from . import keep_roster


@transaction.atomic
def wish(*, person: Person, what: str, now: datetime) -> bool:
    """Note a wish (`Person.Wish`; empty takes it back), and do it unless the class is open. Returns
    whether it is done.
    """
    course_class = CourseClass.objects.select_for_update().get(pk=person.course_class_id)
    Person.objects.filter(pk=person.pk).update(wish=what)
    if course_class.is_open or not what:
        return False
    carry_out(course_class=course_class, now=now)
    return True


def carry_out(*, course_class: CourseClass, now: datetime) -> None:
    """Do what people of a class wished."""
    for person in course_class.people.exclude(wish="").filter(taken_out_at=None):
        if person.wish == Person.Wish.NAME:
            keep_roster.let_name_go(person=person, now=now)
        else:
            keep_roster.let_all_go(person=person, now=now)
