"""What is believed of a class before it has read anything, and how what classes show changes that.

A class is described by its `Rates`: how common each habit and slip is, how faithfully habits are
followed, how wide scatter and own offsets are, how heavy the tails. None of them is fixed. Each
class moves them from what was stated (`learnt`), and an instructor's earlier classes move what is
stated (`sharpened`). The stated numbers are settings: common practice, no source, since nobody has
published counts of beginners' compass mistakes; only the shape of scatter has one (see below).
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

import numpy as np

from ..mistakes import causes
from .arrays import Floats
from .biases import STATION_SHARE

# "ok" for none; two at once are joined as causes are.
HABITS = (
    "ok",
    *causes.PERSISTENT,
    "declination_ignored+reversed",
    "declination_wrong_way+reversed",
    "declination_twice+reversed",
)
SIGMAS_DEG = (0.7, 1.0, 1.5, 2.1, 3.0, 4.2, 6.0)
ONCE = {
    "reversed": 0.012,
    "declination_ignored": 0.012,
    "declination_wrong_way": 0.006,
    "declination_twice": 0.004,
    "convergence_ignored": 0.001,
}
# A person's slips are a class's, times a factor of their own: its Gamma distribution's shape. Small
# is a class of careless and careful people, large one in which all are alike.
CARE_SHAPES = (0.7, 1.5, 4.0, 20.0)
TAILS = (0.005, 0.05, 0.12, 0.2)  # shares of sound readings that scatter three times as wide
# what earlier classes count for at most, so that a new class can still be different
MOST_PEOPLE, MOST_READINGS = 40.0, 400.0
# What the stated rates count for: people, habits, readings or slips, whichever is counted.
KINDS_OF_HABIT, OWN_PEOPLE, LARGE_PEOPLE = 12.0, 6.0, 15.0
KINDS_OF_SLIP, FOLLOWED_READINGS, POOR_READINGS, COPIED_READINGS = 25.0, 12.0, 150.0, 150.0
GROUND_STATIONS = 12.0
# A class's centre of scatter is known beforehand as well as by so many people of it; the spread
# between people is that of open cave surveys (fixtures/published/real_readings.csv: 0.45).
CENTRE_PEOPLE, SPREAD_PEOPLE, LOG_SPREAD = 1.2, 6.0, 0.4


@dataclass(frozen=True)
class Rates:
    """What a class is like. Shares lie in 0..1.

    `habits` (in the order of HABITS) and `sigmas` (of SIGMAS_DEG) are shares of people, `slips` (of
    `causes.CODES`; "ok" for none) of readings; each sums to one. `followed` is how often a person
    with a habit follows it; `own_deg` the standard deviation of people's own offsets, degrees, but
    for the share `own_large` of them whose compass is off or set; `tail` the share of sound
    readings that scatter three times as wide, `poor` that of poor sights; `copied` the share of
    answers taken over from somebody else; `care` the shape of how careless people differ; `ground`
    the share of stations that are at fault.
    """

    habits: tuple[float, ...]
    sigmas: tuple[float, ...]
    slips: tuple[float, ...]
    followed: float
    own_deg: float
    own_large: float
    tail: float
    poor: float
    copied: float
    care: float
    ground: float


@dataclass(frozen=True)
class Priors(Rates):
    """Stated rates with what they weigh: `people` people and `readings` readings."""

    people: float = 4.0
    readings: float = 12.0

    def rates(self) -> Rates:
        """The rates alone."""
        return Rates(**{field.name: getattr(self, field.name) for field in fields(Rates)})


@dataclass(frozen=True)
class Counts:
    """What a class adds: expected numbers of people by habit and by scatter, and of readings by
    slip, in the orders of `Rates`.

    `followed` counts readings in which a habit was followed, and was not; `own` the squares of the
    offsets of people whose own is small, degrees squared, their number, and that of the others;
    `poor` poor sights, and sound readings; `copied` answers that were copied, and were not; `care`
    and `tail` the log likelihoods of CARE_SHAPES and TAILS; `ground` stations at fault, and sound
    ones.
    """

    habits: tuple[float, ...]
    sigmas: tuple[float, ...]
    slips: tuple[float, ...]
    followed: tuple[float, float] = (0.0, 0.0)
    own: tuple[float, float, float] = (0.0, 0.0, 0.0)
    poor: tuple[float, float] = (0.0, 0.0)
    copied: tuple[float, float] = (0.0, 0.0)
    care: tuple[float, ...] = (0.0,) * len(CARE_SHAPES)
    tail: tuple[float, ...] = (0.0,) * len(TAILS)
    ground: tuple[float, float] = (0.0, 0.0)


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


def _lognormal(centre: float, variance: float) -> tuple[float, ...]:
    """Shares of SIGMAS_DEG, a lognormal distribution's, none of them nothing."""
    density = np.exp(-0.5 * (np.log(SIGMAS_DEG) - centre) ** 2 / variance) + 1e-4
    return tuple((density / density.sum()).tolist())


