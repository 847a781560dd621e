"""How a length is said in the unit that somebody chose. One object for each unit, found by its
code; nobody asks which one it is.
"""

from contextlib import contextmanager
from contextvars import ContextVar

from ..domain.earth.length_units import FEET, METRES, PACES
from ..languages import tell


class InMetres:
    """Lengths in metres; `pace_m` is the double pace of a person, where it was counted."""

    unit = METRES
    is_counted = False  # whether a length is told in the person's own paces

    def __init__(self, pace_m=None):
        self.pace_m = pace_m

    @property
    def is_usual(self):
        """Whether who chose nothing is told lengths so."""
        return self.unit is METRES

    def text(self, length_m):
        """A length to the whole one: `60 m`."""
        return tell("{metres:.0f} m", metres=float(length_m))


class InFeet(InMetres):
    """International feet."""

    unit = FEET

    def text(self, length_m):
        """`197 ft`."""
        return tell("{feet:.0f} ft", feet=float(FEET.number(length_m)))


class InPaces(InMetres):
    """A person's own double paces; metres until they were counted."""

    unit = PACES

    @property
    def is_counted(self):
        """Once they were counted."""
        return self.pace_m is not None

    def text(self, length_m):
        """`40 of your double paces`, with the metres, which others know."""
        paces = PACES.number(length_m, self.pace_m)
        if paces is None:
            return super().text(length_m)
        return tell(
            "{paces:.0f} of your double paces ({metres:.0f} m)",
            paces=float(paces),
            metres=float(length_m),
        )


LENGTHS = {words.unit.code: words for words in (InMetres, InFeet, InPaces)}
IN_METRES = InMetres()
DESK_LENGTHS = {METRES.code: IN_METRES, FEET.code: InFeet()}
# Of whoever is at a desk, for one request, as their language is (`views.reader_lengths`). What a
# participant is told stands in arguments: it is made for several people at once.
_AT_THE_DESK: ContextVar[InMetres] = ContextVar("lengths at the desk", default=IN_METRES)


@contextmanager
def reading_lengths(code):
    """While it lasts, lengths at the desk are told in the unit of a code; in metres for any other
    code, and for paces, which are nobody's there.
    """
    token = _AT_THE_DESK.set(DESK_LENGTHS.get(code, IN_METRES))
    try:
        yield
    finally:
        _AT_THE_DESK.reset(token)


def desk_lengths():
    """The words of the unit in which lengths are told at the desk."""
    return _AT_THE_DESK.get()


def desk_length(length_m):
    """A length as it is told at the desk: `60 m`, `197 ft`."""
    return desk_lengths().text(length_m)


def lengths_in(code, pace_m=None):
    """The words of a unit of lengths, by its code, for somebody with a double pace."""
    return LENGTHS[code](pace_m)
