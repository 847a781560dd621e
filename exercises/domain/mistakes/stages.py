"""A reading is made in stages, and a mistake is a fault of one of them.

For a sighted bearing: stand on the mark, aim, let the needle settle, read the dial, do the
declination arithmetic, write the number down. Needle and dial faults act on the dial's number;
arithmetic comes after; digits last. For a bearing that is followed the same stages run the other
way round. Every stage before the digits is a turn or a mirroring of the circle, and so is every
chain of them: that is what `Turn` holds, and why combinations come out right without a case for
each.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..earth.angle_units import DEGREES, AngleUnit
from ..earth.angles import wrap

# The ways of writing a number down.
PLAIN = "plain"
SWAPPED, DROPPED, HUNDRED = "swapped", "dropped", "hundred"
MILS, OVER = "mils", "over"
STAGES = ("stand", "aim", "needle", "dial", "arithmetic", "write")


@dataclass(frozen=True)
class Turn:
    """A map of the circle onto itself: angle -> sign * angle + shift, in degrees; sign +1 turns, -1
    mirrors.
    """

    shift_deg: float = 0.0
    sign: int = 1

    def __call__(self, angle_deg: float) -> float:
        """Where it takes an angle, degrees in [0, 360)."""
        return wrap(self.sign * angle_deg + self.shift_deg)

    def then(self, later: Turn) -> Turn:
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


def chains(faults: Sequence[Fault], persistent: Collection[str]) -> Iterator[tuple[Fault, ...]]:
    """Every single fault, and every pair of faults of different stages in which one is of a
    persistent cause.

    Two slips in one reading are too rare to be told from chance; a habit and a slip are not. Yields
    tuples of faults in the order of their stages; the empty tuple, no fault, comes first, then the
    single ones, then the pairs.
    """
    yield ()
    for fault in faults:
        yield (fault,)
    in_order = sorted(faults, key=lambda fault: STAGES.index(fault.stage))
    for early, late in itertools.combinations(in_order, 2):
        is_of_two = early.stage != late.stage and early.cause != late.cause
        if is_of_two and (early.cause in persistent or late.cause in persistent):
            yield (early, late)


@dataclass(frozen=True)
class Run:
    """The stages run with a chain of faults: the codes of the habit and of the slip, or "ok"; the
    faults by stage, in the order of the stages; and the share of the chain.
    """

    habit: str
    slip: str
    by_stage: Mapping[str, Fault]
    share: float

    def turn(self, steps: Iterable[str | Turn]) -> Turn:
        """Some steps one after the other, as one turn: stages with what went wrong in them, and
        between them what is turned where nothing goes wrong.
        """
        turn = Turn()
        for step in steps:
            if isinstance(step, Turn):
                turn = turn.then(step)
            elif step in self.by_stage:
                turn = turn.then(self.by_stage[step].turn)
        return turn

    @property
    def writing(self) -> str:
        """The way in which the number is written down."""
        return self.by_stage["write"].writing if "write" in self.by_stage else PLAIN

    @property
    def detail(self) -> str:
        """The other point, if a fault names one."""
        return "".join(fault.detail for fault in self.by_stage.values())


def runs(faults: Sequence[Fault], persistent: Collection[str]) -> Iterator[Run]:
    """Each chain of faults, as `Run`. Of two habits, the later counts as the slip."""
    for chain in chains(faults, persistent):
        habits = [fault.cause for fault in chain if fault.cause in persistent]
        habit = habits[0] if habits else "ok"
        slips = [fault.cause for fault in chain if fault.cause != habit]
        yield Run(
            habit,
            slips[0] if slips else "ok",
            {fault.stage: fault for fault in chain},
            math.prod(fault.share for fault in chain),
        )


def labels_beside(dial_deg: float, unit: AngleUnit = DEGREES) -> dict[float, float]:
    """Printed numbers next to a place on the dial, in degrees, with how often the mistaken count
    starts from them.

    Dials are numbered every 10, 20 or 30 degrees; a class set is mixed, so the labels of the first
    two are taken; for mils those of their unit.
    """
    shares: dict[float, float] = {}
    for label_every in unit.labels:
        interval, weight = unit.degrees(label_every), 0.5
        below = dial_deg // interval * interval
        for label in (below, below + interval):
            shares[label] = shares.get(label, 0.0) + weight / 2.0
    return shares


def dial_faults(dial_deg: float, mirrored: float, unit: AngleUnit = DEGREES) -> Iterator[Fault]:
    """The faults of reading a dial that stands at `dial_deg`, as turns of that number; `mirrored`
    is the share of that one, `unit` what the dial is marked in.
    """
    yield Fault("mirrored", "dial", Turn(360.0, -1), mirrored)
    for label, share in labels_beside(dial_deg, unit).items():
        yield Fault("counted_back", "dial", Turn(2.0 * label, -1), share)
    for shift in (90.0, -90.0):
        yield Fault("quarter_turn", "dial", Turn(shift), 0.5)
    for shift, share in unit.labels_off():
        yield Fault("ten_off", "dial", Turn(shift), share)
