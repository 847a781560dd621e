"""Letters for the spots of a practice map, so that a place can be named and none is given away."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from ..earth import geodesy
from ..earth.position import Position
from .answer import Answer
from .forms.crossed_place import CrossedPlace

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O are read as a line and a nought
SAME_PLACE_M = 5.0  # places nearer than this are one cross on the map
FAR_DEG = 1e-4  # of latitude; eleven metres anywhere on the ellipsoid


class Lettering:
    """Hands out letters, none twice and none that is a point's code.

    Answers that seek the same place share its spots: two letters on one cross would give both of
    them away.
    """

    def __init__(self, taken: Collection[str]) -> None:
        pairs = itertools.product(LETTERS, LETTERS)
        letters = [*LETTERS, *("".join(pair) for pair in pairs)]
        self._free = (letter for letter in letters if letter not in taken)
        self._lettered: list[tuple[Position, CrossedPlace]] = []

    def letter(self, place: CrossedPlace) -> CrossedPlace:
        """The place with letters for its spots, from west to east, so that the order says
        nothing.
        """
        at = place.position
        before = next((earlier for there, earlier in self._lettered if _is_same(there, at)), None)
        lettered = _shared(place, before) if before else self._afresh(place)
        self._lettered.append((at, lettered))
        return lettered

    def next_letter(self) -> str:
        """A letter that nobody has yet."""
        return next(self._free)

    def _afresh(self, place: CrossedPlace) -> CrossedPlace:
        """The place with letters that nobody has yet."""
        spots = sorted(place.spots, key=lambda spot: (spot.east_m, spot.north_m))
        renamed = {spot.code: self.next_letter() for spot in spots}
        return replace(
            place,
            right=renamed[place.right],
            spots=tuple(replace(spot, code=renamed[spot.code]) for spot in spots),
        )


def lettered(answers: Iterable[Answer], taken: Collection[str]) -> tuple[Answer, ...]:
    """The answers of a course in order, their spots lettered. `taken` are the points' codes."""
    lettering = Lettering(taken)
    course = [replace(answer, form=answer.form.lettered(lettering)) for answer in answers]
    return _held_back(course, lettering)


def _held_back(answers: Sequence[Answer], lettering: Lettering) -> tuple[Answer, ...]:
    """The answers, with a letter for each target that is measured on the map before it is to be
    found in the field: its name or code would be the field half's answer.
    """
    gone_on_from = {answer.after for answer in answers if answer.after}
    letters: dict[str, str] = {}
    course = []
    for answer in answers:
        if answer.task in gone_on_from and answer.target not in letters:
            letters[answer.target] = lettering.next_letter()
        spot = letters[answer.target] if answer.task in gone_on_from else ""
        course.append(replace(answer, spot=spot))
    return tuple(course)


def _is_same(one: Position, other: Position) -> bool:
    """Whether two answers seek the same place: most lie apart by their latitudes alone."""
    if abs(one.latitude_deg - other.latitude_deg) > FAR_DEG:
        return False
    return geodesy.apart_m(one, other) < SAME_PLACE_M


def _shared(place: CrossedPlace, before: CrossedPlace) -> CrossedPlace:
    """The spots of an earlier answer that seeks the same place, as seen from this one's origin."""
    east_m, north_m = geodesy.east_north_m(place.origin, before.origin)
    return replace(
        place,
        right=before.right,
        spots=tuple(
            replace(spot, east_m=spot.east_m + east_m, north_m=spot.north_m + north_m)
            for spot in before.spots
        ),
    )
