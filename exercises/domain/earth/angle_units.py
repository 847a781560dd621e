"""The units in which compasses are graduated: degrees, and three sorts of mils.

All reckoning is in degrees; a unit says what a number on its dial is worth, how many figures are
written of it, and which slips its figures allow. A unit is one object with methods, found by its
code: nobody asks which one it is.
"""

from __future__ import annotations

from dataclasses import dataclass


class UnknownUnit(ValueError):
    """A code that no unit has."""


@dataclass(frozen=True, eq=False)
class AngleUnit:
    """A graduation of the circle, clockwise from a north.

    `circle` is how many of it make a full circle, `digits` how many figures are written. `steps`
    are the graduations that dials have, finest first, in the unit, and `usual_step` is that of the
    usual dial. `labels` are the two distances
    between printed numbers that are usual, the wider first; `first_digit` is what one of the first
    figure is worth. `has_fives` says whether there are counts of how often people write multiples
    of five (real ones exist of degrees alone). There is one object of each, compared as such.
    """

    code: str
    circle: int
    digits: int
    steps: tuple[float, ...]
    usual_step: float
    labels: tuple[float, float]
    first_digit: int
    has_fives: bool = False

    def __reduce__(self) -> tuple[object, tuple[str]]:
        """A copy is the same object."""
        return unit_of, (self.code,)

    def degrees(self, number: float) -> float:
        """What a number of it is in degrees, unwrapped.

        >>> MIL_6400.degrees(1600), DEGREES.degrees(74.5)
        (90.0, 74.5)
        """
        return number * 360.0 / self.circle

    def number(self, angle_deg: float) -> float:
        """Degrees as a number of it, unwrapped."""
        return angle_deg * self.circle / 360.0

    def whole(self, angle_deg: float) -> int:
        """A direction to the whole unit, in [0, circle).

        >>> MIL_6400.whole(74.0), MIL_6400.whole(359.99), DEGREES.whole(359.6)
        (1316, 0, 0)
        """
        return round(self.number(angle_deg)) % self.circle

    def figures(self, angle_deg: float) -> str:
        """A direction as it is said and written: to the whole unit, always all its figures.

        >>> MIL_6400.figures(7.4), DEGREES.figures(7.4)
        ('0132', '007')
        """
        return f"{self.whole(angle_deg):0{self.digits}d}"

    def swapped(self, number: int) -> list[int]:
        """The whole numbers under a circle that are this one with two neighbouring figures
        exchanged, itself left out.

        >>> DEGREES.swapped(74), MIL_6400.swapped(1316)
        ([47], [1136, 1361, 3116])
        """
        figures = f"{number:0{self.digits}d}"
        others = {
            int(figures[:at] + figures[at + 1] + figures[at] + figures[at + 2 :])
            for at in range(self.digits - 1)
        }
        return sorted(other for other in others if other < self.circle and other != number)

    def dropped(self, number: int) -> list[int]:
        """The whole numbers that this one becomes when a figure is left out, each once."""
        figures = f"{number:0{self.digits}d}"
        others = {int(figures[:at] + figures[at + 1 :]) for at in range(self.digits)}
        return sorted(others - {number})

    def before_dropping(self, number: int) -> dict[int, int]:
        """The whole numbers under a circle that become this one, of a figure less, when a figure is
        left out, each with in how many ways of `digits`.
        """
        if number >= 10 ** (self.digits - 1):
            return {}
        short = f"{number:0{self.digits - 1}d}"
        ways: dict[int, int] = {}
        for place in range(self.digits):
            for digit in "0123456789":
                whole = int(short[:place] + digit + short[place:])
                if whole < self.circle and whole != number:
                    ways[whole] = ways.get(whole, 0) + 1
        return ways

    def first_digit_off(self, number: int) -> list[int]:
        """The whole numbers under a circle whose first figure is one less, and one more."""
        step = self.first_digit
        return [other for other in (number - step, number + step) if 0 <= other < self.circle]

    def labels_off(self) -> tuple[tuple[float, float], ...]:
        """By how many degrees a reading is off that starts from a wrong printed number, with what
        share of one way: one label off is as common as two of the narrower ones.
        """
        wide, narrow = (self.degrees(label) for label in self.labels)
        return (narrow, 0.35), (-narrow, 0.35), (wide, 0.15), (-wide, 0.15)

    @property
    def step_deg(self) -> float:
        """What one of it is in degrees."""
        return self.degrees(1.0)


DEGREES = AngleUnit("deg", 360, 3, (1.0, 2.0, 5.0), 2.0, (20.0, 10.0), 100, has_fives=True)
# The NATO mil: 6400 to the circle, 17.78 to a degree (US Army FM 3-25.26, 6-1; NIST SP 811 B.8
# gives 5.625 E-02 degrees to a mil, from memory). A dial of mils is ticked every 10, 20, 50 or
# 100, and numbered every 100 or 200: common practice, no source.
MIL_STEPS = (10.0, 20.0, 50.0, 100.0)
MIL_6400 = AngleUnit("mil6400", 6400, 4, MIL_STEPS, 20.0, (200.0, 100.0), 1000)
# The Swedish streck, 6300 to the circle; and the mil of 6000 on dials from the east of Europe.
# Both from memory; no standard was at hand.
MIL_6300 = AngleUnit("mil6300", 6300, 4, MIL_STEPS, 20.0, (200.0, 100.0), 1000)
MIL_6000 = AngleUnit("mil6000", 6000, 4, MIL_STEPS, 20.0, (200.0, 100.0), 1000)
UNITS = {unit.code: unit for unit in (DEGREES, MIL_6400, MIL_6300, MIL_6000)}
# What is taken for what: who has degrees before them may read the mils of a dial with two scales,
# and the other way round.
_TAKEN_FOR = {DEGREES: MIL_6400, MIL_6400: DEGREES, MIL_6300: DEGREES, MIL_6000: DEGREES}


def unit_of(code: str) -> AngleUnit:
    """The unit of a code. Raises UnknownUnit."""
    try:
        return UNITS[code]
    except KeyError:
        raise UnknownUnit(code) from None


def taken_for(unit: AngleUnit) -> AngleUnit:
    """The unit that is read by mistake where this one is asked."""
    return _TAKEN_FOR[unit]
