"""The standard uncertainty of one answer, term by term.

Root sum of squares of uncorrelated terms, JCGM 100:2008 (GUM) 5.1.2 equation (10); limits +-a of
which nothing more is known count a / sqrt(3) (4.3.7).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..earth.magnetics import LOCAL_FIELD_DEG
from ..earth.uncertainty import COMPASS_LIMIT_DEG, across, combine, rounding

STAND_OFF_M = 0.3  # standing beside the mark, across the line; common practice, no source
# a baseplate compass as a protractor: 1-2 degrees; common practice, no source
PROTRACTOR_LIMIT_DEG = 2.0


@dataclass(frozen=True)
class Term:
    """One contribution: what it comes from, a key of `vocabulary.TERMS`, and its standard
    uncertainty in degrees.
    """

    name: str
    degrees: float


@dataclass(frozen=True)
class Budget:
    """The contributions to one answer. `answer_deg` concerns the key itself, `reading_deg` a
    perfect reading of it too.
    """

    terms: tuple[Term, ...]

    @property
    def total_deg(self) -> float:
        """Combined standard uncertainty, degrees."""
        return combine(term.degrees for term in self.terms)

    def degrees(self, *names: str) -> float:
        """Combined standard uncertainty of the named terms alone, degrees."""
        return combine(term.degrees for term in self.terms if term.name in names)

    def chance_within(self, limit_deg: float) -> float:
        """Probability that perfect technique, free of mistakes, ends within +-limit degrees of the
        answer (normal).
        """
        if self.total_deg <= 0:
            return 1.0
        return math.erf(limit_deg / (self.total_deg * math.sqrt(2.0)))


def of_sight_line(
    distance_m: float,
    station_accuracy_m: float,
    target_accuracy_m: float,
    declination_uncertainty_deg: float,
    graduation_deg: float = 2.0,
) -> Budget:
    """The budget of a compass bearing along a sight line.

    Accuracies are the standard uncertainty of each position across the line, metres. The
    declination counts whatever north is asked, because the needle is always in it. Standing off the
    mark acts over the length of the line.
    """
    return Budget(
        (
            Term("survey", across(math.hypot(station_accuracy_m, target_accuracy_m), distance_m)),
            Term("standing", across(STAND_OFF_M, distance_m)),
            Term("declination", combine((declination_uncertainty_deg, LOCAL_FIELD_DEG))),
            Term("compass", COMPASS_LIMIT_DEG / math.sqrt(3.0)),
            Term("scale", rounding(graduation_deg)),
        )
    )


def of_arithmetic() -> Budget:
    """The budget of an answer that is reckoned: whole degrees, of the bearing and of the angle
    applied to it.
    """
    return Budget((Term("rounding", combine((rounding(1.0), rounding(1.0)))),))


def of_map_bearing(graduation_deg: float = 2.0) -> Budget:
    """The budget of a bearing measured on a sheet with the compass as a protractor; the sheet's own
    error is small beside it.
    """
    return Budget(
        (
            Term("protractor", PROTRACTOR_LIMIT_DEG / math.sqrt(3.0)),
            Term("scale", rounding(graduation_deg)),
        )
    )
