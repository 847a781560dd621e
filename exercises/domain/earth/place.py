"""A place that was read, and the decision between several that a text may mean."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..words import Words, say
from . import geodesy
from .angle_notation import SHOWN, NotAPlace
from .datums import UNCHANGED, Change
from .geodesy import Position

# How a place may be written, the coarsest first; `vocabulary` says them.
NOTATIONS = ("decimal", "minutes", "seconds", "utm", "mgrs", "grid", "geo")
NEAR_M = 20_000.0  # what lies so near to its site can settle which reading is meant
SAME_M = 0.5  # readings that lie nearer are one


@dataclass(frozen=True)
class Place:
    """A position with how it was written: one of NOTATIONS, and how finely in metres (half of the
    last digit's step, of the finer number: spreadsheets drop a last zero).

    What the text says besides: `uncertainty_m` in metres (the `u` of a geo link), `height_m`; else
    None. `passed_over` are words that stood beside an address. `change` is how it came to WGS 84.

    `doubt` says why the site had to confirm this reading ("order", "commas", "letter"), and `other`
    where another reading would lie, which the site ruled out.
    """

    position: Position
    notation: str
    resolution_m: float
    uncertainty_m: float | None = None
    height_m: float | None = None
    change: Change = UNCHANGED
    passed_over: str = ""
    doubt: str = ""
    other: Position | None = None

    @property
    def transformation(self) -> str:
        """The operation by which it came to WGS 84."""
        return self.change.name

    @property
    def transformation_m(self) -> float | None:
        """The operation's standard uncertainty in metres, None where no datum was changed."""
        return self.change.uncertainty_m


EAST, WEST = say("E"), say("W")


def in_words(position: Position) -> Words:
    """A position in a sentence, to the metre: `45.13020° S, 170.10030° E`."""
    return say(
        "{latitude:.5f}° {north}, {longitude:.5f}° {east}",
        latitude=abs(position.latitude_deg),
        north="SN"[position.latitude_deg >= 0],
        longitude=abs(position.longitude_deg),
        east=EAST if position.longitude_deg >= 0 else WEST,
    )


def finest_m(place: Place) -> float:
    """What the way of writing alone leaves open, as a standard uncertainty in metres: half a step
    over sqrt(3) (GUM 4.3.7).
    """
    return place.resolution_m / math.sqrt(3.0)


def decide(readings: Sequence[Place], near: Position | None, text: str) -> Place:
    """The one of several readings that is meant: the one near the site, if one alone is; else the
    one that is not doubtful, if there is one alone. Raises NotAPlace where nothing decides.
    """
    readings = _different(readings)
    close = [place for place in readings if near and _apart_m(place, near) <= NEAR_M]
    plain = [place for place in readings if not place.doubt]
    for group in (close, [place for place in close if not place.doubt]):
        if len(group) == 1:
            return _with_other(group[0], [*plain, *close])
    if not close and len(plain) == 1:
        return plain[0]
    raise _undecided(plain or readings, text)


def _different(readings: Sequence[Place]) -> list[Place]:
    """The readings that lie apart, of equal ones the first without a doubt."""
    found: list[Place] = []
    for place in sorted(readings, key=lambda reading: bool(reading.doubt)):
        if all(_apart_m(other, place.position) > SAME_M for other in found):
            found.append(place)
    return found


def _apart_m(place: Place, position: Position) -> float:
    """Metres from a place to a position."""
    return geodesy.apart_m(place.position, position)


def _with_other(taken: Place, rivals: Sequence[Place]) -> Place:
    """The reading that was taken, with the first of its rivals that lies elsewhere."""
    others = (place.position for place in rivals if _apart_m(place, taken.position) > SAME_M)
    return replace(taken, other=next(others, None))


def _undecided(readings: Sequence[Place], text: str) -> NotAPlace:
    """The refusal of a text that can be read in several ways, or in none without a doubt."""
    first, last = readings[0], readings[-1]
    if first.doubt or first is last:
        return NotAPlace(DOUBTS[first.doubt](text[:SHOWN]))
    return NotAPlace(
        say(
            "“{text}” can be read as {place} and as {other}. Write north or south and east or west "
            "in words, or after the zone the latitude band.",
            text=text[:SHOWN],
            place=in_words(first.position),
            other=in_words(last.position),
        )
    )


DOUBTS: dict[str, Callable[[str], Words]] = {
    "commas": lambda text: say(
        "“{text}”: is the comma a decimal mark, or does it part two numbers? Write points in the "
        "numbers, or a semicolon between them.",
        text=text,
    ),
    "order": lambda text: say(
        "“{text}”: are latitude and longitude exchanged? Write the latitude first, or letters.",
        text=text,
    ),
    "letter": lambda text: say("“{text}”: is O the west, or the east? Write W or E.", text=text),
}
