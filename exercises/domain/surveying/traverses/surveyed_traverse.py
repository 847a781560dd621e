"""A traverse on the ground of a site: from its field book to the positions of its corners."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from ...earth import geodesy, uncertainty
from ...earth.ellipse import Ellipse
from ...earth.geodesy import Position
from ...earth.magnetics import LOCAL_FIELD_DEG
from ...words import say
from ..survey import SurveyedGround
from .field_book import BadBook, BookLeg
from .leg_sets import Instruments, MeanLeg, OtherWay, bearings_text, mean_leg
from .traverse_adjustment import (
    Adjustment,
    MeasuredLeg,
    Traverse,
    adjust,
    angular_misclosure,
)
from .traverse_slip import Suspicion, suspect


@dataclass(frozen=True)
class PlacedCorner:
    """A corner of a traverse by its code: where it is as measured, by Bowditch's rule and by least
    squares, and the standard error ellipse of the last.
    """

    code: str
    measured: Position
    bowditch: Position
    adjusted: Position
    ellipse: Ellipse


@dataclass(frozen=True)
class SurveyedTraverse:
    """A traverse on its site: the means of its legs, what was added to their bearings to make them
    true, the declination that was used (None: the bearings were not magnetic), the adjustment, the
    angular misclosure in degrees (None: not known), which slip may explain the misclosure (None:
    none is needed), and its corners but the known ones at its ends.
    """

    legs: tuple[MeanLeg, ...]
    turned_deg: float
    declination_deg: float | None
    adjustment: Adjustment
    angular_misclosure_deg: float | None
    suspicion: Suspicion | None
    corners: tuple[PlacedCorner, ...]


def survey_traverse(
    site: SurveyedGround,
    book: Sequence[BookLeg],
    north: str,
    instruments: Instruments,
    *,
    on: datetime.date,
) -> SurveyedTraverse:
    """The corners of a traverse that begins at the first leg's start and ends at the last leg's
    end, both known points of a site, measured on a date with bearings from a named north.

    The norths are those of the start: over a kilometre they turn by hundredths of a degree. The
    declination's uncertainty turns all legs alike. Raises BadBook for a leg whose bearings point
    different ways, and what `site.north_of` raises.
    """
    start, end = site.point(book[0].start), site.point(book[-1].to)
    norths, declination = site.north_of(start.position, on)
    turned_deg = norths.correction(north, "true")
    is_magnetic = north == "magnetic"
    legs = _means(book, instruments)
    is_loop = book[0].start == book[-1].to
    traverse = Traverse(
        tuple(MeasuredLeg.of_set(leg, turned_deg) for leg in legs),
        start.error,
        geodesy.east_north_m(start.position, end.position),
        None if is_loop else end.error,
        uncertainty.combine([declination.uncertainty_deg, LOCAL_FIELD_DEG]) if is_magnetic else 0.0,
    )
    adjustment = adjust(traverse)
    return SurveyedTraverse(
        legs,
        turned_deg,
        declination.degrees if is_magnetic else None,
        adjustment,
        angular_misclosure(legs) if is_loop else None,
        None if adjustment.is_believable else suspect(traverse),
        tuple(
            PlacedCorner(
                leg.to,
                geodesy.moved(start.position, *corner.measured),
                geodesy.moved(start.position, *corner.bowditch),
                geodesy.moved(start.position, *corner.adjusted),
                corner.ellipse,
            )
            for leg, corner in zip(legs[:-1], adjustment.corners[:-1], strict=True)
        ),
    )


def _means(book: Sequence[BookLeg], instruments: Instruments) -> tuple[MeanLeg, ...]:
    """The legs by their sets. Raises BadBook with all whose bearings point different ways."""
    legs, problems = [], []
    for leg in book:
        try:
            legs.append(mean_leg(leg.start, leg.to, leg.observed, instruments))
        except OtherWay:
            problems.append(
                say(
                    "Line {line}: the bearings from {start} to {to} point different ways "
                    "({bearings}). A bearing read at the far end is written after a slash, as in "
                    "074/254.",
                    line=leg.observed[-1].line,
                    start=leg.start,
                    to=leg.to,
                    bearings=", ".join(bearings_text(one) for one in leg.observed),
                )
            )
    if problems:
        raise BadBook(problems)
    return tuple(legs)
