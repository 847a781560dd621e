"""What many readings have in common: the bias of a station, a sight line or a compass, and when it
began. Degrees, clockwise positive.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .arrays import Floats, Indices

# a compass more than 3 degrees off is withdrawn (FM 3-25.26, ch. 9); the same limit is used for the
# ground
FAULT_DEG = 3.0
BIASES_DEG = np.arange(-40.0, 41.0)
# Settings: common practice, no source. Narrow is what sound ground and sound compasses do; wide is
# a fault; then how often there is one.
STATION_NARROW_DEG, STATION_WIDE_DEG, STATION_SHARE = 0.6, 12.0, 0.07
LINE_WIDE_DEG, LINE_SHARE = 20.0, 0.012
COMPASS_NARROW_DEG, COMPASS_WIDE_DEG, COMPASS_SHARE = 0.5, 8.0, 0.05
REVERSED_SHARE = 0.015  # of numbered compasses: a needle that has changed its poles
# of stations and lines, where something arrives or leaves while a class is held
CHANGED_SHARE = 0.06
LEAST_EACH_SIDE = 4  # readings before and after, for a change to be claimed
# of faults that somebody saw to while a class was held, how many end then; common practice, no
# source
MENDED_SHARE = 0.5
SURE_ODDS = 1.5
TINY = 1e-300  # the probability of what cannot be, whose logarithm is wanted


@dataclass(frozen=True)
class Bias:
    """A bias: mean and standard error, degrees, and the probability that it is a fault, larger than
    FAULT_DEG.

    `seen_deg` and `seen_error_deg` are what the readings say alone, before any belief drew them to
    zero: classes are pooled by these. `since` is the first reading, in order of time, that has it,
    `until` the first that has it no more; None where it always was.
    """

    degrees: float
    error_deg: float
    fault_probability: float
    seen_deg: float = 0.0
    seen_error_deg: float = 40.0
    since: int | None = None
    until: int | None = None


NO_BIAS = Bias(0.0, 0.0, 0.0)


def normal(grid: Floats, spread_deg: float) -> Floats:
    """A normal density on a grid, made to sum to one."""
    density = np.exp(-0.5 * (grid / spread_deg) ** 2)
    return density / density.sum()


def prior(narrow_deg: float, wide_deg: float, share: float, grid: Floats = BIASES_DEG) -> Floats:
    """Log prior on a grid of a bias that is mostly narrow and sometimes wide."""
    return np.log((1.0 - share) * normal(grid, narrow_deg) + share * normal(grid, wide_deg) + TINY)


def beyond(limit_deg: float, grid: Floats = BIASES_DEG) -> Floats:
    """How much of each grid cell lies further from zero than a limit, 0..1."""
    return np.clip(np.abs(grid) - limit_deg + 0.5, 0.0, 1.0)


def posterior(log_like: Floats, log_prior: Floats, limit_deg: float = FAULT_DEG) -> Bias:
    """The bias that a log likelihood and a log prior on BIASES_DEG give."""
    weight = _weights(log_like + log_prior)
    return Bias(*_moments(weight), float(weight @ beyond(limit_deg)), *_moments(_weights(log_like)))


def _moments(weight: Floats) -> tuple[float, float]:
    """Mean and standard deviation of weights on BIASES_DEG; the half-degree of the grid counts."""
    mean = float(weight @ BIASES_DEG)
    return mean, float(np.sqrt(weight @ (BIASES_DEG - mean) ** 2 + 1.0 / 12.0))


def _weights(log_posterior: Floats) -> Floats:
    weight = np.exp(log_posterior - log_posterior.max())
    return weight / weight.sum()


def log_sum(values: Floats, axis: int = -1) -> Floats:
    """Logarithm of a sum of exponentials."""
    top = values.max(axis=axis, keepdims=True)
    return np.squeeze(top, axis) + np.log(np.exp(values - top).sum(axis=axis))


def moved(log_like: Floats, by_deg: float) -> Floats:
    """Log likelihoods that are functions of what is added to a bias `by_deg`, as functions of the
    bias itself; (..., biases).
    """
    at = np.clip(BIASES_DEG - by_deg, BIASES_DEG[0], BIASES_DEG[-1]) - BIASES_DEG[0]
    low = np.minimum(at.astype(int), len(BIASES_DEG) - 2)
    part = at - low
    return log_like[..., low] * (1.0 - part) + log_like[..., low + 1] * part


def _steady(total: Floats, calm: Floats, fault: Floats, share: float) -> Floats:
    """Log marginal likelihood of one bias for all, calm or at fault."""
    return np.logaddexp(
        np.log(1.0 - share) + log_sum(total + calm), np.log(share) + log_sum(total + fault)
    )


def change(scans: Floats, line: Indices, seen_to: Sequence[int] = ()) -> tuple[int, bool] | None:
    """When a bias began or ended: (place of the first reading after it, whether the fault comes
    after), or None.

    `scans` (readings, biases), in order of time, are log likelihoods of one station's or line's
    readings as functions of the whole bias; `line` (readings,) the line of each. Before and after,
    one side is calm and the other at fault. Every moment with LEAST_EACH_SIDE readings on either
    side is as likely; after so many readings as `seen_to` says, somebody saw to it, and there a
    fault ends far more often, however few readings there are. Compared with one bias for all, calm
    or not, and with lines of which each may be at fault by itself.
    """
    cuts = np.arange(1, len(scans))
    began_prior, ended_prior = _log_priors_of_change(len(scans), seen_to)
    if not len(cuts) or ended_prior.max() <= np.log(TINY):
        return None
    calm, fault = np.log(normal(BIASES_DEG, 1.5)), np.log(normal(BIASES_DEG, STATION_WIDE_DEG))
    before = np.cumsum(scans, axis=0, dtype=float)
    first, rest = before[cuts - 1], before[-1] - before[cuts - 1]
    began = began_prior + log_sum(first + calm) + log_sum(rest + fault)
    ended = ended_prior + log_sum(first + fault) + log_sum(rest + calm)
    steady = np.logaddexp(
        _steady(before[-1], calm, fault, STATION_SHARE),
        sum(
            _steady(scans[line == each].sum(axis=0), calm, fault, LINE_SHARE)
            for each in set(line.tolist())
        ),
    )
    if np.logaddexp(log_sum(began), log_sum(ended)) - steady < np.log(SURE_ODDS):
        return None
    comes_after = began.max() >= ended.max()
    return int(cuts[(began if comes_after else ended).argmax()]), bool(comes_after)


def _log_priors_of_change(count: int, seen_to: Sequence[int]) -> tuple[Floats, Floats]:
    """How probable it is, of `count` readings, that a fault began, or ended, before each but the
    first: two of (count - 1,), logarithms.
    """
    cuts = np.arange(1, count)
    is_far = (cuts >= LEAST_EACH_SIDE) & (cuts <= count - LEAST_EACH_SIDE)
    began = CHANGED_SHARE * is_far / (2 * max(1, int(is_far.sum())))
    ended = began + MENDED_SHARE * np.isin(cuts, seen_to)
    return np.log(began + TINY), np.log(ended + TINY)
