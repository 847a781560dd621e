"""The rounds with the needle: hold and face, box the needle, read the dial, which end."""

from ...domain.earth.angles import difference, three_digits
from ...domain.planning import practice
from ...domain.planning.sighted_rounds import LABELS_DEG
from ...domain.tasks.kinds import kind_of
from ...domain.words import say
from ...drawing import svg
from ...drawing.baseplate import AROUND, HOUSING
from ...drawing.signs import sign
from ...languages import tell, tell_many, told
from ..causes import advice_on, sentence_on
from ..practice import LANDMARKS, wrong_words
from ..remedies import QUARTERS
from .base import Drawing, NumberChoices, RoundWords, SeenChoices, compass

QUARTER_NAMES = dict(
    zip(("north_east", "south_east", "south_west", "north_west"), QUARTERS, strict=True)
)


class Hold(SeenChoices, RoundWords):
    """How is it held?"""

    repeat = say("Travel arrow away from you, and turn your feet.")
    NAMES = {
        "ahead": say("The travel arrow points away from you, at the windmill."),
        "back": say("The travel arrow points at yourself."),
        "right": say("The travel arrow points to your right."),
        "left": say("The travel arrow points to your left."),
    }
    PLATE_DEG = {"ahead": 0, "back": 180, "right": 90, "left": -90}

    def ask(self, made):
        """The question."""
        return tell(
            "You want the bearing to the windmill. In which drawing is the compass held so?"
        )

    def drawing(self, made):
        """Nothing: the choices are drawings."""
        return None

    def named(self, made, choice):
        """How the plate points."""
        return told(self.NAMES[choice.code])

    def picture(self, made, choice):
        """The person with the plate."""
        words = self.named(made, choice)
        return Drawing("held", words, {"plate": self.PLATE_DEG[choice.code]})

    def right_words(self, made):
        """The plate points as the person does."""
        return tell(
            "So it reads {number}, the bearing to the windmill.",
            number=self.number_text(made, made.answer.expected_deg),
        )


class Ahead(RoundWords):
    """At what does the arrow point?"""

    repeat = say("Look along the travel arrow, and name the thing, before you look at the number.")

    def ask(self, made):
        """The question."""
        return tell("At what does the travel arrow point?")

    def drawing(self, made):
        """The compass among what stands round it, each with its name."""
        landmarks = tuple(
            {
                "code": mark.code,
                "name": told(LANDMARKS["hill"][mark.code]),
                "turn": difference(mark.bearing_deg, made.facing_deg),
            }
            for mark in made.landmarks
        )
        around = ", ".join(
            tell("{name} {where}", name=mark["name"], where=where_text(mark["turn"]))
            for mark in landmarks
        )
        return compass(
            tell("A compass from above. Seen from its travel arrow: {around}.", around=around),
            facing_deg=made.facing_deg,
            number_deg=made.number_deg,
            landmarks=landmarks,
            without=(),
            box="",
        )

    def named(self, made, choice):
        """The landmark."""
        return told(LANDMARKS["hill"][choice.code])

    def place(self, made, choice):
        """Where the landmark stands round the compass."""
        return svg.polar(choice.degrees - made.facing_deg, AROUND)

    def right_words(self, made):
        """What lies ahead."""
        return tell(
            "Straight on along the travel arrow lies {name}.",
            name=LANDMARKS["hill"][made.right],
        )


def where_text(turn_deg):
    """Where something lies, seen from the travel arrow."""
    if abs(turn_deg) < 1.0:
        return tell("straight ahead")
    degrees = round(abs(turn_deg))
    if turn_deg > 0:
        return tell("{degrees}° to the right", degrees=degrees)
    return tell("{degrees}° to the left", degrees=degrees)


class Boxed(SeenChoices, RoundWords):
    """Is the needle boxed?"""

    repeat = say("Turn the housing until the north end of the needle lies in the orienting arrow.")
    NAMES = {
        "ahead": say("The north end of the needle lies in the orienting arrow."),
        "back": say("The south end of the needle lies in the orienting arrow."),
        "right": say("The needle lies across the orienting arrow."),
        "left_at_north": say("The N of the dial stands at the index line, the needle beside it."),
    }
    NUMBER_AT_NORTH_DEG = 0.0

    def ask(self, made):
        """The question."""
        return tell("In which drawing is the needle boxed?")

    def drawing(self, made):
        """Nothing: the choices are drawings."""
        return None

    def named(self, made, choice):
        """How the needle lies."""
        return told(self.NAMES[choice.code])

    def picture(self, made, choice):
        """The compass with the housing as it was turned."""
        at_north = choice.code == "left_at_north"
        return compass(
            self.named(made, choice),
            facing_deg=made.facing_deg,
            number_deg=self.NUMBER_AT_NORTH_DEG if at_north else choice.degrees,
        )

    def right_words(self, made):
        """Now the number counts."""
        return tell(
            "The north end lies in the orienting arrow. Now the number at the index line counts: "
            "{number}.",
            number=self.number_text(made, made.answer.expected_deg),
        )


