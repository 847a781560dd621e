"""A reading is made in stages, and a mistake is a fault of one of them.

For a sighted bearing: stand on the mark, aim, let the needle settle, read the dial, do the
declination arithmetic, write the number down. Needle and dial faults act on the dial's number;
arithmetic comes after; digits last. For a bearing that is followed the same stages run the other
way round. Every stage before the digits is a turn or a mirroring of the circle, and so is every
chain of them: that is what `Turn` holds, and why combinations come out right without a case for
each.
"""

import itertools
import math
from dataclasses import dataclass

from ..earth.angles import wrap

PLAIN, SWAPPED, DROPPED, HUNDRED, MILS, OVER = (
    "plain",
    "swapped",
    "dropped",
    "hundred",
    "mils",
    "over",
)
STAGES = ("stand", "aim", "needle", "dial", "arithmetic", "write")


@dataclass(frozen=True)
class Turn:
    """A map of the circle onto itself: angle -> sign * angle + shift, in degrees; sign +1 turns, -1
    mirrors.
    """

    shift_deg: float = 0.0
    sign: int = 1

    def __call__(self, angle_deg):
        return wrap(self.sign * angle_deg + self.shift_deg)

    def then(self, later):
        """This turn followed by another, as one."""
        return Turn(later.sign * self.shift_deg + later.shift_deg, self.sign * later.sign)


@dataclass(frozen=True)
class Fault:
    """One way in which one stage goes wrong.

    `share` is how often this way is the one, among the ways of its cause at this task; `writing` is
    the way of writing the number down, for faults of digits; `detail` names the other point.
    """

    cause: str
    stage: str
    turn: Turn = Turn()
    share: float = 1.0
    writing: str = PLAIN
    detail: str = ""


def chains(faults, persistent):
    """Every single fault, and every pair of faults of different stages in which one is of a
    persistent cause.

    Two slips in one reading are too rare to be told from chance; a habit and a slip are not. Yields
    tuples of faults in the order of their stages; the empty tuple, no fault, comes first, then the
    single ones, then the pairs.
    """
    yield ()
    for fault in faults:
        yield (fault,)
    order = {stage: place for place, stage in enumerate(STAGES)}
    for one, other in itertools.combinations(
        sorted(faults, key=lambda fault: order[fault.stage]), 2
    ):
        if (
            one.stage != other.stage
            and one.cause != other.cause
            and (one.cause in persistent) + (other.cause in persistent) >= 1
        ):
            yield (one, other)


def runs(faults, persistent):
    """Each chain of faults as (habit, slip, its faults by stage, share). Of two habits, the later
    counts as the slip.
    """
    for chain in chains(faults, persistent):
        habits = [fault.cause for fault in chain if fault.cause in persistent]
        habit = habits[0] if habits else "ok"
        slips = [fault.cause for fault in chain if fault.cause != habit]
        yield (
            habit,
            slips[0] if slips else "ok",
            {fault.stage: fault for fault in chain},
            math.prod(f.share for f in chain),
        )


def labels_beside(dial_deg):
    """Printed numbers next to a place on the dial, with how often the mistaken count starts from
    them.

    Dials are numbered every 10, 20 or 30 degrees; a class set is mixed, so the labels of the first
    two are taken.
    """
    shares = {}
    for interval, weight in ((20.0, 0.5), (10.0, 0.5)):
        below = dial_deg // interval * interval
        for label in (below, below + interval):
            shares[label] = shares.get(label, 0.0) + weight / 2.0
    return shares


def dial_faults(dial_deg, mirrored):
    """The faults of reading a dial that stands at `dial_deg`, as turns of that number; `mirrored`
    is the share of that one.
    """
    yield Fault("mirrored", "dial", Turn(360.0, -1), mirrored)
    for label, share in labels_beside(dial_deg).items():
        yield Fault("counted_back", "dial", Turn(2.0 * label, -1), share)
    for shift in (90.0, -90.0):
        yield Fault("quarter_turn", "dial", Turn(shift), 0.5)
    for shift, share in ((10.0, 0.35), (-10.0, 0.35), (20.0, 0.15), (-20.0, 0.15)):
        yield Fault("ten_off", "dial", Turn(shift), share)


def swapped(number):
    """The whole numbers under 360 that are this one with two neighbouring digits of three
    exchanged, itself left out.
    """
    a, b, c = f"{number:03d}"
    return sorted({n for n in (int(b + a + c), int(a + c + b)) if n < 360 and n != number})


def before_dropping(number):
    """The whole numbers under 360 that become this two-digit one when a digit is dropped, each with
    how many ways of three.
    """
    if number > 99:
        return {}
    two = f"{number:02d}"
    ways = {}
    for place in range(3):
        for digit in "0123456789":
            whole = int(two[:place] + digit + two[place:])
            if whole < 360 and whole != number:
                ways[whole] = ways.get(whole, 0) + 1
    return ways
