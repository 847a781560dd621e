"""The rounds with the needle: hold and face, box the needle, read the dial."""

from ...domain.earth.angles import difference, three_digits
from ...domain.planning import practice
from ...domain.planning.sighted_rounds import LABELS_DEG
from ...domain.tasks.kinds import kind_of
from ...domain.words import say, together
from ...drawing import svg
from ...drawing.baseplate import AROUND, HOUSING
from ...languages import tell, tell_many, told
from ..practice import LANDMARKS, wrong_words
from .base import Drawing, NumberChoices, RoundWords, SeenChoices, compass


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
        """How the compass stands at first, and where the one mistake leads in which the needle
        does lie in the arrow. Who has not boxed it has not read it wrong: nothing else is said of.
        """
        kind = kind_of(made.answer.kind)
        return {
            "turn": {
                "facing": made.facing_deg,
                "number": made.number_deg,
                "answer_deg": made.answer.expected_deg,
                "within_deg": made.answer.band.full_credit_deg,
                "ahead": {"code": "A", "name": told(LANDMARKS["hill"]["A"])},
                "wrongs": [
                    wrong_words(wrong, kind.setting)
                    for wrong in practice.wrongs(made.answer)
                    if wrong.cause == "reversed"
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

    def wrong_words(self, made, choice):
        """The number to which it leads: the needle is boxed, and nothing is to be said of it."""
        return told(together([*self.consequence(made, choice), self.repeat]))

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
