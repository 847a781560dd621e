"""How a number is said in the unit that somebody has: angles in that of their compass, lengths in
the one that they chose. One object for each unit, found by its code; nobody asks which one it is.
"""

from dataclasses import dataclass

from .. import vocabulary
from ..domain.earth.angle_units import DEGREES, MIL_6000, MIL_6300, MIL_6400
from ..domain.earth.length_units import FEET, METRES, PACES
from ..drawing.plan import bearing_text
from ..languages import tell, told
from .mil_causes import IN_MILS


class InDegrees:
    """Angles in degrees. `otherwise` are words of causes that are said otherwise than of degrees
    (`mil_causes`).
    """

    unit = DEGREES
    otherwise = {}

    @property
    def name(self):
        """The unit as it stands in a sentence: `degrees`."""
        return vocabulary.UNITS[self.unit.code]

    def beside(self, north):
        """What stands beside the field into which a bearing is typed: `° magnetic`."""
        return f"°\u00a0{told(vocabulary.NORTHS[north])}"

    def on_sheet(self, north):
        """What stands beside the boxes of a sheet."""
        return told(vocabulary.NORTHS[north])

    def bearing(self, bearing_deg, north):
        """A bearing with its unit and its north: `074° magnetic`."""
        return bearing_text(bearing_deg, north)

    def explained(self, bearing_deg, north):
        """The same as it stands in a result."""
        return self.bearing(bearing_deg, north)

    def error(self, error_deg):
        """By how much a reading is off, and to which side.

        >>> InDegrees().error(-4.2)
        '4° anticlockwise of the answer.'
        """
        size = round(abs(error_deg))
        if size == 0:
            return tell("On the answer, to the degree.")
        if size == 180:
            return tell("Half a circle from the answer.")
        if error_deg > 0:
            return tell("{degrees}° clockwise of the answer.", degrees=size)
        return tell("{degrees}° anticlockwise of the answer.", degrees=size)

    def nothing_wrong(self, error_deg):
        """Of a reading without a mistake that is off."""
        return tell(
            "Nothing in particular went wrong: the reading is {degrees:.0f} degrees off.",
            degrees=abs(error_deg),
        )

    def sum_rule(self, norths, begin, end):
        """By how much a bearing is turned from one north into another here, as it is said: a number
        of the unit, and its size in words.
        """
        whole_deg = norths.whole_correction(begin, end)
        return whole_deg, f"{abs(whole_deg)}°"


class InMils(InDegrees):
    """Angles in one sort of mils, to the whole one, with the degrees beside them once where a
    result is explained.
    """

    otherwise = IN_MILS

    def __init__(self, unit):
        self.unit = unit

    def beside(self, north):
        """`mils magnetic`."""
        return tell("{unit} {north}", unit=self.name, north=vocabulary.NORTHS[north])

    def on_sheet(self, north):
        """The same."""
        return self.beside(north)

    def bearing(self, bearing_deg, north):
        """`1316 mils magnetic`."""
        return tell(
            "{mils} {unit} {north}",
            mils=self.unit.figures(bearing_deg),
            unit=self.name,
            north=vocabulary.NORTHS[north],
        )

    def explained(self, bearing_deg, north):
        """`1316 mils magnetic (074°)`."""
        return tell(
            "{bearing} ({degrees}°)",
            bearing=self.bearing(bearing_deg, north),
            degrees=DEGREES.figures(bearing_deg),
        )

    def error(self, error_deg):
        """In mils; half a circle is said in words."""
        size = abs(round(self.unit.number(error_deg)))
        if size == 0:
            return tell("On the answer, to the mil.")
        if size * 2 == self.unit.circle:
            return tell("Half a circle from the answer.")
        if error_deg > 0:
            return tell("{mils} {unit} clockwise of the answer.", mils=size, unit=self.name)
        return tell("{mils} {unit} anticlockwise of the answer.", mils=size, unit=self.name)

    def nothing_wrong(self, error_deg):
        """Of a reading without a mistake that is off."""
        return tell(
            "Nothing in particular went wrong: the reading is {mils} {unit} off.",
            mils=abs(round(self.unit.number(error_deg))),
            unit=self.name,
        )

    def sum_rule(self, norths, begin, end):
        """Of the figures that are shown in degrees, to the whole mil."""
        mils = round(self.unit.number(norths.printed_correction(begin, end)))
        return mils, tell("{mils} {unit}", mils=abs(mils), unit=self.name)


IN_DEGREES = InDegrees()
ANGLES = {
    words.unit: words
    for words in (IN_DEGREES, InMils(MIL_6400), InMils(MIL_6300), InMils(MIL_6000))
}


def angles_in(unit):
    """The words of a unit of angles."""
    return ANGLES[unit]


def angles_of(judged):
    """The words of the unit in which a reading was made."""
    return ANGLES[judged.reading.instrument.unit]


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


def lengths_in(code, pace_m=None):
    """The words of a unit of lengths, by its code, for somebody with a double pace."""
    return LENGTHS[code](pace_m)


@dataclass(frozen=True)
class Units:
    """In what somebody is told angles and lengths."""

    angles: InDegrees = IN_DEGREES
    lengths: InMetres = IN_METRES

    @property
    def are_usual(self):
        """Whether they are degrees and metres."""
        return self.angles is IN_DEGREES and self.lengths.is_usual


USUAL = Units()
