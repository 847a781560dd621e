"""A set of compasses that lives longer than one class: what its log says of each, and what the next
class needs.

The log of a compass is a row of entries, oldest first, each one event. Some find a fault, some put
it away; what stands at the end is the compass as it is now. The last measure of its offset becomes
what the diagnosis of the next class knows before the first reading.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..diagnosis.biases import COMPASS_NARROW_DEG, COMPASS_WIDE_DEG, REVERSED_SHARE
from ..diagnosis.compass_known import CompassKnown
from ..diagnosis.diagnosis import Compass
from ..words import say
from .set_check import Finding, SetCheck

MOST_COMPASSES = 200
# Settings; common practice, no source. A log is out of date as often as a compass was repaired,
# dropped or exchanged and nobody noted it; the needle of a compass wanders with wear.
TRUST, KEPT_EACH_YEAR = 0.9, 0.8
DRIFT_DEG = 0.5  # sd of what an offset wanders by in a year
DAYS_A_YEAR = 365.25
SOUND_REVERSED = 0.001  # of needles that were seen to point north, while the log holds
SURE = 0.9  # from which a class's finding is offered for the log, as in a set check


class Event(StrEnum):
    """What an entry of the log says."""

    CHECKED = "checked"  # sighted a line that is known, or with others, and is sound
    OFF = "off"
    REVERSED = "reversed"
    LOOKED = "looked"  # needle, bubble and plate looked over, and sound
    BUBBLE = "bubble"
    NEEDLE = "needle"  # it sticks, or does not lie level
    DAMAGED = "damaged"
    REPAIRED = "repaired"
    WITHDRAWN = "withdrawn"
    BACK = "back"


FAULTS = (Event.REVERSED, Event.OFF, Event.NEEDLE, Event.BUBBLE, Event.DAMAGED)  # the worst first
# which faults an entry puts away
_CURES: Mapping[Event, frozenset[Event]] = {
    Event.CHECKED: frozenset({Event.OFF, Event.REVERSED}),
    Event.OFF: frozenset({Event.REVERSED}),
    Event.LOOKED: frozenset({Event.NEEDLE, Event.BUBBLE, Event.DAMAGED}),
    Event.REPAIRED: frozenset(FAULTS),
}
MEASURED = frozenset({Event.CHECKED, Event.OFF, Event.REVERSED})
_CHANGED = frozenset({Event.REPAIRED, Event.DAMAGED, Event.BACK})  # after them no measure holds


class Condition(StrEnum):
    """What a compass is to the next class."""

    SOUND = "sound"
    UNCHECKED = "unchecked"
    FAULTY = "faulty"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True)
class Entry:
    """One entry of a log: the event and its day; of a measure the offset with its standard error,
    degrees, reading minus what is right, where it was told.
    """

    event: Event
    on: date
    offset_deg: float | None = None
    error_deg: float | None = None


@dataclass(frozen=True)
class Standing:
    """A compass as its log leaves it: its faults with the entry that found each, the worst first;
    whether it is withdrawn; when it was last sighted with, and the measure that holds.
    """

    faults: tuple[Entry, ...] = ()
    is_withdrawn: bool = False
    checked_on: date | None = None
    measure: Entry | None = None

    @property
    def condition(self) -> Condition:
        """What it is to the next class."""
        if self.is_withdrawn:
            return Condition.WITHDRAWN
        if self.faults:
            return Condition.FAULTY
        return Condition.SOUND if self.checked_on else Condition.UNCHECKED


def standing(log: Iterable[Entry]) -> Standing:
    """What a log, oldest entry first, says of its compass now.

    >>> day = date(2026, 10, 3)
    >>> standing([Entry(Event.OFF, day, 4.0, 0.5), Entry(Event.WITHDRAWN, day)]).condition.value
    'withdrawn'
    """
    faults: dict[Event, Entry] = {}
    is_withdrawn, checked_on, measure = False, None, None
    for entry in log:
        for cured in _CURES.get(entry.event, ()):
            faults.pop(cured, None)
        if entry.event in FAULTS:
            faults[entry.event] = entry
        if entry.event in MEASURED:
            checked_on, measure = entry.on, entry
        if entry.event in _CHANGED:
            measure = None
        if entry.event == Event.REPAIRED:
            checked_on = None
        is_withdrawn = entry.event == Event.WITHDRAWN or (
            is_withdrawn and entry.event != Event.BACK
        )
    found = tuple(faults[event] for event in FAULTS if event in faults)
    return Standing(found, is_withdrawn, checked_on, measure)


@dataclass(frozen=True)
class Needs:
    """How many compasses of a kit are as the next class wants them, and the numbers of the others,
    in the order of the kit.
    """

    usable: int
    unchecked: tuple[str, ...]
    faulty: tuple[str, ...]
    withdrawn: tuple[str, ...]


def needs(compasses: Mapping[str, Standing]) -> Needs:
    """What is to be done with a kit before the next class. Usable are those without a fault,
    checked or not.
    """
    by_condition: dict[Condition, list[str]] = {condition: [] for condition in Condition}
    for number, one in compasses.items():
        by_condition[one.condition].append(number)
    unchecked = tuple(by_condition[Condition.UNCHECKED])
    return Needs(
        usable=len(by_condition[Condition.SOUND]) + len(unchecked),
        unchecked=unchecked,
        faulty=tuple(by_condition[Condition.FAULTY]),
        withdrawn=tuple(by_condition[Condition.WITHDRAWN]),
    )


def known(log: Sequence[Entry], on: date) -> CompassKnown | None:
    """What a log tells the diagnosis of a class on a day; None where nothing was measured since the
    compass was last repaired, damaged or taken back into use, for then it is like any other.

    The last measure alone counts: earlier ones have nothing to say of what happened since. One that
    was noted without degrees is sound as sound compasses are, or off by no matter how much. Its
    error grows with the years, and the trust in it falls.
    """
    measure = standing(log).measure
    if measure is None:
        return None
    years = max((on - measure.on).days, 0) / DAYS_A_YEAR
    trust = TRUST * KEPT_EACH_YEAR**years
    usual_deg = COMPASS_WIDE_DEG if measure.event == Event.OFF else COMPASS_NARROW_DEG
    error_deg = usual_deg if measure.error_deg is None else measure.error_deg
    turned = 1.0 if measure.event == Event.REVERSED else SOUND_REVERSED
    return CompassKnown(
        offset_deg=measure.offset_deg or 0.0,
        error_deg=math.hypot(error_deg, DRIFT_DEG * math.sqrt(years)),
        trust=trust,
        reversed_probability=trust * turned + (1.0 - trust) * REVERSED_SHARE,
    )


@dataclass(frozen=True)
class Measured:
    """What a check or a class found of a numbered compass, for its log."""

    number: str
    event: Event
    offset_deg: float
    error_deg: float


_OF_CHECK = {
    Finding.SOUND: Event.CHECKED,
    Finding.OFF: Event.OFF,
    Finding.REVERSED: Event.REVERSED,
}


def of_check(check: SetCheck) -> tuple[Measured, ...]:
    """What a set check has to say to the log; nothing of compasses that are to be read again."""
    return tuple(
        Measured(one.number, _OF_CHECK[one.finding], one.offset_deg, one.error_deg)
        for one in check.compasses
        if one.finding in _OF_CHECK
    )


def of_class(
    compasses: Mapping[str, Compass], logs: Mapping[str, Standing]
) -> tuple[Measured, ...]:
    """What the diagnosis of a class has to say to the log of compasses that are in it, `logs` by
    number: those that are off or reversed, and those that the log calls so and the class does not.
    """
    found = []
    for number, compass in compasses.items():
        if number not in logs:
            continue
        offset = compass.offset
        if compass.reversed_probability >= SURE:
            event = Event.REVERSED
        elif offset.fault_probability >= SURE:
            event = Event.OFF
        elif _is_cleared(compass, logs[number]):
            event = Event.CHECKED
        else:
            continue
        found.append(Measured(number, event, offset.degrees, offset.error_deg))
    return tuple(found)


def _is_cleared(compass: Compass, log: Standing) -> bool:
    """Whether a class found sound what the log calls off or reversed."""
    is_sound = max(compass.reversed_probability, compass.offset.fault_probability) <= 1.0 - SURE
    return is_sound and any(fault.event in MEASURED for fault in log.faults)


class NoNumbers(ValueError):
    """A text that names no compasses. The message says why and what to do."""


_NUMBER = re.compile(r"[A-Z0-9][A-Z0-9-]{0,7}")
_RANGE = re.compile(r"([0-9]{1,4})\s*[-–]\s*([0-9]{1,4})")


def numbers(text: str) -> tuple[str, ...]:
    """Numbers of compasses as they are typed, each once, in their order: single ones and ranges,
    with commas or spaces between. Raises NoNumbers.

    >>> numbers("1-4, 7 a3, 08-10")
    ('1', '2', '3', '4', '7', 'A3', '08', '09', '10')
    """
    joined = re.sub(r"(?<=[0-9])\s*[-–]\s*(?=[0-9])", "-", text)
    found: dict[str, None] = {}
    for part in re.split(r"[\s,;]+", joined.upper()):
        if part:
            found.update(dict.fromkeys(_each(part)))
    if not found:
        raise NoNumbers(say("Give the numbers that are on the compasses, such as 1-12."))
    if len(found) > MOST_COMPASSES:
        raise NoNumbers(say("A kit holds {most} compasses.", most=MOST_COMPASSES))
    return tuple(found)


def _each(part: str) -> Iterable[str]:
    """The numbers of one part, in capitals. A range that begins with a nought keeps its width."""
    between = _RANGE.fullmatch(part)
    if between is None:
        if not _NUMBER.fullmatch(part):
            raise NoNumbers(
                say(
                    "“{part}” is no number of a compass. Use up to eight letters and digits, or a "
                    "range such as 1-12.",
                    part=part[:12],
                )
            )
        return [part]
    first, last = (int(end) for end in between.groups())
    if not first <= last < first + MOST_COMPASSES:
        raise NoNumbers(
            say(
                "“{part}”: a range goes up, by at most {most}. Write it as 1-12.",
                part=part,
                most=MOST_COMPASSES,
            )
        )
    width = len(between[1]) if between[1].startswith("0") else 0
    return [f"{number:0{width}d}" if width else str(number) for number in range(first, last + 1)]
