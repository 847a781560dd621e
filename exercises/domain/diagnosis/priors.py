"""What is believed of a class before it has read anything, and how classes that were held change
that.

All numbers here are settings: common practice, no source, since nobody has published counts of
beginners' compass mistakes. An instructor's own classes sharpen them (`sharpened`): rates of
habits, of slips, and the spread of people's scatter.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from ..mistakes import causes
from .arrays import Floats

HABITS = ("ok", *causes.PERSISTENT)
SIGMAS_DEG = (1.0, 1.5, 2.1, 3.0, 4.2, 6.0)
ONCE = {
    "reversed": 0.012,
    "declination_ignored": 0.012,
    "declination_wrong_way": 0.006,
    "declination_twice": 0.004,
    "convergence_ignored": 0.001,
}
MOST_PEOPLE, MOST_READINGS = (
    200.0,
    2000.0,
)  # what earlier classes count for at most, so that a new class can still be different


@dataclass(frozen=True)
class Counts:
    """What a class adds: expected numbers of people by habit (in the order of HABITS) and by
    scatter (of SIGMAS_DEG), and of readings by slip (in the order of `causes.CODES`; "ok" for
    none)."""

    habits: tuple[float, ...]
    sigmas: tuple[float, ...]
    slips: tuple[float, ...]


@dataclass(frozen=True)
class Priors:
    """Rates with weights. `habits` and `sigmas` sum to one and count for `people` people; `slips`
    for `readings` readings.
    """

    habits: tuple[float, ...]
    sigmas: tuple[float, ...]
    slips: tuple[float, ...]
    people: float = 8.0
    readings: float = 40.0


def _slips() -> tuple[float, ...]:
    rate = (
        {
            code: 0.0 if cause.is_persistent else cause.rate
            for code, cause in causes.REGISTER.items()
        }
        | ONCE
        | {"ok": 0.0}
    )
    rate["ok"] = 1.0 - sum(rate.values())
    return tuple(rate[code] for code in causes.CODES)


STATED = Priors(
    habits=(
        0.74,
        0.06,
        0.10,
        0.05,
        0.04,
        0.01,
    ),  # ok, reversed, declination ignored, wrong way, twice, convergence ignored
    sigmas=(
        0.08,
        0.17,
        0.25,
        0.25,
        0.17,
        0.08,
    ),  # 2 to 4 degrees after instruction, 4 to 6 at first
    slips=_slips(),
)


def mixed(
    rates: Sequence[float] | Floats, weight: float, counts: Sequence[float] | Floats
) -> Floats:
    """Rates after counts: the mean of the Dirichlet distribution with `rates` times `weight` plus
    the counts as its parameters.
    """
    total = weight * np.asarray(rates) + np.asarray(counts)
    return total / total.sum()


def sharpened(stated: Priors, held: Sequence[Counts]) -> Priors:
    """The priors that follow from the stated ones and the counts of classes that were held; what
    these count for is bounded.
    """
    if not held:
        return stated
    habits, sigmas, slips = (
        np.sum([getattr(counts, name) for counts in held], axis=0)
        for name in ("habits", "sigmas", "slips")
    )
    people, readings = min(habits.sum(), MOST_PEOPLE), min(slips.sum(), MOST_READINGS)
    return replace(
        stated,
        people=stated.people + people,
        readings=stated.readings + readings,
        habits=tuple(
            mixed(stated.habits, stated.people, habits * people / max(habits.sum(), 1e-9)).tolist()
        ),
        sigmas=tuple(
            mixed(stated.sigmas, stated.people, sigmas * people / max(sigmas.sum(), 1e-9)).tolist()
        ),
        slips=tuple(
            mixed(stated.slips, stated.readings, slips * readings / max(slips.sum(), 1e-9)).tolist()
        ),
    )


def to_plain(stated: Priors) -> dict[str, Any]:
    """Priors as a dict that JSON can hold."""
    return asdict(stated)


def from_plain(row: Mapping[str, Any] | None) -> Priors:
    """The priors that `to_plain` was given; the stated ones for nothing. Causes that were not known
    yet have their stated rates.
    """
    if not row:
        return STATED
    kept = tuple(row["slips"])
    new = STATED.slips[len(kept) :]
    left = 1.0 - sum(new)
    return Priors(
        habits=tuple(row["habits"]),
        sigmas=tuple(row["sigmas"]),
        slips=(*(rate * left for rate in kept), *new),
        people=row["people"],
        readings=row["readings"],
    )
