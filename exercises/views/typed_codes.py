"""Codes of classes and cards, typed or in an address: whoever guesses them is counted by their own
address, wherever they try.
"""

from django.utils import timezone

from ..models import CourseClass, Point
from ..usecases import guard_door
from .address import address_of

LONGEST = 12  # letters of a code; more are not looked at
_GONE = object()  # found, but not to be shown


def found_by(request, code, *finders):
    """What the first of these finds by a code, or None. A code of what was removed finds nothing
    and counts as no guess: phones go on asking for a class for a while. Raises Shut.
    """
    plain = code.strip().upper()[:LONGEST]
    found = guard_door.look(
        door=f"code from {address_of(request)}",
        patience=guard_door.CODES,
        now=timezone.now(),
        guess=plain,
        find=lambda: _first(code, finders) or (_GONE if _is_of_something_removed(plain) else None),
    )
    return None if found is _GONE else found


def _is_of_something_removed(plain):
    return (
        CourseClass.objects.filter(code=plain).exists()
        or Point.objects.filter(card_code=plain).exists()
    )


def _first(code, finders):
    return next((found for find in finders if (found := find(code))), None)
