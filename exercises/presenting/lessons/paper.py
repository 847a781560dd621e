"""The rounds without the needle: a bearing off the map, and the declination both ways."""

from ...domain.earth.angles import three_digits
from ...domain.planning.paper_rounds import SHEET
from ...domain.words import say
from ...drawing import lesson as drawings
from ...drawing.plan import bearing_text
from ...languages import tell, told
from ..answers import words_of
from ..north_sentences import declination_text, place_sentence, sentence_between
from .base import SLANTING, Drawing, NumberChoices, RoundWords
from .ends import QUARTER_NAMES


class OnSheet(RoundWords):
    """A round on the map lesson's sheet."""

    shows_line = True

    def drawing(self, made):
        """The sheet with its points, and in words how far apart the two are."""
        answer = made.answer
        over = drawings.points(SHEET, answer.station, answer.target if self.shows_line else "")
        return Drawing("sheet", self._in_words(answer), {}, over="".join(over))

    def _in_words(self, answer):
        (west, south), (east, north) = SHEET[answer.station], SHEET[answer.target]
        return tell(
            "A map with lines to true north. From {begin} to {end} it is {east_or_west} and "
            "{north_or_south}.",
            begin=drawings.NAMES[answer.station],
            end=drawings.NAMES[answer.target],
            east_or_west=_east_or_west(east - west),
            north_or_south=_north_or_south(north - south),
        )

    def _ends(self, made):
        return {
            "begin": drawings.NAMES[made.answer.station],
            "end": drawings.NAMES[made.answer.target],
        }


def _east_or_west(metres):
    if metres > 0:
        return tell("{metres:.0f} m east", metres=metres)
    return tell("{metres:.0f} m west", metres=-metres)


def _north_or_south(metres):
    if metres > 0:
        return tell("{metres:.0f} m north", metres=metres)
    return tell("{metres:.0f} m south", metres=-metres)


class Edge(OnSheet):
    """Which way does the edge run?"""

    shows_line = False
    repeat = say("The travel arrow runs from where you are to where you want to go.")

    def ask(self, made):
        """The question."""
        return tell(
            "You want the bearing from {begin} to {end}. To which point does the travel arrow run?",
            **self._ends(made),
        )

    def named(self, made, choice):
        """The point."""
        return told(drawings.NAMES[choice.code])

    def place(self, made, choice):
        """The point's spot."""
        return drawings.on_sheet(SHEET[choice.code])

    def right_words(self, made):
        """Which way it runs."""
        return tell("The arrow runs from {begin} to {end}.", **self._ends(made))


class Housing(OnSheet):
    """How does the housing lie?"""

    repeat = say("The N of the housing to the top of the sheet, its lines along the sheet’s.")
    NAMES = {
        "ahead": say("The N of the housing towards the top of the sheet"),
        "back": say("The N of the housing towards the bottom of the sheet"),
        "right": say("The lines of the housing across the lines of the sheet"),
    }

    def ask(self, made):
        """The question."""
        return tell(
            "The edge lies from {begin} to {end}. In which drawing is the housing turned right?",
            **self._ends(made),
        )

    def drawing(self, made):
        """Nothing: the choices are drawings."""
        return None

    def named(self, made, choice):
        """How the housing lies."""
        return told(self.NAMES[choice.code])

    def picture(self, made, choice):
        """The compass on the sheet, its edge along the line."""
        return Drawing(
            "compass",
            self.named(made, choice),
            {"housing": -choice.degrees, "whole": made.answer.expected_deg},
            without=("needle", "horizon"),
            box=SLANTING,
            under="".join(drawings.north_lines()),
        )

    def right_words(self, made):
        """The number that is read then."""
        return tell(
            "Now the number at the index line is the bearing: {number}. The needle may point "
            "anywhere.",
            number=self.number_text(made, made.answer.expected_deg),
        )


class Estimate(NumberChoices, OnSheet):
    """Which number can it be?"""

    repeat = say("Name the quarter of the line before you measure.")

    def ask(self, made):
        """The question."""
        return tell(
            "Before you measure: which bearing can it be from {begin} to {end}?",
            **self._ends(made),
        )

    def named(self, made, choice):
        """The number."""
        return f"{three_digits(choice.degrees)}°"

    def right_words(self, made):
        """The quarter of the line."""
        quarter = int(made.answer.expected_deg // 90)
        return tell(
            "The line runs into the quarter {quarter}: from {begin} to {end}.",
            quarter=tuple(QUARTER_NAMES.values())[quarter],
            begin=90 * quarter,
            end=90 * quarter + 90,
        )


class Needless(NumberChoices, OnSheet):
    """Does it need a sum?"""

    repeat = say("In the north of the sheet’s own lines, a bearing needs no sum.")

    def ask(self, made):
        """The question."""
        return tell(
            "Along the lines of the sheet you measured {number}°. Which bearing is it in degrees "
            "true?",
            number=three_digits(made.answer.expected_deg),
        )

    def note(self, made):
        """The declination, which is not wanted."""
        return tell(
            "The lines show true north. The declination here is {declination}.",
            declination=declination_text(made.answer.norths.declination_deg),
        )

    def named(self, made, choice):
        """The number."""
        return bearing_text(choice.degrees, "true")

    def right_words(self, made):
        """None."""
        return told(self.repeat)


class Convert(NumberChoices, RoundWords):
    """From one north to the other."""

    repeat = say("Say the sentence of the place. On the way back, do the opposite.")

    def ask(self, made):
        """The question."""
        return words_of(made.answer).prompt(made.answer, {})

    def note(self, made):
        """The declination, and the sentence of the way from the compass to the map."""
        norths = made.answer.norths
        return tell(
            "Declination {declination}. {sentence}",
            declination=declination_text(norths.declination_deg),
            sentence=sentence_between(norths, "magnetic", "true"),
        )

    def drawing(self, made):
        """The two norths and the direction."""
        norths = made.answer.norths
        words = tell(
            "True north at the top, magnetic north {declination} of it, and the direction on the "
            "ground.",
            declination=declination_text(norths.declination_deg),
        )
        true_deg = made.answer.bearings_deg["true"]
        arcs = (
            drawings.angle_from(0.0, true_deg, 52, "arc-true"),
            drawings.angle_from(norths.declination_deg, true_deg, 66, "arc-magnetic"),
        )
        return Drawing(f"norths {made.place}", words, {"direction": true_deg}, over="".join(arcs))

    def named(self, made, choice):
        """The number."""
        return bearing_text(choice.degrees, made.answer.north)

    def right_words(self, made):
        """The sentence that leads to it."""
        return tell(
            "{sentence} {given} becomes {number}.",
            sentence=place_sentence(made.answer),
            given=bearing_text(made.answer.given_deg, made.answer.given_north),
            number=self.number_text(made, made.answer.expected_deg),
        )
