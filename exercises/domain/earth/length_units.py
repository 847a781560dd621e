"""The units in which lengths are told and typed: metres, feet, and the double paces of a person.

All reckoning is in metres. The foot is the international one, 0.3048 m exactly (agreement of 1959;
NIST SP 811, B.6). It is not the U.S. survey foot of 1200/3937 m, two millionths longer, which went
out of use at the end of 2022 (84 FR 55562): over any line that somebody walks the two are alike.
"""

from __future__ import annotations

from dataclasses import dataclass

FOOT_M = 0.3048


class UnknownLength(ValueError):
    """A code that no unit has."""


@dataclass(frozen=True)
class LengthUnit:
    """A unit of length: `metres` is what one of it is worth, or None of paces, which are worth what
    a person's are.
    """

    code: str
    worth_m: float | None

    def number(self, length_m: float, pace_m: float | None = None) -> float | None:
        """Metres as a number of it; None of paces that were not counted. `pace_m` is a double pace.

        >>> FEET.number(30.48), PACES.number(60.0, 1.5), PACES.number(60.0)
        (100.0, 40.0, None)
        """
        worth_m = self.worth_m or pace_m
        return length_m / worth_m if worth_m else None

    def metres(self, number: float, pace_m: float | None = None) -> float | None:
        """A number of it as metres; None of paces that were not counted."""
        worth_m = self.worth_m or pace_m
        return number * worth_m if worth_m else None


METRES = LengthUnit("m", 1.0)
FEET = LengthUnit("ft", FOOT_M)
PACES = LengthUnit("pace", None)
LENGTHS = {unit.code: unit for unit in (METRES, FEET, PACES)}


def length_of(code: str) -> LengthUnit:
    """The unit of a code. Raises UnknownLength."""
    try:
        return LENGTHS[code]
    except KeyError:
        raise UnknownLength(code) from None
