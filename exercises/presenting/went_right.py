"""What was right in an answer that was not: it is said first, before what went wrong.

A cause that is sure says which stages came before the one that failed. Where none is, only what
figures carry is said: the whole degrees and metres that stand beside it on the page.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from ..domain.earth.angle_units import DEGREES, AngleUnit
from ..domain.mistakes import causes
from ..domain.results.judged import Judged
from ..domain.words import Words, say
from ..languages import tell, tell_many, told

# beside what is right, and not across from it (common practice, no source)
RIGHT_WAY_ROUND_DEG = 45


@dataclass(frozen=True)
class Well:
    """What was right, in a sentence; whether it only follows from a cause that is not certain."""

    text: str = ""
    is_probable: bool = False


NOTHING = Well()


@dataclass(frozen=True)
class Shown:
    """A bearing as its page shows it, in whole numbers of the unit of its compass: what was given,
    what is right, and what the task told, or None.
    """

    read: int
    right: int
    told: int | None
    unit: AngleUnit = DEGREES

    def apart(self, one, other):
        """By how much two numbers lie apart on the circle, with its sign."""
        half = self.unit.circle // 2
        return (one - other + half) % self.unit.circle - half


def shown(judged):
    """The figures of a direction that was graded."""
    answer, unit = judged.answer, judged.reading.instrument.unit
    given_deg = answer.given_deg
    return Shown(
        unit.whole(judged.grade.reading_deg),
        unit.whole(answer.expected_deg),
        None if given_deg is None else unit.whole(given_deg),
        unit,
    )


def _always(_):
    return True


@dataclass(frozen=True)
class Right:
    """A sentence on what went right before the stage that a cause names, and whether the figures
    on the page bear it out: then it holds whatever the cause was.
    """

    sentence: Words
    holds: Callable[[Shown], bool] = _always
    fits: Callable[[Judged], bool] = _always  # whether it may be said of this reading at all


def _is_far_across(figures):
    across_deg = figures.unit.degrees(abs(figures.apart(figures.read, figures.right)))
    return across_deg >= 180 - RIGHT_WAY_ROUND_DEG


def _lacks_one_digit(figures):
    return figures.read in figures.unit.dropped(figures.right)


def _is_off_by_the_declination(judged):
    """To within the band for full credit: else the number on the dial was not right either."""
    norths, asked = judged.answer.norths, judged.answer.north
    turn_deg = norths.correction("magnetic", asked) or norths.declination_deg  # or needlessly
    beside_deg = abs(judged.grade.error_deg) - abs(turn_deg)
    return abs(beside_deg) <= judged.answer.band.full_credit_deg


_LINE = Right(say("The line is right; only its two ends are exchanged."))
_AIM = Right(say("You aimed at the right thing. It went wrong at the dial."))
_DIAL = Right(
    say("The number on your dial was right. It went wrong in the sum after it."),
    fits=_is_off_by_the_declination,
)
_READ_WELL = Right(say("You read your compass well. Only the place was another."))
_BEFORE_WRITING = Right(say("Aim and needle were right. Only the digits came out wrong."))
_LAST_DIGIT = Right(
    say("The last digit of your number is right."),
    lambda figures: figures.read % 10 == figures.right % 10,
)
_LAST_TWO = Right(
    say("The last two digits of your number are right."),
    lambda figures: figures.read % 100 == figures.right % 100,
)
_SAME_DIGITS = Right(
    say("Your digits are the right ones, in another order."),
    lambda figures: figures.read in figures.unit.swapped(figures.right),
)
_DIGITS_THERE = Right(say("The digits that you wrote are right; one is missing."), _lacks_one_digit)
_AS_FAR = Right(
    say("Your bearing is as far from north as the right one. Only the side is another."),
    lambda figures: (figures.read + figures.right) % figures.unit.circle == 0,
)
_DIGITS = {
    "ten_off": _LAST_DIGIT,
    "hundred_off": _LAST_TWO,
    "digits_swapped": _SAME_DIGITS,
    "digit_dropped": _DIGITS_THERE,
}
# Of bearings in figures, by the setting in which they are found.
_OF_BEARING = {
    causes.IN_THE_FIELD: {
        "reversed": _LINE,
        "declination_ignored": _DIAL,
        "declination_twice": _DIAL,
        "other_target": _READ_WELL,
        "other_station": _READ_WELL,
        "counted_back": _AIM,
        "quarter_turn": _AIM,
        "ten_off": _AIM,
        "digits_swapped": _BEFORE_WRITING,
        "digit_dropped": _BEFORE_WRITING,
        "hundred_off": _BEFORE_WRITING,
        "mils": Right(say("The direction is right. Only the scale was another.")),
    },
    causes.ON_A_MAP: {**_DIGITS, "reversed": _LINE, "mirrored": _AS_FAR},
    causes.IN_A_SUM: {
        **_DIGITS,
        "mirrored": _AS_FAR,
        "over_360": Right(say("Your sum was right up to its last step.")),
        # in whole degrees either angle may be rounded away from the other by one
        "declination_wrong_way": Right(
            say("You took the right angle between the two norths. Only its direction was wrong."),
            lambda figures: abs(figures.apart(figures.read + figures.right, 2 * figures.told)) <= 1,
        ),
        "declination_twice": Right(
            say("You turned the number the right way, only once too often.")
        ),
        # who gave the number back as it was told did no sum
        "convergence_ignored": Right(
            say("Your sum was right. Only it led to the other of two norths close together."),
            lambda figures: figures.read != figures.told,
        ),
    },
}
# Of targets: a bearing was told, and followed.
_FOLLOWED = Right(say("You followed your compass well. It went wrong in the sum before."))
_NEEDLE = Right(say("The needle lay right in its arrow. It went wrong where the number was set."))
_HEARD = Right(say("You followed your number well. Only it was another number."))
_OF_TARGET = {
    "reversed": Right(
        say("You looked along the right line, only towards its other end."), _is_far_across
    ),
    "declination_ignored": _FOLLOWED,
    "declination_wrong_way": _FOLLOWED,
    "declination_twice": _FOLLOWED,
    "convergence_ignored": _FOLLOWED,
    "counted_back": _NEEDLE,
    "quarter_turn": _NEEDLE,
    "ten_off": _NEEDLE,
    "mirrored": _NEEDLE,
    "digits_swapped": _HEARD,
    "hundred_off": _HEARD,
    "other_station": Right(say("You followed the bearing well. Only the mark was another.")),
}


def of_bearing(judged, setting):
    """What was right in a bearing in figures; nothing where no single cause is sure, or nothing
    can be said.
    """
    return _by_cause(judged, _OF_BEARING[setting])


def of_target(judged):
    """What was right in a target that was named; where no cause is sure, that it lies near."""
    well = _by_cause(judged, _OF_TARGET)
    off_deg = round(abs(judged.grade.error_deg))
    if well.text or judged.credit == 1.0 or off_deg > RIGHT_WAY_ROUND_DEG:
        return well
    return Well(
        tell_many(
            "You looked the right way round: your target lies {number} degree beside it.",
            "You looked the right way round: your target lies {number} degrees beside it.",
            off_deg,
        )
    )


def _by_cause(judged, rights):
    right = rights.get(judged.cause)
    if judged.credit == 1.0 or right is None or not judged.verdict.is_sure:
        return NOTHING
    if not (right.fits(judged) and right.holds(shown(judged))):
        return NOTHING
    return _inferred(judged, right.sentence) if right.holds is _always else _seen(right.sentence)


def _seen(sentence):
    """A sentence that the figures carry."""
    return Well(told(sentence))


def _inferred(judged, sentence):
    """A sentence that a cause carries, as surely as the cause is."""
    return Well(told(sentence), is_probable=not judged.verdict.is_certain)


_BEARINGS = say("Your bearings were right. It went wrong in the sum after them.")
_HABITS_OF_SUMS = (
    "declination_ignored",
    "declination_wrong_way",
    "declination_twice",
    "convergence_ignored",
)


def of_crossing(judged):
    """What was right in a place where lines meet: the lines besides the one that explains it, or
    those on which the place lies.
    """
    if judged.credit == 1.0:
        return NOTHING
    if judged.verdict.is_sure and (sentence := _lines_besides(judged)):
        return _inferred(judged, sentence)
    return Well(_on_lines(judged))


def _is_one_mistake(judged):
    mistakes = causes.mistakes(judged.cause)
    return len(mistakes) == 1 and mistakes[0] != "unexplained"


def _lines_besides(judged):
    """What a sure cause leaves of the lines; None where that is nothing."""
    if not _is_one_mistake(judged):
        return None
    wrong = judged.verdict.detail.split()
    if len(wrong) > 1:
        return say("Your bearings were right. Only two points were exchanged.")
    if not wrong:
        return _BEARINGS if causes.of_person(judged.cause) in _HABITS_OF_SUMS else None
    others = [code for code in judged.answer.form.known_points() if code not in wrong]
    if len(others) == 1:
        return say("Your line of {point} was right.", point=others[0])
    return say("Your lines of {points} were right.", points=", ".join(others))


def _on_lines(judged):
    """On which right lines the place lies, within the band for full credit; in whole metres."""
    form, seen = judged.answer.form, judged.reading.seen
    off_m = {
        line.point: metres
        for line in form.position_lines()
        if (metres := _off_line_m(line, seen)) is not None and metres <= form.full_m
    }
    if not off_m:
        return ""
    return tell_many(
        "Your place lies on the right line of {points}, to {number} metre.",
        "Your place lies on the right line of {points}, to {number} metres.",
        max(1, *off_m.values()),  # to the metre at best
        points=", ".join(off_m),
    )


def _off_line_m(line, seen):
    """How far a place lies beside a position line, whole metres; None behind where it begins."""
    azimuth = math.radians(line.bearing_deg)
    east_m, north_m = seen.east_m - line.east_m, seen.north_m - line.north_m
    ahead_m = east_m * math.sin(azimuth) + north_m * math.cos(azimuth)
    if ahead_m <= 0.0:
        return None
    return round(abs(east_m * math.cos(azimuth) - north_m * math.sin(azimuth)))


def of_walk(judged):
    """What was right in a walk: the other legs, the bearings, or how far one came."""
    if judged.credit == 1.0:
        return NOTHING
    if judged.verdict.is_sure and (sentence := _legs_besides(judged)):
        return _inferred(judged, sentence)
    return Well(_as_walked(judged))


def _legs_besides(judged):
    """What a sure cause leaves of the legs; None where that is nothing."""
    if not _is_one_mistake(judged):
        return None
    if judged.verdict.detail and len(judged.answer.form.legs) > 1:
        return say("Your other legs were right.")
    if causes.of_person(judged.cause) == "paces":
        return say("Your bearing was right. Only the count of paces was another.")
    return None


def _as_walked(judged):
    """How far from the beginning one came, or how little to the side, in whole metres."""
    form, seen, miss = judged.answer.form, judged.reading.seen, judged.grade.miss
    reached_m = round(math.hypot(seen.east_m, seen.north_m))
    right_m = round(math.hypot(form.east_m, form.north_m))
    if right_m <= form.part_m:
        return ""  # a way that comes back has no distance and no direction of its own
    side_m = round(abs(miss.across_m))
    if side_m <= form.full_m and right_m + miss.along_m > form.part_m:
        return tell_many(
            "Your direction was right: only {number} metre to the side.",
            "Your direction was right: only {number} metres to the side.",
            side_m,
        )
    if abs(reached_m - right_m) > form.full_m:
        return ""
    return tell(
        "Your distance was right: {reached} m from where you began, and the marker lies {right} m "
        "from there.",
        reached=reached_m,
        right=right_m,
    )
