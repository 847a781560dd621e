"""What a habit, a slip, or both predict for one task, in the one form in which every kind hands it
to the diagnosis.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..earth.angle_units import DEGREES, AngleUnit, taken_for
from ..earth.angles import Written, from_mils
from ..earth.ellipse import Ellipse
from .stages import DROPPED, MILS, OVER, PLAIN, SWAPPED

Outcome = tuple[float, float]  # a bearing in degrees, and its share


@dataclass(frozen=True)
class Prediction:
    """Where a habit and a slip put the answer, before it is written down.

    `habit` and `slip` are codes of causes, or "ok". `centre_deg` is the direction predicted. `sign`
    says how it moves when the needle reads one degree more: +1, -1, or 0 where no needle is used.
    `share` is the weight among the ways of this habit and slip. `writing` is the way in which it is
    written down; `detail` names the other point, if one is concerned.
    """

    habit: str
    slip: str
    centre_deg: float
    sign: int
    share: float = 1.0
    writing: str = PLAIN
    detail: str = ""


@dataclass(frozen=True)
class Landing:
    """Where a habit and a slip put an answer that is a place: metres east and north of the answer's
    origin, with the ellipse of sound technique there.

    `habit`, `slip` and `share` as in `Prediction`; `detail` names the bearing or the leg that went
    wrong, empty where all of them did. `is_written` says that only a reference in figures can land
    there.
    """

    habit: str
    slip: str
    east_m: float
    north_m: float
    ellipse: Ellipse
    share: float = 1.0
    detail: str = ""
    is_written: bool = False


@dataclass(frozen=True)
class Meant:
    """A direction that may have been meant by what was seen.

    `share` is how often that direction would come out so; `jacobian` is the degrees that one
    written unit stands for; `half_width_deg` is half of what the direction may have been rounded
    from.
    """

    direction_deg: float
    share: float = 1.0
    jacobian: float = 1.0
    half_width_deg: float = 0.5


def outcomes(direction_deg: float, writing: str, unit: AngleUnit = DEGREES) -> list[Outcome]:
    """The bearings, degrees, that a direction becomes when it is written down in this way in a
    unit, each with its share: `meant` the other way round.

    To the whole unit where digits are at fault; empty where the fault cannot show, as two equal
    digits swapped. A number in mils is over 360 or looks like another bearing: what is seen is read
    in the unit that was asked; a sum that ran past 360 is read as mils.

    >>> outcomes(74.0, SWAPPED)
    [(47.0, 1.0)]
    """
    if writing == PLAIN:
        return [(direction_deg, 1.0)]
    if writing == MILS:
        return [(unit.degrees(taken_for(unit).number(direction_deg)), 1.0)]
    if writing == OVER:
        return [(from_mils(DEGREES.whole(direction_deg) + 360), 1.0)]
    others = _with_digits_at_fault(unit.whole(direction_deg), writing, unit)
    return [(unit.degrees(other), 1.0 / len(others)) for other in others]


def _with_digits_at_fault(number: int, writing: str, unit: AngleUnit) -> list[int]:
    """The numbers that a whole one may become by SWAPPED, DROPPED or HUNDRED, each once."""
    if writing == SWAPPED:
        return unit.swapped(number)
    if writing == DROPPED:
        return unit.dropped(number)
    return unit.first_digit_off(number)


def meant(written: Written, writing: str) -> list[Meant]:
    """The directions that, written down in this way, give what was written. A list of `Meant`,
    empty when none does.

    Digit faults act on the number in the unit of the compass, and need a whole one: nobody swaps
    the digits of a half. A number stated in mils was not meant as degrees.
    """
    unit = written.unit
    if writing == MILS:
        return _in_the_other_unit(written)
    if writing == OVER:  # what is written is over 360, and kept as mils
        ran_past = written.mils is not None and 360 < written.mils < 720
        return [Meant(written.mils - 360.0)] if written.mils and ran_past else []
    if writing == PLAIN:
        if written.mils is not None:
            return []
        step_deg = unit.step_deg
        return [Meant(written.degrees, jacobian=step_deg, half_width_deg=step_deg / 2.0)]
    number = _whole(written, writing)
    return [] if number is None else list(_before_the_slip(number, writing, unit))


def _in_the_other_unit(written: Written) -> list[Meant]:
    """What was meant by who wrote the unit that is taken for the one asked: mils for degrees, and
    degrees for mils. None where the number is more than its circle.
    """
    other = taken_for(written.unit)
    number = written.number if written.mils is None else written.mils
    if number > other.circle:
        return []
    step_deg = other.step_deg
    return [Meant(other.degrees(number), jacobian=step_deg, half_width_deg=step_deg / 2.0)]


def _before_the_slip(number: int, writing: str, unit: AngleUnit) -> Iterator[Meant]:
    """The whole numbers of which this one may be made by SWAPPED, DROPPED or HUNDRED."""
    step_deg = unit.step_deg
    if writing == DROPPED:
        ways = unit.before_dropping(number)
        shares = {whole: count / unit.digits for whole, count in ways.items()}
    elif writing == SWAPPED:
        shares = dict.fromkeys(unit.swapped(number), 1.0 / (unit.digits - 1))
    else:
        shares = dict.fromkeys(unit.first_digit_off(number), 0.5)
    for whole, share in shares.items():
        yield Meant(unit.degrees(whole), share, step_deg, step_deg / 2.0)


def _whole(written: Written, writing: str) -> int | None:
    """The whole number written, if there is one that may be a slip of the pen: in its unit, or
    three digits over 360, which are kept as mils and which no dropped digit gives.
    """
    number = written.number
    if written.mils is not None:
        if not 360 < written.mils < 1000 or writing == DROPPED:
            return None
        number = written.mils
    return int(number) if number == int(number) else None
