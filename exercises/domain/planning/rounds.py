"""One round of a lesson: a task, what there is to choose from, and whether that is fair."""

from __future__ import annotations

import itertools
import random
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from ..earth.angles import difference, wrap
from ..mistakes.causes import REGISTER, combined
from ..tasks.answer import Answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import kind_of
from .practice import Landmark, Place

SAME_DEG = 1.0  # numbers nearer than this are one
APART_DEG = 4.0  # by which the numbers to choose from differ at least
FAR_APART_DEG = 25.0  # the same where they are to be estimated


@dataclass(frozen=True)
class Choice:
    """One thing to choose: its code, and the number to which it leads, degrees in the asked north,
    by `cause`: "ok" where nothing went wrong.
    """

    code: str
    cause: str
    degrees: float


@dataclass(frozen=True)
class Round:
    """One question of a lesson.

    `code` names its words and drawing. `right` is the code of the right choice; a round without
    choices is answered with a number. `facing_deg` is where the person faces, true, `number_deg`
    what stands at the index line, `seen_deg` a number that is shown or that somebody has read.
    `place` is the code of the ground whose declination counts.
    """

    code: str
    answer: Answer
    right: str = ""
    choices: tuple[Choice, ...] = ()
    facing_deg: float = 0.0
    number_deg: float = 0.0
    seen_deg: float = 0.0
    graduation_deg: int = 2
    landmarks: tuple[Landmark, ...] = ()
    place: str = ""


@dataclass(frozen=True)
class Draw:
    """What rounds are made from: the person's own ground and another, the dial's smallest step, and
    chance.
    """

    own: Place
    other: Place
    graduation_deg: int
    rng: random.Random = field(compare=False)


class NothingClear(ValueError):
    """Ground on which no question has a single right answer and one mistake for each wrong one."""


def explained(answer: Answer) -> list[tuple[float, str, float]]:
    """Where single mistakes, or none, lead: (degrees as answered, cause, weight by how common)."""
    form, found = Direction.of(answer), []
    for prediction in kind_of(answer.kind).predictions(answer):
        cause = combined({prediction.habit, prediction.slip} - {"ok"})
        if "+" in cause:
            break  # single ones come first
        for degrees, share in form.outcomes(answer, prediction):
            found.append((degrees, cause, REGISTER[cause].rate * prediction.share * share))
    return found


def likeliest_cause(answer: Answer, degrees: float) -> str:
    """The single cause that most likely leads to a number, degrees in the asked north; empty where
    none does.
    """
    weights: dict[str, float] = defaultdict(float)
    for predicted_deg, cause, weight in explained(answer):
        if abs(difference(predicted_deg, degrees)) < SAME_DEG:
            weights[cause] += weight
    return max(weights, key=lambda cause: (weights[cause], cause), default="")


def is_clear(answer: Answer, choices: Iterable[Choice], apart_deg: float = APART_DEG) -> bool:
    """Whether each choice's number comes of its cause rather than of another, and all lie apart."""
    choices = tuple(choices)
    pairs = itertools.combinations(choices, 2)
    return all(
        abs(difference(one.degrees, other.degrees)) >= apart_deg for one, other in pairs
    ) and all(likeliest_cause(answer, choice.degrees) == choice.cause for choice in choices)


def by_shift(answer: Answer, shifts: dict[str, tuple[str, float]]) -> tuple[Choice, ...]:
    """Choices by code, each with its cause and by how much it turns the answer."""
    return tuple(
        Choice(code, cause, wrap(answer.expected_deg + shift_deg))
        for code, (cause, shift_deg) in shifts.items()
    )


TURNED = {
    "ahead": ("ok", 0.0),
    "back": ("reversed", 180.0),
    "right": ("quarter_turn", 90.0),
    "left": ("quarter_turn", -90.0),
}  # how the plate, or where on it one reads, may be turned


def first_clear(draw: Draw, candidates: Iterable[Round], apart_deg: float = APART_DEG) -> Round:
    """The first candidate, in an order by chance, whose choices are clear. Raises NothingClear."""
    pool = list(candidates)
    for candidate in draw.rng.sample(pool, len(pool)):
        if is_clear(candidate.answer, candidate.choices, apart_deg):
            return candidate
    raise NothingClear


def shuffled(draw: Draw, made: Round) -> Round:
    """The round with its choices in an order by chance."""
    return replace(made, choices=tuple(draw.rng.sample(made.choices, len(made.choices))))


def in_order(made: Round) -> Round:
    """The round with its choices as their numbers grow, which gives nothing away."""
    choices = sorted(made.choices, key=lambda choice: choice.degrees)
    return replace(made, choices=tuple(choices))
