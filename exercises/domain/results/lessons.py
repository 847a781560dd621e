"""What a class is told together, what is told to some of its people alone, and what was nobody's
fault.

Only readings without full credit are looked at: they are what a class asks about. Each of them
counts once, so that figures told aloud add up. Doubt never falls on people: a cause that may not be
said as one sentence is a mistake of nobody's, and a fault of the ground or of a compass is never a
lesson.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from ..mistakes import causes
from .judged import Judged

# People from whom on a mistake is the class's and not somebody's: one or two can be told alone, and
# are known by everybody when they are told before the class. Common practice, no source.
MANY = 3
NO_LESSON = "unexplained"  # there is nothing to teach in it
TURNED = 0.5  # probability from which a needle counts as reversed, as in the diagnosis
HABIT_SURE = 0.7  # probability from which a habit is said of a person; common practice, no source


@dataclass(frozen=True)
class Lesson:
    """A mistake with the readings in which it happened, each of which counts for no other mistake,
    how many people made it, and the surest example.
    """

    code: str
    readings: tuple[Judged, ...]

    @property
    def people(self) -> tuple[str, ...]:
        """Who made it."""
        return tuple(sorted({reading.person for reading in self.readings}))

    @property
    def example(self) -> Judged:
        """A reading that shows it: one without another fault in it, and the surest."""
        return max(
            self.readings,
            key=lambda reading: (reading.cause == self.code, reading.verdict.probability),
        )


@dataclass(frozen=True)
class Told:
    """The readings without full credit, each in one place.

    `everybody` are the mistakes of many people, those of most people first, `few` the others.
    `ground` and `compasses` hold readings in which nothing else went wrong, `near` sound readings
    outside the band, `unclear` those of which no cause may be said as one sentence.
    """

    everybody: tuple[Lesson, ...]
    few: tuple[Lesson, ...]
    ground: tuple[Judged, ...]
    compasses: tuple[Judged, ...]
    near: tuple[Judged, ...]
    unclear: tuple[Judged, ...]

    @property
    def missed(self) -> int:
        """How many readings are without full credit."""
        return len(self.not_theirs) + sum(
            map(len, (self.near, self.unclear, *(lesson.readings for lesson in self.lessons)))
        )

    @property
    def not_theirs(self) -> tuple[Judged, ...]:
        """The readings that the ground or a compass spoilt, and not a person."""
        return (*self.ground, *self.compasses)

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """All mistakes, whoever is told."""
        return (*self.everybody, *self.few)

    @property
    def taught(self) -> tuple[Lesson, ...]:
        """What everybody is taught: the mistakes of many, then steadier hands, as `ok`, where many
        read a little outside the band.
        """
        steadier = Lesson("ok", self.near)
        return (*self.everybody, steadier) if len(steadier.people) >= MANY else self.everybody


def is_for_everybody(people: Collection[str], habit_of: Collection[str]) -> bool:
    """Whether a mistake that some people made is to be taught to everybody.

    `habit_of` are those of the class who have it as a habit. A habit of one or two is told to
    these: the mistake is the class's only if MANY others made it. A habit of more is the class's.

    >>> is_for_everybody("abcd", "ab"), is_for_everybody("abc", "abc"), is_for_everybody("abc", "")
    (False, True, True)
    """
    if len(habit_of) >= MANY:
        return True
    return len(set(people) - set(habit_of)) >= MANY


def by_compass(judged: Iterable[Judged], turned: Collection[str]) -> list[Judged]:
    """Readings in which a reversed needle is the compass's fault and not its holder's: `reversed`
    becomes `compass_offset` where the compass's number is one of `turned`.
    """
    return [
        _turned(reading) if reading.reading.compass in turned else reading for reading in judged
    ]


def _turned(reading: Judged) -> Judged:
    """A reading with a compass whose needle is reversed. Its holder did nothing wrong with it."""
    codes = {
        "compass_offset" if code == "reversed" else code for code in causes.parts(reading.cause)
    }
    return replace(reading, verdict=replace(reading.verdict, cause=causes.combined(codes - {"ok"})))


def told(judged: Iterable[Judged], habits: Mapping[str, str]) -> Told:
    """Who is told what of some readings, as `by_compass` gives them. `habits` has the codes of
    habits that people are said to have, by person; people without one are left out.
    """
    missed = [reading for reading in judged if reading.credit < 1.0]
    places: dict[str, list[Judged]] = {name: [] for name in (*_PLACES, "mistake")}
    for reading in missed:
        places[_place(reading)].append(reading)
    lessons = _lessons(places.pop("mistake"))
    holders = {
        lesson.code: {person for person, habit in habits.items() if habit == lesson.code}
        for lesson in lessons
    }
    is_many = {
        lesson.code: is_for_everybody(lesson.people, holders[lesson.code]) for lesson in lessons
    }
    return Told(
        everybody=tuple(lesson for lesson in lessons if is_many[lesson.code]),
        few=tuple(lesson for lesson in lessons if not is_many[lesson.code]),
        **{name: tuple(readings) for name, readings in places.items()},
    )


def _lessons(readings: Sequence[Judged]) -> list[Lesson]:
    """Mistakes with their readings, those of most people first. A reading with two mistakes goes to
    the one that more people made.
    """
    by_code: dict[str, list[Judged]] = {}
    for reading in readings:
        for code in _taught(reading):
            by_code.setdefault(code, []).append(reading)
    rank = {code: _rank(Lesson(code, tuple(group))) for code, group in by_code.items()}
    groups: dict[str, list[Judged]] = {}
    for reading in readings:
        groups.setdefault(min(_taught(reading), key=rank.__getitem__), []).append(reading)
    return sorted((Lesson(code, tuple(group)) for code, group in groups.items()), key=_rank)


def _rank(lesson: Lesson) -> tuple[int, int, str]:
    """Most people first, then most readings: what many do is worth the class's time, however often
    one person did it.
    """
    return -len(lesson.people), -len(lesson.readings), lesson.code


def _taught(reading: Judged) -> tuple[str, ...]:
    """The mistakes in a reading that there is something to teach in."""
    return tuple(code for code in causes.mistakes(reading.cause) if code != NO_LESSON)


def _place(reading: Judged) -> str:
    """Where a reading without full credit belongs, by the name of its field in `Told`."""
    return next((name for name, holds in _PLACES.items() if holds(reading)), "mistake")


def _has_only(part: str) -> Callable[[Judged], bool]:
    """Whether a fault that is nobody's is in a reading, and no mistake besides."""
    return lambda reading: (
        part in causes.parts(reading.cause) and not causes.mistakes(reading.cause)
    )


_PLACES: dict[str, Callable[[Judged], bool]] = {  # the first that holds
    "ground": _has_only("station_fault"),
    "compasses": _has_only("compass_offset"),
    "near": lambda reading: reading.cause == "ok",
    "unclear": lambda reading: not (reading.verdict.is_sure and _taught(reading)),
}
