"""What a habit, a slip, or both predict for one task, in the one form in which every kind hands it to the diagnosis."""
from dataclasses import dataclass

from . import stages
from .angles import from_mils
from .stages import DROPPED, HUNDRED, MILS, PLAIN, SWAPPED


@dataclass(frozen=True)
class Prediction:
    """Where a habit and a slip put the answer, before it is written down.

    `habit` and `slip` are codes of causes, or "ok". `centre_deg` is the direction predicted. `sign` says how it moves when the
    needle reads one degree more: +1, -1, or 0 where no needle is used. `share` is the weight among the ways of this habit
    and slip. `writing` is the way in which it is written down; `detail` names the other point, if one is concerned.
    """

    habit: str
    slip: str
    centre_deg: float
    sign: int
    share: float = 1.0
    writing: str = PLAIN
    detail: str = ""


@dataclass(frozen=True)
class Meant:
    """A direction that may have been meant by what was seen.

    `share` is how often that direction would come out so; `jacobian` is the degrees that one written unit stands for;
    `half_width_deg` is half of what the direction may have been rounded from.
    """

    direction_deg: float
    share: float = 1.0
    jacobian: float = 1.0
    half_width_deg: float = 0.5


def meant(written, writing):
    """The directions that, written down in this way, give what was written. A list of `Meant`, empty when none does.

    Digit faults need a whole number: nobody swaps the digits of a half. A number stated in mils was not meant as degrees.
    """
    if writing == MILS:
        mils = written.degrees if written.mils is None else written.mils
        return [Meant(from_mils(mils), jacobian=from_mils(1), half_width_deg=from_mils(1) / 2)]
    if written.mils is not None and not (360 < written.mils < 1000 and writing in (SWAPPED, HUNDRED)):
        return []
    if writing == PLAIN:
        return [Meant(written.degrees)]
    number = written.degrees if written.mils is None else written.mils  # three digits over 360 may also be a slip of the pen
    if number != int(number):
        return []
    number = int(number)
    if writing == SWAPPED:
        return [Meant(float(whole), 0.5) for whole in stages.swapped(number)]
    if writing == DROPPED:
        return [Meant(float(whole), ways / 3.0) for whole, ways in stages.before_dropping(number).items()]
    return [Meant(float(whole), 0.5) for whole in (number - 100, number + 100) if 0 <= whole < 360]
