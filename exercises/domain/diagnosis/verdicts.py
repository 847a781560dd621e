"""What is said in the end: of a reading its likeliest cause, of a person how they read."""

from dataclasses import dataclass

from ..mistakes import causes

LEAST_ALTERNATIVE = 0.02  # probability from which an alternative is worth saying


@dataclass(frozen=True)
class Verdict:
    """The most probable cause of a reading with its probability, and the alternatives as (cause,
    probability), likelier first.

    `detail` is the code of the other point concerned, for another target or another station; of a
    place the point whose bearing, or the number of the leg, that went wrong; else empty.
    """

    cause: str
    probability: float
    alternatives: tuple = ()
    detail: str = ""

    @property
    def is_sure(self):
        """Whether the cause may be said as one sentence."""
        return self.probability >= causes.SURE


@dataclass(frozen=True)
class Person:
    """A person's offset (their own and their compass's) in degrees with its standard error and the
    probability that it is more than FAULT_DEG; their most probable habit, or none, with its
    probability; their scatter, one sigma, with its standard error."""

    offset_deg: float
    offset_error_deg: float
    offset_probability: float
    habit: str
    habit_probability: float
    scatter_deg: float
    scatter_error_deg: float


def likeliest(by_cause, details):
    """The verdict of shares by cause, in any unit; `details` are shares by (cause, code of the
    other point, bearing or leg).
    """
    mass = sum(by_cause.values())
    ranked = sorted(
        ((code, one / mass) for code, one in by_cause.items()), key=lambda pair: (-pair[1], pair[0])
    )
    cause, probability = ranked[0]
    own = {detail: share for (code, detail), share in details.items() if code == cause}
    return Verdict(
        cause,
        probability,
        tuple(pair for pair in ranked[1:5] if pair[1] >= LEAST_ALTERNATIVE),
        max(own, key=own.get) if own else "",
    )
