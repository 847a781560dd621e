"""True, grid and magnetic north at one place on one day, and bearings turned from one into
another.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..words import say
from .angles import wrap

NORTHS: tuple[str, ...] = ("magnetic", "true", "grid")
PRINTED_DECIMALS = 1  # of D and C, where figures are shown


class UnknownNorth(ValueError):
    """A north that is none of magnetic, true and grid."""


@dataclass(frozen=True)
class Norths:
    """Where the norths lie, in degrees east of true north: `declination_deg` magnetic,
    `convergence_deg` grid.
    """

    declination_deg: float
    convergence_deg: float

    @property
    def grid_magnetic_deg(self) -> float:
        """The G-M angle: magnetic north, east of grid north positive, D - C. Source: FM 3-25.26,
        6-6.
        """
        return self.declination_deg - self.convergence_deg

    def east_of_true(self, north: str) -> float:
        """How far a north lies east of true north, in degrees. Raises UnknownNorth."""
        try:
            return {"true": 0.0, "grid": self.convergence_deg, "magnetic": self.declination_deg}[
                north
            ]
        except KeyError:
            raise UnknownNorth(
                say(
                    "“{north}” is not a north. Use one of: {norths}.",
                    north=north,
                    norths=", ".join(NORTHS),
                )
            ) from None

    def turn(self, bearing_deg: float, given: str, asked: str) -> float:
        """A bearing from one north as a bearing from another: magnetic = true - D, grid = true - C.

        >>> Norths(declination_deg=8, convergence_deg=1).turn(74, given="true", asked="magnetic")
        66.0
        """
        return wrap(bearing_deg + self.correction(given, asked))

    def correction(self, given: str, asked: str) -> float:
        """What is added to a bearing from the given north to have it from the asked one, in
        degrees.
        """
        return self.east_of_true(given) - self.east_of_true(asked)

    def as_printed(self) -> Norths:
        """The norths as figures are shown: D and C each rounded to PRINTED_DECIMALS, so that
        whoever adds them up comes to the sum that stands beside them.

        >>> Norths(25.64, 2.05).as_printed()
        Norths(declination_deg=25.6, convergence_deg=2.0)
        """
        return Norths(_rounded(self.declination_deg), _rounded(self.convergence_deg))

    def printed_correction(self, given: str, asked: str) -> float:
        """`correction` reckoned from the figures that are shown, degrees to PRINTED_DECIMALS.

        >>> Norths(25.64, 2.14).printed_correction("grid", "magnetic")
        -23.5
        """
        return _rounded(self.as_printed().correction(given, asked))

    def printed_bearings(self, bearing_deg: float, north: str) -> dict[str, float]:
        """One direction from every north, degrees to PRINTED_DECIMALS in [0, 360), so that they lie
        apart by what `printed_correction` shows. The one from `north`, in which the direction is
        given, is rounded; the others follow from it, and lie within 0.15 degrees of where `turn`
        leads.

        >>> Norths(25.64, 2.05).printed_bearings(84.86, "magnetic")
        {'magnetic': 84.9, 'true': 110.5, 'grid': 108.5}
        """
        steps = 10**PRINTED_DECIMALS  # counted in whole steps: sums of decimals would be a hair off
        here = round(bearing_deg * steps)
        return {
            other: (here + round(self.printed_correction(north, other) * steps))
            % (360 * steps)
            / steps
            for other in NORTHS
        }

    def whole_correction(self, given: str, asked: str) -> int:
        """What people add to a bearing in their head: `printed_correction` in whole degrees, halves
        away from nought. The only figure that is spoken or printed as a rule.

        >>> Norths(25.64, 2.14).whole_correction("grid", "magnetic")
        -24
        """
        shown_deg = self.printed_correction(given, asked)
        return int(math.copysign(math.floor(abs(shown_deg) + 0.5), shown_deg))

    def turned_aloud(self, bearing_deg: float, given: str, asked: str) -> float:
        """A bearing turned as people do it in their head: the three digits that are shown, and the
        whole figure of the rule. Up to a degree from `turn`, and what the sum on the sheet gives.

        >>> Norths(25.6, 2.1).turned_aloud(36.6, "magnetic", "grid")
        61.0
        """
        return wrap(round(wrap(bearing_deg)) + self.whole_correction(given, asked))


def _rounded(degrees: float) -> float:
    """An angle as it is shown; a rounded -0.0 is 0.0."""
    return round(degrees, PRINTED_DECIMALS) + 0.0
