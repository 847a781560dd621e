"""What may be asked about one reading when its number alone cannot say what happened.

A question has a few replies; each way to the reading makes one of them the honest one. People reply
honestly nine times of ten. A question tells as much as its reply is expected to take from what is
open about the cause: the mutual information of cause and reply, in bits (Shannon 1948; Cover &
Thomas, Elements of Information Theory, 2.3, from memory).
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from ..earth.angles import difference
from ..mistakes import causes
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of, reads_needle
from ..tasks.site import Compass

# Settings: common practice, no source.
HONEST = 0.9
LEAST_BITS = 0.1  # below, a question is not worth asking
MOST_THINGS = 6  # to choose from
LEAST_ANGLE_DEG = 1.0  # less is not reckoned with
WHITE_END = 0.75  # of the readings that are reversed: else the arrow pointed at the reader

MARKED_END, OTHER_END = "marked", "other"
ADDED, SUBTRACTED, NOTHING = "added", "subtracted", "nothing"
LABEL = "label"
LABELLED = 0.97  # how often it was what is said; common practice, no source
NOT_OF_WAYS = {"ok", "station_fault", "compass_offset"}
Shares = dict[str, float]  # how often each reply is the honest one


@dataclass(frozen=True)
class Way:
    """A way to a reading: the codes of what went wrong, the other point concerned, and how probable
    it is.
    """

    codes: frozenset[str]
    detail: str
    probability: float


class Question(ABC):
    """A question by its code, which is stored with replies and never changes."""

    code: ClassVar[str]

    @abstractmethod
    def replies(self, answer: Answer) -> tuple[str, ...]:
        """The replies to choose from at a task; none where it is not worth asking."""

    @abstractmethod
    def honest(self, answer: Answer, compass: Compass, way: Way) -> Shares:
        """The honest replies on a way, with how often each is."""

    def takes(self, answer: Answer, said: str) -> bool:
        """Whether something said can be a reply at a task."""
        return said in self.replies(answer)

    def of_nothing(self, answer: Answer, said: str) -> float:
        """How probable a reply is where the answer comes of nothing."""
        return 1.0 / len(self.replies(answer))

    def likelihood(self, answer: Answer, compass: Compass, way: Way, said: str) -> float:
        """How probable a reply is on a way."""
        return _told(self.honest(answer, compass, way).get(said, 0.0), len(self.replies(answer)))


def _told(honest: float, replies: int) -> float:
    """How probable one of so many replies is that would honestly be given so often."""
    return HONEST * honest + (1.0 - HONEST) * (1.0 - honest) / max(replies - 1, 1)


class NeedleEnd(Question):
    """Which end of the needle was in the orienting arrow?"""

    code = "needle_end"

    def replies(self, answer: Answer) -> tuple[str, ...]:
        """The marked end, or the other; where a needle is read."""
        return (MARKED_END, OTHER_END) if reads_needle(answer) else ()

    def honest(self, answer: Answer, compass: Compass, way: Way) -> Shares:
        """The other end only where it was reversed, and then not always."""
        other = WHITE_END if "reversed" in way.codes else 0.0
        return {OTHER_END: other, MARKED_END: 1.0 - other}


class Arithmetic(Question):
    """Was anything added to the number, or subtracted?"""

    code = "arithmetic"

    def replies(self, answer: Answer) -> tuple[str, ...]:
        """Added, subtracted, nothing; where there is a declination to reckon with."""
        is_wanted = abs(answer.norths.declination_deg) >= LEAST_ANGLE_DEG
        return (ADDED, SUBTRACTED, NOTHING) if reads_needle(answer) and is_wanted else ()

    def honest(self, answer: Answer, compass: Compass, way: Way) -> Shares:
        """By the sign of what was added."""
        right_deg = _right_deg(answer, compass)
        needless = abs(right_deg) < LEAST_ANGLE_DEG
        angle_deg = answer.norths.declination_deg if needless else right_deg
        added_deg = 0.0 if needless else right_deg
        if "declination_ignored" in way.codes:
            added_deg = angle_deg if needless else 0.0
        elif "declination_wrong_way" in way.codes:
            added_deg = -right_deg
        elif "declination_twice" in way.codes:
            added_deg = angle_deg
        if abs(added_deg) < LEAST_ANGLE_DEG:
            return {NOTHING: 1.0}
        return {ADDED if added_deg > 0 else SUBTRACTED: 1.0}


class AimedAt(Question):
    """Which of the things in view was aimed at?"""

    code = "aimed_at"

    def replies(self, answer: Answer) -> tuple[str, ...]:
        """The targets in view about the asked one, from left to right as one stands there."""
        if not (reads_needle(answer) and answer.form.in_figures and answer.others):
            return ()
        turns = {answer.target: 0.0} | {
            other.code: difference(other.bearing_deg, answer.bearings_deg["true"])
            for other in answer.others
        }
        nearest = sorted(turns, key=lambda code: (abs(turns[code]), code))[:MOST_THINGS]
        return tuple(sorted(nearest, key=lambda code: turns[code]))

    def honest(self, answer: Answer, compass: Compass, way: Way) -> Shares:
        """The other target where another was taken, else the one that was asked for."""
        return {way.detail if "other_target" in way.codes else answer.target: 1.0}


class WhatHappened(Question):
    """What truly happened, said by who was there: not asked of anybody, but evidence as a reply
    is.
    """

    code = LABEL

    def replies(self, answer: Answer) -> tuple[str, ...]:
        """Every cause by itself."""
        return causes.CODES

    def takes(self, answer: Answer, said: str) -> bool:
        """Any causes together."""
        return bool(said) and set(causes.parts(said)) <= set(causes.CODES)

    def of_nothing(self, answer: Answer, said: str) -> float:
        """Near one where it was said that nothing explains it."""
        return LABELLED if said == "unexplained" else (1.0 - LABELLED) / len(causes.CODES)

    def honest(self, answer: Answer, compass: Compass, way: Way) -> Shares:
        """What a way is made of."""
        return {causes.combined(way.codes): 1.0}

    def likelihood(self, answer: Answer, compass: Compass, way: Way, said: str) -> float:
        """Near one where the way is what was said but for faults of ground and compass."""
        is_it = set(causes.parts(said)) - NOT_OF_WAYS == set(way.codes)
        return LABELLED if is_it else (1.0 - LABELLED) / len(causes.CODES)


QUESTIONS = {question.code: question for question in (NeedleEnd(), Arithmetic(), AimedAt())}
SAYINGS: dict[str, Question] = {**QUESTIONS, LABEL: WhatHappened()}


def asks_for_arithmetic(answer: Answer) -> bool:
    """Whether a sheet asks at once what was added to a number: where a declination is to be
    reckoned with, and a number is written.
    """
    return answer.form.in_figures and bool(QUESTIONS["arithmetic"].replies(answer))


def _right_deg(answer: Answer, compass: Compass) -> float:
    """What is to be added to the number on the way between dial and asked north, degrees."""
    given, asked = kind_of(answer.kind).arithmetic(answer)
    if answer.form.in_figures:
        return answer.norths.correction(compass.dial_north, asked)
    return answer.norths.correction(given, compass.dial_north)  # the number is set, not read


def bits(question: Question, answer: Answer, compass: Compass, ways: Iterable[Way]) -> float:
    """What a reply is expected to tell of the cause, in bits."""
    by_reply: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    total, replies = 0.0, question.replies(answer)
    for way in _together(ways):
        cause, honest = causes.combined(way.codes), question.honest(answer, compass, way)
        total += way.probability
        for reply in replies:
            by_reply[reply][cause] += way.probability * _told(honest.get(reply, 0.0), len(replies))
    before: dict[str, float] = defaultdict(float)
    for by_cause in by_reply.values():
        for cause, mass in by_cause.items():
            before[cause] += mass
    if total <= 0.0 or not by_reply:
        return 0.0
    left = sum(_entropy(by_cause.values(), total) for by_cause in by_reply.values())
    return _entropy(before.values(), total) - left


def _together(ways: Iterable[Way]) -> Iterator[Way]:
    """Ways that differ in nothing but how probable they are, as one."""
    probability: dict[tuple[frozenset[str], str], float] = defaultdict(float)
    for way in ways:
        probability[way.codes, way.detail] += way.probability
    return (Way(*of, together) for of, together in probability.items())


def _entropy(masses: Iterable[float], total: float) -> float:
    """The entropy of some masses among themselves, in bits, times their part of a total."""
    own = [mass / total for mass in masses if mass > 0.0]
    whole = math.fsum(own)
    return math.fsum(-mass * math.log2(mass / whole) for mass in own)


def single(ways: Iterable[Way]) -> list[Way]:
    """The ways with at most one mistake: all that is asked about where a reading earned credit. Two
    mistakes that undo each other lead there as well, but nobody near the answer is asked which end
    of the needle it was: the other one leads half a circle away.
    """
    return [way for way in ways if len(way.codes) <= 1]


def best(answer: Answer, compass: Compass, ways: Sequence[Way]) -> str:
    """The code of the question that tells most of a reading, or nothing where none tells enough."""
    worth = {
        code: bits(question, answer, compass, ways)
        for code, question in QUESTIONS.items()
        if question.replies(answer)
    }
    code = max(worth, key=lambda one: worth[one], default="")
    return code if code and worth[code] >= LEAST_BITS else ""
