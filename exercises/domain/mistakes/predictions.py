"""What a habit, a slip, or both predict for one task, in the one form in which every kind hands it
to the diagnosis.
"""

from dataclasses import dataclass

from ..earth.angles import from_mils, to_mils
from ..earth.ellipse import Ellipse
from . import stages
from .stages import DROPPED, HUNDRED, MILS, OVER, PLAIN, SWAPPED


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


def outcomes(direction_deg, writing):
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
    number = round(direction_deg) % 360
    if writing == MILS:
        return [(to_mils(direction_deg), 1.0)]
    if writing == OVER:
        return [(from_mils(number + 360), 1.0)]
    if writing == SWAPPED:
        seen = [float(other) for other in stages.swapped(number)]
    elif writing == DROPPED:
        digits = f"{number:03d}"
        seen = sorted(
            {float(digits[:place] + digits[place + 1 :]) for place in range(3)} - {float(number)}
        )
    else:
        seen = [float(other) for other in (number - 100, number + 100) if 0 <= other < 360]
    return [(other, 1.0 / len(seen)) for other in seen]


def meant(written, writing):
    """The directions that, written down in this way, give what was written. A list of `Meant`,
    empty when none does.

    Digit faults need a whole number: nobody swaps the digits of a half. A number stated in mils was
    not meant as degrees.
    """
    if writing == MILS:
        mils = written.degrees if written.mils is None else written.mils
        return [Meant(from_mils(mils), jacobian=from_mils(1), half_width_deg=from_mils(1) / 2)]
    if writing == OVER:  # what is written is over 360, and kept as mils
        return (
            [Meant(written.mils - 360.0)]
            if written.mils is not None and 360 < written.mils < 720
            else []
        )
    if written.mils is not None and not (
        360 < written.mils < 1000 and writing in (SWAPPED, HUNDRED)
    ):
        return []
    if writing == PLAIN:
        return [Meant(written.degrees)]
    number = (
        written.degrees if written.mils is None else written.mils
    )  # three digits over 360 may also be a slip of the pen
    if number != int(number):
        return []
    number = int(number)
    if writing == SWAPPED:
        return [Meant(float(whole), 0.5) for whole in stages.swapped(number)]
    if writing == DROPPED:
        return [
            Meant(float(whole), ways / 3.0)
            for whole, ways in stages.before_dropping(number).items()
        ]
    return [Meant(float(whole), 0.5) for whole in (number - 100, number + 100) if 0 <= whole < 360]
