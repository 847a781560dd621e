"""What is worth a look in how people joined a class, in two queries."""

from __future__ import annotations

from django.db.models import Min

from ..domain.running.arrivals import Arrival, Signs, signs
from ..models import CourseClass


def arrival_signs(course_class: CourseClass) -> dict[int, Signs]:
    """The signs of everybody who joined, by their key; second names count as people."""
    first = course_class.readings.aggregate(at=Min("received_at"))["at"]
    found = signs(
        (
            Arrival(
                str(person.pk),
                person.joined_at,
                person.joined_on,
                person.joined_from,
                person.was_listed,
                person.taken_out_at is not None,
            )
            for person in course_class.people.all()
        ),
        first,
    )
    return {int(person): those for person, those in found.items()}
