"""One reading against its answer: signed errors in every north, and credit by the band."""

from dataclasses import dataclass

from ..earth.angles import difference
from ..earth.ellipse import SCALE_95
from ..earth.norths import NORTHS
from ..tasks import places
from ..tasks.bands import FULL, NONE, PARTIAL
from ..tasks.kinds import is_place, kind_of
from ..tasks.places import Miss


@dataclass(frozen=True)
class Grade:
    """`error_deg` is reading minus answer in the asked north, and decides the credit; `errors_deg`
    is that against each north, the number being taken as one in that north. `reading_deg` is the
    direction of what was seen, in the asked north. An answer that is a place has a `miss` instead,
    and no direction."""

    reading_deg: float | None
    error_deg: float | None
    errors_deg: dict
    credit: float
    miss: Miss | None = None


def grade(answer, seen):
    """The grade of what was seen. `answer` may be widened for the person (`Answer.widened`)."""
    if is_place(answer):
        return _grade_place(answer.where, seen, kind_of(answer.kind).is_right(answer, seen))
    reading_deg = kind_of(answer.kind).direction(answer, seen)
    errors_deg = {north: difference(reading_deg, answer.bearings_deg[north]) for north in NORTHS}
    errors_deg[answer.north] = error_deg = kind_of(answer.kind).error_deg(answer, seen)
    return Grade(reading_deg, error_deg, errors_deg, answer.band.credit(error_deg))


def _grade_place(where, seen, is_right):
    """By the band in metres, or within the 95 % ellipse of sound technique where that reaches
    further: nobody pays for lines that cut badly. A wrong spot earns nothing where the right one
    could have been named, but for one within the bands."""
    miss = places.miss(where, seen)
    full = (
        is_right
        or miss.error_m <= where.full_m + 1e-9
        or (not seen.spot and miss.units <= SCALE_95)
    )
    return Grade(
        None,
        None,
        {},
        FULL if full else PARTIAL if miss.error_m <= where.part_m + 1e-9 else NONE,
        miss,
    )