STATED = Priors(
    habits=(
        0.74,
        0.055,
        0.10,
        0.05,
        0.03,
        0.015,
        0.005,
        0.003,
        0.002,
    ),  # ok, reversed, declination ignored, wrong way, twice, convergence ignored; both of two
    # practised adults about 1, beginners 2 to 4: classes differ more than people in a class
    sigmas=_lognormal(np.log(2.2), 0.35),
    slips=_slips(),
    followed=0.92,
    own_deg=0.8,
    own_large=0.08,
    # Readings of practised adults, in units of their own scatter: 85 % narrow, 15 % three times as
    # wide, and 0.5 % of poor sights (open cave surveys, fixtures/published/real_readings.csv).
    tail=0.12,
    poor=0.006,
    copied=0.01,
    care=1.5,
    ground=STATION_SHARE,
)


def mixed(
    rates: Sequence[float] | Floats, weight: float, counts: Sequence[float] | Floats
) -> Floats:
    """Rates after counts: the mean of the Dirichlet distribution with `rates` times `weight` plus
    the counts as its parameters.
    """
    total = weight * np.asarray(rates) + np.asarray(counts)
    return total / total.sum()


def _share(stated: float, weight: float, hits: float, misses: float) -> float:
    """A share after counts, the mean of a Beta distribution."""
    return (stated * weight + hits) / (weight + hits + misses)


def learnt(stated: Priors, counts: Counts) -> Rates:
    """The rates of a class: the stated ones moved by its counts."""
    by_people, by_readings = stated.people / STATED.people, stated.readings / STATED.readings
    squares, small, large = counts.own
    own = OWN_PEOPLE * by_people
    kinds = KINDS_OF_HABIT * by_people, KINDS_OF_SLIP * by_readings
    return Rates(
        habits=_parted(stated.habits, stated.people, kinds[0], counts.habits),
        sigmas=_scatter(stated.sigmas, by_people, counts.sigmas),
        slips=_parted(stated.slips, stated.readings, kinds[1], counts.slips),
        followed=_share(stated.followed, FOLLOWED_READINGS * by_readings, *counts.followed),
        own_deg=float(np.sqrt((own * stated.own_deg**2 + squares) / (own + small))),
        own_large=_share(stated.own_large, LARGE_PEOPLE * by_people, large, small),
        tail=_mean(TAILS, counts.tail, stated.tail),
        poor=_share(stated.poor, POOR_READINGS * by_readings, *counts.poor),
        copied=_share(stated.copied, COPIED_READINGS * by_readings, *counts.copied),
        care=_mean(CARE_SHAPES, counts.care, stated.care),
        ground=_share(stated.ground, GROUND_STATIONS * by_people, *counts.ground),
    )


