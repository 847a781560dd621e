"""One reading against its answer: signed errors in every north, and credit by the band."""
from dataclasses import dataclass

from .angles import difference
from .kinds import kind_of
from .norths import NORTHS


@dataclass(frozen=True)
class Grade:
    """`error_deg` is reading minus answer in the asked north, and decides the credit; `errors_deg` is that against each north,
    the number being taken as one in that north. `reading_deg` is the direction of what was seen, in the asked north."""

    reading_deg: float
    error_deg: float
    errors_deg: dict
    credit: float


def grade(answer, seen):
    """The grade of what was seen. `answer` may be widened for the person (`Answer.widened`)."""
    reading_deg = kind_of(answer.kind).direction(answer, seen)
    errors_deg = {north: difference(reading_deg, answer.bearings_deg[north]) for north in NORTHS}
    return Grade(reading_deg, errors_deg[answer.north], errors_deg, answer.band.credit(errors_deg[answer.north]))
