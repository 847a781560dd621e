"""The stable codes of what may have happened to a reading, with how common each is.

What a cause predicts depends on the kind of task and stands there, as faults of stages; how it is
said stands in `presenting/causes.py`. Codes appear in exports and never change.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

# How an answer is come by, which decides what helps.
IN_THE_FIELD, IN_A_SUM, ON_A_MAP = "field", "sum", "map"


@dataclass(frozen=True)
class Cause:
    """A cause: its code, and its prior share of readings.

    Nobody has counted beginners. What ranks them: a survey of British instructors (Strong Roots
    Training, February 2015), the blunders of volunteer cave surveyors (L. Fish, "Blunder
    location"), errors of written numbers (Verhoeff 1969). The figures are common practice, no
    source. `is_persistent` says that it may be a habit of a person, `is_mistake` that it is a
    person's and no fault of the ground or of a compass.
    """

    code: str
    rate: float
    is_persistent: bool = False
    is_mistake: bool = True


REGISTER = {
    cause.code: cause
    for cause in (
        Cause("ok", 0.70, is_mistake=False),
        Cause("reversed", 0.04, is_persistent=True),
        Cause("declination_ignored", 0.05, is_persistent=True),
        Cause("declination_wrong_way", 0.02, is_persistent=True),
        Cause("declination_twice", 0.012, is_persistent=True),
        Cause("convergence_ignored", 0.008, is_persistent=True),
        Cause("other_target", 0.03),
        Cause("other_station", 0.015),
        Cause("mirrored", 0.015),
        Cause("counted_back", 0.02),
        Cause("quarter_turn", 0.012),
        Cause("digits_swapped", 0.012),
        Cause("digit_dropped", 0.008),
        Cause("ten_off", 0.025),
        Cause("hundred_off", 0.01),
        Cause("mils", 0.008),
        Cause("compass_offset", 0.0, is_mistake=False),
        Cause("station_fault", 0.0, is_mistake=False),
        Cause("unexplained", 0.02),
        # New codes stand at the end: counts that were kept are in this order, and shorter ones are
        # filled up (priors.from_plain).
        Cause("over_360", 0.004),
        Cause("paces", 0.006),
        Cause("leg_left_out", 0.004),
    )
}
CODES = tuple(REGISTER)
PERSISTENT = tuple(code for code, cause in REGISTER.items() if cause.is_persistent)
# from here a cause is said as one sentence; below, the likeliest two are named as possibilities
SURE = 0.6
CERTAIN = 0.9  # from here it is said without a "probably"


def combined(codes: Iterable[str]) -> str:
    """Codes joined with `+` in alphabetical order; none of them is `ok`.

    >>> combined(["reversed", "declination_ignored"]), combined([])
    ('declination_ignored+reversed', 'ok')
    """
    return "+".join(sorted(codes)) or "ok"


def parts(code: str) -> tuple[str, ...]:
    """The single codes of a code, combined or single."""
    return tuple(code.split("+"))


def mistakes(code: str) -> tuple[str, ...]:
    """The codes of the mistakes of a person in a code.

    >>> mistakes("reversed+station_fault"), mistakes("ok")
    (('reversed',), ())
    """
    return tuple(part for part in parts(code) if REGISTER[part].is_mistake)


def of_person(code: str) -> str:
    """A code without faults of the ground and of a compass: what a person can know of themselves.

    >>> of_person("reversed+station_fault"), of_person("station_fault")
    ('reversed', 'ok')
    """
    return combined(mistakes(code))
