"""The rounds on which end of the needle is boxed, and how the quarter tells."""

from ...domain.words import say
from ...drawing import svg
from ...drawing.signs import sign
from ...languages import tell, told
from ..causes import advice_on, sentence_on
from ..remedies import QUARTERS
from .base import Drawing, RoundWords, compass

QUARTER_NAMES = dict(
    zip(("north_east", "south_east", "south_west", "north_west"), QUARTERS, strict=True)
)


class Needle(RoundWords):
    """Which end?"""

    repeat = say("The end of the needle marked N, often red, belongs in the orienting arrow.")
    NAMES = {
        "ahead": say("The end marked N, often red"),
        "back": say("The other end"),
    }
    OUT = {"ahead": 46, "back": -46}  # from the hub, where an end is tapped

    def ask(self, made):
        """The question."""
        return tell("You turn the housing. Which end of the needle belongs in the orienting arrow?")

    def drawing(self, made):
        """The compass, not boxed yet."""
        words = tell(
            "A compass from above. The N of its dial stands at the index line, and the needle is "
            "not boxed yet."
        )
        return compass(words, facing_deg=made.facing_deg, number_deg=made.number_deg)

    def named(self, made, choice):
        """The end."""
        return told(self.NAMES[choice.code])

    def place(self, made, choice):
        """The end's spot."""
        return svg.polar(-made.facing_deg, self.OUT[choice.code])

    def right_words(self, made):
        """What comes of it."""
        return tell(
            "With that end in the orienting arrow the compass reads {number}.",
            number=self.number_text(made, made.answer.expected_deg),
        )


class Quarter(RoundWords):
    """In which quarter?"""

    repeat = say("Say the quarter first, then the number.")
    BEGINS_DEG = {"north_east": 0, "south_east": 90, "south_west": 180, "north_west": 270}
    OUT = 62

    def ask(self, made):
        """The question."""
        return tell(
            "A compass reads {number}. In which quarter of the circle does that lie?",
            number=self.number_text(made, made.seen_deg),
        )

    def drawing(self, made):
        """The circle."""
        words = tell(
            "The circle of bearings: north at the top, east right, south below, west left."
        )
        return Drawing("rose", words, {})

    def named(self, made, choice):
        """The quarter."""
        return told(QUARTER_NAMES[choice.code])

    def place(self, made, choice):
        """The middle of the quarter."""
        return svg.polar(self.BEGINS_DEG[choice.code] + 45, self.OUT)

    def wrong_words(self, made, choice):
        """The numbers of that quarter, and what leads there."""
        begin = self.BEGINS_DEG[choice.code]
        return tell(
            "There lie the numbers from {begin} to {end}. {sentence}",
            begin=begin,
            end=begin + 90,
            sentence=sentence_on(choice.cause),
        )

    def right_words(self, made):
        """From where to where it runs."""
        return tell(
            "The quarter {quarter} holds the numbers from {begin} to {end}.",
            quarter=QUARTER_NAMES[made.right],
            begin=self.BEGINS_DEG[made.right],
            end=self.BEGINS_DEG[made.right] + 90,
        )


class Slip(RoundWords):
    """What went wrong?"""

    repeat = say(
        "Half a circle off: which end was boxed? A quarter off: where on the plate was it read?"
    )
    NAMES = {
        "reversed": say("The wrong end of the needle was boxed."),
        "quarter_turn": say("The number was read at the side of the plate."),
        "mirrored": say("East and west were exchanged."),
    }

    def ask(self, made):
        """The question."""
        return tell(
            "The bearing to a tower is {right}. Somebody reads {number}. What went wrong?",
            right=self.number_text(made, made.answer.expected_deg),
            number=self.number_text(made, made.seen_deg),
        )

    def drawing(self, made):
        """The circle with both directions."""
        right_deg = made.answer.expected_deg
        words = tell(
            "The circle of bearings: the tower lies at {right}, the number read at {number}.",
            right=self.number_text(made, right_deg),
            number=self.number_text(made, made.seen_deg),
        )
        over = (
            svg.line(0, 0, *svg.polar(right_deg, 92), klass="ray-answer"),
            svg.line(0, 0, *svg.polar(made.seen_deg, 92), klass="ray-reading"),
            sign("target", *svg.polar(right_deg, 84), 10),
        )
        return Drawing("rose", words, {}, over="".join(over))

    def named(self, made, choice):
        """The mistake."""
        return told(self.NAMES[choice.code])

    def right_words(self, made):
        """The mistake's own words."""
        return tell(
            "{sentence} {advice}",
            sentence=self.NAMES[made.right],
            advice=advice_on(made.right),
        )

    def wrong_words(self, made, choice):
        """The number to which that mistake would have led."""
        return tell(
            "That would give {number}, not {seen}.",
            number=self.number_text(made, choice.degrees),
            seen=self.number_text(made, made.seen_deg),
        )
