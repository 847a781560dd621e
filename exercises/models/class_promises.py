"""What the database holds of a row of `CourseClass`, besides its state."""

from django.db.models import CheckConstraint, Q

from .. import vocabulary
from ..domain.results import passing
from . import promised

PROMISES = [
    *promised.filled("class", "name", "time_zone"),
    promised.known("class", "feedback", vocabulary.POLICIES),
    promised.known("class", "joining", vocabulary.JOINING),
    promised.known("class", "key_source", ["computed", "observed"]),
    promised.known("class", "unit", vocabulary.DIALS),
    promised.between("class", "pass_share", passing.LEAST_SHARE, passing.MOST_SHARE),
    CheckConstraint(
        condition=Q(state="closed", closed_at__isnull=False)
        | ~Q(state="closed") & Q(closed_at=None),
        name="class_closed_at_is_known_when_closed",
    ),
    CheckConstraint(
        condition=Q(released_at=None) | ~Q(state="draft"),
        name="class_is_not_released_as_a_draft",
    ),
    promised.in_order("class", "date", "names_until"),
    promised.in_order("class", "opened_at", "closed_at"),
    promised.in_order("class", "opened_at", "released_at"),
    CheckConstraint(
        condition=Q(removed_at=None) | ~Q(state="open"), name="class_in_the_bin_is_not_open"
    ),
]