def _parted(
    stated: tuple[float, ...], weight: float, kinds: float, counts: tuple[float, ...]
) -> tuple[float, ...]:
    """Rates of which the first is that of nothing: how often there is anything at all, and of which
    kind it then is, each moved by counts; `weight` and `kinds` are what the stated ones count for.
    """
    something = _share(1.0 - stated[0], weight, sum(counts[1:]), counts[0])
    each = mixed(np.array(stated[1:]) / max(1.0 - stated[0], 1e-9), kinds, counts[1:])
    return (1.0 - something, *(something * each).tolist())


def _scatter(
    stated: tuple[float, ...], by_people: float, counts: tuple[float, ...]
) -> tuple[float, ...]:
    """Shares of scatters: a lognormal distribution, its centre and spread moved by counts."""
    sigmas, number = np.log(SIGMAS_DEG), np.asarray(counts)
    before, spread = CENTRE_PEOPLE * by_people, SPREAD_PEOPLE * by_people
    centre = (before * (np.asarray(stated) @ sigmas) + number @ sigmas) / (before + number.sum())
    squares = number @ (sigmas - centre) ** 2
    variance = (spread * LOG_SPREAD**2 + squares) / (spread + number.sum())
    of_centre = variance / (before + number.sum())
    return _lognormal(float(centre), float(variance + of_centre))


def _mean(values: Sequence[float], log_likelihood: Sequence[float], stated: float) -> float:
    """The geometric mean of some values by their probabilities, those about the stated one being
    likelier before.
    """
    logs = np.log(values)
    log_posterior = np.asarray(log_likelihood) - 0.5 * ((logs - np.log(stated)) / 1.5) ** 2
    weight = np.exp(log_posterior - log_posterior.max())
    return float(np.exp(weight @ logs / weight.sum()))


def sharpened(stated: Priors, held: Sequence[Counts]) -> Priors:
    """The priors that follow from the stated ones and the counts of classes that were held; what
    these count for is bounded.
    """
    if not held:
        return stated
    total = Counts(
        **{
            field.name: tuple(
                np.sum([getattr(counts, field.name) for counts in held], axis=0).tolist()
            )
            for field in fields(Counts)
        }
    )
    people = min(sum(total.habits), MOST_PEOPLE) / max(sum(total.habits), 1e-9)
    readings = min(sum(total.slips), MOST_READINGS) / max(sum(total.slips), 1e-9)
    of_people = ("habits", "sigmas", "own", "ground")
    bounded = Counts(
        **{
            field.name: tuple(
                value * (people if field.name in of_people else readings)
                for value in getattr(total, field.name)
            )
            for field in fields(Counts)
        }
    )
    return Priors(
        **asdict(learnt(stated, bounded)),
        people=stated.people + sum(bounded.habits),
        readings=stated.readings + sum(bounded.slips),
    )


def to_plain(stated: Rates) -> dict[str, Any]:
    """Rates or priors as a dict that JSON can hold."""
    return asdict(stated)


def from_plain(row: Mapping[str, Any] | None) -> Priors:
    """The priors that `to_plain` was given; the stated ones for nothing. What was not known yet
    when they were kept is as it is stated.
    """
    if not row:
        return STATED
    kept: dict[str, Any] = {
        field.name: tuple(row[field.name]) if field.name in _PARTED else row[field.name]
        for field in fields(Priors)
        if field.name in row
    }
    for name in _PARTED:
        kept[name] = _filled_up(kept[name], getattr(STATED, name), at_front=name == "sigmas")
    return replace(STATED, **kept)


_PARTED = ("habits", "sigmas", "slips")


def _filled_up(
    kept: tuple[float, ...], stated: tuple[float, ...], *, at_front: bool
) -> tuple[float, ...]:
    """Kept rates with the stated ones of what is new: at the end, or of a smaller scatter in
    front.
    """
    lacking = len(stated) - len(kept)
    new = stated[:lacking] if at_front else stated[len(kept) :]
    scaled = tuple(rate * (1.0 - sum(new)) for rate in kept)
    return (*new, *scaled) if at_front else (*scaled, *new)
