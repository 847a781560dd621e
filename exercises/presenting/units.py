"""How an angle is said in the unit of somebody's compass; with lengths (`lengths`) all that they
are told in. One object for each unit, found by its code; nobody asks which one it is.
"""

from dataclasses import dataclass

from .. import vocabulary
from ..domain.earth.angle_units import DEGREES, MIL_6000, MIL_6300, MIL_6400, unit_of
from ..domain.earth.norths import PRINTED_DECIMALS
from ..domain.words import say, together
from ..drawing.plan import bearing_text
from ..languages import tell, told
from .counted import as_counted
from .lengths import IN_METRES, InMetres
from .mil_causes import IN_MILS

IN_ORDER = ("true", "grid", "magnetic")  # of a key, and of a table of sight lines


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

    def fields(self, north):
        """The places for a bearing on a sheet: what stands beside each, and how many boxes."""
        return [(told(vocabulary.NORTHS[north]), self.unit.digits)]

    def write_all(self):
        """How a number is to be written on a sheet."""
        return tell("Read to the tick, then write three digits: 007, not\u00a07.")

    def answer_head(self):
        """What stands above the boxes of a sheet that has nothing but numbers."""
        return tell("Your answer: three digits")

    def step(self, step_deg):
        """The step of a dial."""
        return tell("{degrees:g}°", degrees=float(step_deg))

    def number(self, bearing_deg):
        """A bearing as a number alone: `074°`."""
        return f"{self.unit.figures(bearing_deg)}°"

    def band(self, band):
        """The tolerances of a bearing."""
        return tell(
            "full ± {full:g}°, part ± {part:g}°",
            full=float(band.full_credit_deg),
            part=float(band.part_credit_deg),
        )

    def bearing(self, bearing_deg, north):
        """A bearing with its unit and its north: `074° magnetic`."""
        return bearing_text(bearing_deg, north)

    def in_each_north(self, norths, bearing_deg, north):
        """A direction in each north, so that whoever adds up the figures shown for the norths comes
        to it: `110.5° true`, `108.5° grid`, `084.9° magnetic`.
        """
        shown = norths.printed_bearings(bearing_deg, north)
        return [bearing_text(shown[other], other, PRINTED_DECIMALS) for other in IN_ORDER]

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

    def fields(self, north):
        """Four boxes."""
        return [(self.beside(north), self.unit.digits)]

    def write_all(self):
        """With four digits."""
        return tell("Read to the tick, then write four digits: 0132, not\u00a0132.")

    def answer_head(self):
        """With four digits."""
        return tell("Your answer: four digits")

    def step(self, step_deg):
        """`20 mils`."""
        return tell("{mils} {unit}", mils=round(self.unit.number(step_deg)), unit=self.name)

    def number(self, bearing_deg):
        """`1316 mils`."""
        return tell("{mils} {unit}", mils=self.unit.figures(bearing_deg), unit=self.name)

    def band(self, band):
        """In whole mils."""
        return tell(
            "full ± {full:.0f}, part ± {part:.0f} {unit}",
            full=self.unit.number(band.full_credit_deg),
            part=self.unit.number(band.part_credit_deg),
            unit=self.name,
        )

    def bearing(self, bearing_deg, north):
        """`1316 mils magnetic`."""
        return tell(
            "{mils} {unit} {north}",
            mils=self.unit.figures(bearing_deg),
            unit=self.name,
            north=vocabulary.NORTHS[north],
        )

    def in_each_north(self, norths, bearing_deg, north):
        """To the whole mil, apart by what the rules say."""
        here = round(self.unit.number(bearing_deg))
        return [
            self.bearing(
                self.unit.degrees(here + self.sum_rule(norths, north, other)[0]) % 360.0, other
            )
            for other in IN_ORDER
        ]

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


class InSeveral(InDegrees):
    """Angles for a class whose compasses are marked in several units, on what all of them see: a
    card, a sheet, the key. `parts` are the words of each unit, the class's own first.
    """

    def __init__(self, parts):
        self.parts = parts
        self.unit = parts[0].unit

    @property
    def name(self):
        """`degrees or mils`."""
        *before, last = (part.name for part in self.parts)
        return say("{some} or {last}", some=together(before, ", "), last=last)

    def bearing(self, bearing_deg, north):
        """`074° magnetic (1316 mils)`."""
        first, *others = self.parts
        return tell(
            "{bearing} ({others})",
            bearing=first.bearing(bearing_deg, north),
            others=", ".join(part.number(bearing_deg) for part in others),
        )

    def in_each_north(self, norths, bearing_deg, north):
        """One unit beside the other."""
        texts = (part.in_each_north(norths, bearing_deg, north) for part in self.parts)
        return [" / ".join(alike) for alike in zip(*texts, strict=True)]

    def fields(self, north):
        """Each unit under the other."""
        return [
            (part.beside(north), digits)
            for part in self.parts
            for _beside, digits in part.fields(north)
        ]

    def write_all(self):
        """Where one's own compass has its figures."""
        return tell(
            "Read to the tick. Write where your compass belongs: three digits for degrees, four "
            "for mils."
        )

    def answer_head(self):
        """Whatever they are."""
        return tell("Your answer")

    def number(self, bearing_deg):
        """`074° / 1316 mils`."""
        return " / ".join(part.number(bearing_deg) for part in self.parts)

    def band(self, band):
        """In each."""
        return "\n".join(part.band(band) for part in self.parts)


IN_DEGREES = InDegrees()
ANGLES = {
    words.unit: words
    for words in (IN_DEGREES, InMils(MIL_6400), InMils(MIL_6300), InMils(MIL_6000))
}


def angles_in(unit):
    """The words of a unit of angles."""
    return ANGLES[unit]


def angles_of_class(units):
    """The words for what a whole class sees, of the units of its compasses."""
    parts = [ANGLES[unit] for unit in units]
    return InSeveral(parts) if len(parts) > 1 else parts[0]


def angles_seen_by(course_class, judged):
    """The words for what a whole class sees of its readings: the class's own unit first, then those
    in which somebody read.
    """
    read_in = (reading.reading.instrument.unit for reading in judged)
    return angles_of_class(list(dict.fromkeys([unit_of(course_class.unit), *read_in])))


def angles_of(judged):
    """The words of the unit in which a reading was made."""
    return ANGLES[judged.reading.instrument.unit]


def compasses_text(compasses):
    """Compasses by their numbers, each with the step of its dial: `1 (2°, set), 2 (20 mils)`; as
    one counts, 2 before 10.
    """
    counted = sorted(compasses, key=lambda one: as_counted(one.number))
    return ", ".join(map(_compass_text, counted))


def _compass_text(compass):
    step = ANGLES[unit_of(compass.unit)].step(compass.graduation_deg)
    if compass.declination_is_set:
        return tell("{number} ({step}, set)", number=compass.number, step=step)
    return f"{compass.number} ({step})"


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
