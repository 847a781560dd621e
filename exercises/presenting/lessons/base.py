"""What every round of a lesson has: a question, a drawing, choices, and what is said of them.

What happened is said by the causes' own words, as in a class.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass

from ...domain.tasks.kinds import kind_of
from ...domain.words import say, together
from ...drawing.plan import bearing_text
from ...languages import told
from ..causes import advice_on, sentence_on


@dataclass(frozen=True)
class Drawing:
    """What a round is drawn on: the name of a drawing, how far its parts turn, degrees clockwise,
    which of them are left out, how it is cropped, and what lies under it and on it, as SVG. `words`
    say what it shows.
    """

    name: str
    words: str
    turns: dict
    without: tuple = ()
    box: str = ""
    under: str = ""
    over: str = ""
    landmarks: tuple = ()

    def plain(self):
        """As JSON can hold it."""
        return {key: value for key, value in vars(self).items() if value}


class NumberChoices:
    """Choices that are numbers: what comes of one is its name."""

    def consequence(self, made, choice):
        """Nothing beyond the number that was chosen."""
        return ()


class SeenChoices:
    """Choices that are drawings: what is wrong in one can be seen, and is said first."""

    def wrong_words(self, made, choice):
        """What the drawing shows, the number to which it leads, and what to do."""
        return told(
            together(
                [
                    self.NAMES[choice.code],
                    *self.consequence(made, choice),
                    self.repeat,
                ]
            )
        )


class RoundWords(ABC):
    """A round in words: what is asked, what is drawn, what each choice is called, what is said of
    the right one, and what to repeat of it.
    """

    repeat = say("")

    @abstractmethod
    def ask(self, made):
        """The question."""

    @abstractmethod
    def drawing(self, made):
        """What the question is about, as `Drawing`."""

    @abstractmethod
    def named(self, made, choice):
        """A choice by its name."""

    @abstractmethod
    def right_words(self, made):
        """What is said of the right choice."""

    def place(self, made, choice):
        """Where on the drawing a choice is tapped, (x, y), or None."""
        return None

    def picture(self, made, choice):
        """The drawing that is a choice, or None."""
        return None

    def number_text(self, made, degrees):
        """A number to which a choice leads, with its north."""
        return bearing_text(degrees, made.answer.north)

    def wrong_words(self, made, choice):
        """What happened: the number to which the mistake leads, and the cause's own words."""
        setting = kind_of(made.answer.kind).setting
        return told(
            together(
                [
                    *self.consequence(made, choice),
                    sentence_on(choice.cause, setting),
                    advice_on(choice.cause, setting),
                ]
            )
        )

    def consequence(self, made, choice):
        """What comes of a choice, in a sentence or in none: the number to which it leads."""
        yield say("That would give {number}.", number=self.number_text(made, choice.degrees))

    def extra(self, made):
        """What the page must know besides."""
        return {}

    def note(self, made):
        """What has to be known to answer, nothing as a rule."""
        return ""


CLOSE = "-118 -184 236 312"  # the plate without what lies round it
SLANTING = "-168 -168 336 336"


def compass(words, *, facing_deg=0.0, number_deg=0.0, **more):
    """The compass by itself with all norths in one: the needle stays with north, the housing shows
    a number at the index line.
    """
    turns = {"housing": -number_deg, "needle": -facing_deg}
    return Drawing("compass", words, turns, **{"without": ("horizon",), "box": CLOSE, **more})


def shown(words, made):
    """A round as its page needs it."""
    drawing = words.drawing(made)
    return {
        "ask": words.ask(made),
        "note": words.note(made),
        "repeat": told(words.repeat),
        "right": words.right_words(made),
        "drawing": drawing and drawing.plain(),
        "choices": [_choice(words, made, choice) for choice in made.choices],
        **words.extra(made),
    }


def _choice(words, made, choice):
    """A choice: its name, whether it is right, what is said of it, and where or how it is drawn."""
    is_right = choice.code == made.right
    picture, place = words.picture(made, choice), words.place(made, choice)
    return {
        "text": words.named(made, choice),
        "is_right": is_right,
        "said": words.right_words(made) if is_right else words.wrong_words(made, choice),
        **({"at": [round(value, 1) for value in place]} if place else {}),
        **({"picture": picture.plain()} if picture else {}),
    }
