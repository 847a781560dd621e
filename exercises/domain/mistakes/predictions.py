"""What a habit, a slip, or both predict for one task, in the one form in which every kind hands it
to the diagnosis.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..earth.angles import Written, from_mils, to_mils
from ..earth.ellipse import Ellipse
from . import stages
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


def outcomes(direction_deg: float, writing: str) -> list[Outcome]:
    """The bearings, degrees, that a direction becomes when it is written down in this way, each
    with its share: `meant` the other way round.

    To the whole degree where digits are at fault; empty where the fault cannot show, as two equal
    digits swapped. A number in mils is over 360 or looks like another bearing: what is seen is read
    as degrees; a sum that ran past 360 is read as mils.

    >>> outcomes(74.0, SWAPPED)
    [(47.0, 1.0)]
    """
    if writing == PLAIN:
        return [(direction_deg, 1.0)]
    if writing == MILS:
        return [(to_mils(direction_deg), 1.0)]
    number = round(direction_deg) % 360
    if writing == OVER:
        return [(from_mils(number + 360), 1.0)]
    others = _with_digits_at_fault(number, writing)
    return [(float(other), 1.0 / len(others)) for other in others]


def _with_digits_at_fault(number: int, writing: str) -> list[int]:
    """The numbers that a whole one may become by SWAPPED, DROPPED or HUNDRED, each once."""
    if writing == SWAPPED:
        return stages.swapped(number)
    if writing == DROPPED:
        digits = f"{number:03d}"
        dropped = {int(digits[:place] + digits[place + 1 :]) for place in range(3)}
        return sorted(dropped - {number})
    return _a_hundred_off(number)


def _a_hundred_off(number: int) -> list[int]:
    """The whole numbers under 360 that are a hundred less and a hundred more."""
    return [other for other in (number - 100, number + 100) if 0 <= other < 360]


def meant(written: Written, writing: str) -> list[Meant]:
    """The directions that, written down in this way, give what was written. A list of `Meant`,
    empty when none does.

    Digit faults need a whole number: nobody swaps the digits of a half. A number stated in mils was
    not meant as degrees.
    """
    if writing == MILS:
        mils = written.degrees if written.mils is None else written.mils
        return [Meant(from_mils(mils), jacobian=from_mils(1), half_width_deg=from_mils(1) / 2)]
    if writing == OVER:  # what is written is over 360, and kept as mils
        ran_past = written.mils is not None and 360 < written.mils < 720
        return [Meant(written.mils - 360.0)] if written.mils and ran_past else []
    if writing == PLAIN:
        return [] if written.mils is not None else [Meant(written.degrees)]
    number = _whole(written, writing)
    if number is None:
        return []
    if writing == SWAPPED:
        return [Meant(float(whole), 0.5) for whole in stages.swapped(number)]
    if writing == DROPPED:
        return [
            Meant(float(whole), ways / 3.0)
            for whole, ways in stages.before_dropping(number).items()
        ]
    return [Meant(float(whole), 0.5) for whole in _a_hundred_off(number)]


def _whole(written: Written, writing: str) -> int | None:
    """The whole number written, if there is one that may be a slip of the pen: in degrees, or three
    digits over 360, which are kept as mils and which no dropped digit gives.
    """
    number = written.degrees
    if written.mils is not None:
        if not 360 < written.mils < 1000 or writing == DROPPED:
            return None
        number = written.mils
    return int(number) if number == int(number) else None