class Turn(RoundWords):
    """Box it."""

    repeat = Boxed.repeat

    def ask(self, made):
        """The question."""
        return tell("Turn the housing until the needle is boxed.")

    def drawing(self, made):
        """Nothing: the compass is there to be turned."""
        return None

    def named(self, made, choice):
        """There is nothing to choose."""
        return ""

    def right_words(self, made):
        """The number that stands there."""
        return tell(
            "The needle is boxed. At the index line stands {number}.",
            number=self.number_text(made, made.answer.expected_deg),
        )

    def extra(self, made):
        """How the compass stands at first, and where mistakes lead."""
        kind = kind_of(made.answer.kind)
        return {
            "turn": {
                "facing": made.facing_deg,
                "number": made.number_deg,
                "answer_deg": made.answer.expected_deg,
                "within_deg": made.answer.band.full_credit_deg,
                "ahead": {"code": "A", "name": told(LANDMARKS["hill"]["A"])},
                "wrongs": [
                    wrong_words(wrong, kind.setting) for wrong in practice.wrongs(made.answer)
                ],
            }
        }


class Where(RoundWords):
    """Where is it read?"""

    repeat = say("Read at the index line, under the travel arrow, and nowhere else.")
    NAMES = {
        "ahead": say("Under the travel arrow"),
        "back": say("At the end towards you"),
        "right": say("At the right side of the plate"),
        "left": say("At the left side of the plate"),
    }
    TURN_DEG = {"ahead": 0, "right": 90, "back": 180, "left": 270}
    OUT = HOUSING - 6  # where on the ring it is tapped

    def ask(self, made):
        """The question."""
        return tell("The needle is boxed. Where is the bearing read?")

    def drawing(self, made):
        """The compass, boxed."""
        words = tell("A compass from above, its needle boxed, its travel arrow pointing ahead.")
        return compass(words, facing_deg=made.facing_deg, number_deg=made.number_deg)

    def named(self, made, choice):
        """The spot."""
        return told(self.NAMES[choice.code])

    def place(self, made, choice):
        """The spot on the ring."""
        return svg.polar(self.TURN_DEG[choice.code], self.OUT)

    def right_words(self, made):
        """The number there."""
        return tell(
            "At the index line. There stands {number}.",
            number=self.number_text(made, made.answer.expected_deg),
        )


class Read(NumberChoices, RoundWords):
    """What is read?"""

    repeat = say("From the printed number before the index line, count the ticks up.")

    def ask(self, made):
        """The question."""
        return tell("Which number stands at the index line?")

    def drawing(self, made):
        """The dial round the index line; in words what is printed and how many ticks there are."""
        before, ticks = self._counted(made)
        words = tell(
            "The dial at the index line. To its left is printed {before}, to its right {after}, "
            "with a tick every {step}°. From {before} the index line stands {ticks} on.",
            before=before,
            after=(before + LABELS_DEG) % 360,
            step=made.graduation_deg,
            ticks=tell_many("{number} tick", "{number} ticks", ticks),
        )
        return Drawing("window", words, {"housing": -made.number_deg})

    def _counted(self, made):
        """The printed number before the index line, and the ticks from there."""
        beyond = round(made.number_deg) % LABELS_DEG
        return round(made.number_deg) - beyond, beyond // made.graduation_deg

    def named(self, made, choice):
        """The number."""
        return f"{three_digits(choice.degrees)}°"

    def right_words(self, made):
        """How it is counted."""
        before, ticks = self._counted(made)
        return tell(
            "From {before}, {ticks} of {step}° on: {number}°.",
            before=before,
            ticks=tell_many("{number} tick", "{number} ticks", ticks),
            step=made.graduation_deg,
            number=three_digits(made.number_deg),
        )


class Needle(RoundWords):
    """Which end?"""

    repeat = say("The end of the needle marked N, often red, belongs into the orienting arrow.")
    NAMES = {
        "ahead": say("The end marked N, often red"),
        "back": say("The other end"),
    }
    OUT = {"ahead": 46, "back": -46}  # from the hub, where an end is tapped

    def ask(self, made):
        """The question."""
        return tell(
            "You turn the housing. Which end of the needle belongs into the orienting arrow?"
        )

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
            sentence=sentence_on(made.right),
            advice=advice_on(made.right),
        )

    def wrong_words(self, made, choice):
        """The number to which that mistake would have led."""
        return tell(
            "That would give {number}, not {seen}.",
            number=self.number_text(made, choice.degrees),
            seen=self.number_text(made, made.seen_deg),
        )
