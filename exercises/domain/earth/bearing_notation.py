"""How a bearing is written in each unit: what a phone and a sheet take for one, by the unit of the
compass that it was read on.

Degrees are read by `angles`, which takes quadrants and words too. On a compass marked in mils a
number is mils, and what says that it is something else is refused in words: nothing is guessed.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod

from ..words import say
from .angle_units import DEGREES, MIL_6000, MIL_6300, MIL_6400, AngleUnit
from .angles import (
    LONGEST_TEXT,
    NotABearing,
    Written,
    parse_bearing,
    parse_bearing_on_paper,
    plain,
    wrap,
    written_in_mils,
)


class Notation(ABC):
    """How bearings are written in a unit."""

    @abstractmethod
    def parse(self, text: str, *, is_mils: bool = False) -> Written:
        """What was typed on a phone. `is_mils` is what the person said of a bare number where
        degrees were asked. Raises NotABearing.
        """

    @abstractmethod
    def parse_on_paper(self, text: str) -> Written:
        """What stands on a sheet, which cannot be asked. Raises NotABearing."""


class InDegrees(Notation):
    """Degrees; mils where the person says so, and on a sheet what is over 360."""

    def parse(self, text: str, *, is_mils: bool = False) -> Written:
        """Raises NotABearing, or PerhapsMils for what the person must be asked."""
        if is_mils and text.isdecimal():
            return written_in_mils(int(text))
        return parse_bearing(text)

    def parse_on_paper(self, text: str) -> Written:
        """A whole number over 360 is kept and read as mils."""
        return parse_bearing_on_paper(text)


# four figures before the mark; the word for them in the languages that the screens speak
FIGURES = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)\s*(?:mils?|milésimas?)?")


class InMils(Notation):
    """Mils of one sort: figures alone, with or without the word."""

    def __init__(self, unit: AngleUnit) -> None:
        self.unit = unit

    def parse(self, text: str, *, is_mils: bool = False) -> Written:
        """Takes `1316`, `0132`, `132`, `1316.5`, `1316 mil`; a full circle is north.

        >>> InMils(MIL_6400).parse("1600").degrees
        90.0
        """
        shown = text.strip()[:LONGEST_TEXT]
        match = FIGURES.fullmatch(plain(text)) if len(text) <= LONGEST_TEXT else None
        if not match:
            raise NotABearing(
                say(
                    "“{text}” is not a number of mils. Use four digits from 0000 to {most}.",
                    text=shown,
                    most=self.unit.circle,
                )
            )
        number = float(match[1])
        if number > self.unit.circle:
            raise NotABearing(
                say(
                    "“{text}” is more than a full circle of {most} mils. Use a number from 0000 "
                    "to {most}.",
                    text=shown,
                    most=self.unit.circle,
                )
            )
        return Written(wrap(self.unit.degrees(number)), unit=self.unit)

    def parse_on_paper(self, text: str) -> Written:
        """The same."""
        return self.parse(text)


NOTATIONS: dict[AngleUnit, Notation] = {
    DEGREES: InDegrees(),
    **{unit: InMils(unit) for unit in (MIL_6400, MIL_6300, MIL_6000)},
}


def notation_of(unit: AngleUnit) -> Notation:
    """How bearings are written in a unit."""
    return NOTATIONS[unit]
