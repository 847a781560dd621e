"""What may explain the sightings of a site together: which stations bend the needle, which
compasses are off, each with how probable it is.

A sighting is off by a[station] + o[compass] + d[line] + what the eye does. Each a and each o has a
prior of some normal `Part`s, and an explanation says which part holds for which; given one, and a
scale of the reading error, all is normal but for the tails of the eye, and is fitted by least
squares with weights (Student's t with TAIL_FREEDOM degrees of freedom by expectation-maximisation:
Lange, Little and Taylor 1989, J. American Statistical Association 84, 881). An explanation's
probability is its marginal likelihood after Laplace times its prior. The probable ones are searched
for from the simplest one on, the best first, changing one part at a time (Occam's window: Madigan
and Raftery 1994, same journal 89, 1535).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Explanation = tuple[int, ...]  # of each unknown, which part of its prior holds

# shared readings of practised people (README.md of fixtures/published): Student's t, 3 to 4
TAIL_FREEDOM = 4.0
# of the scale of all reading errors, a log-normal: teams of practised people differ by a log-sd of
# 0.45 (same source), instructors are taken to differ more; common practice, no source
SCALES = np.geomspace(0.3, 4.2, 10)
SCALE_LOG_SD = 1.2
ROUNDS = 12
# log units below the best at which an explanation no longer counts: a thousandth; and where it no
# longer matters to what would follow
WINDOW, NEARLY = 7.0, 3.0
MOST_AT_ONCE, MOST_EXPLANATIONS = 12, 240
# of Student's t beside a normal of the same scale, what one reading tells (its Fisher information)
INFORMATION = (TAIL_FREEDOM + 1.0) / (TAIL_FREEDOM + 3.0)
LEAST_WEIGHT = 1e-5  # of a component against the weightiest, below which it is left out


@dataclass(frozen=True)
class Part:
    """One part of an unknown's prior: its share, mean and standard deviation."""

    share: float
    mean_deg: float
    sigma_deg: float


@dataclass(frozen=True)
class Unknowns:
    """What is to be found: `priors`, the parts of each unknown, and how sightings see them.

    `design`: (sightings, unknowns), `seen_deg`, `error_deg` (reading error of scale one) and
    `line`: (sightings,), the last as index of the sighting's line; `line_variances`: (lines,),
    square degrees; `rounding_deg` is not scaled.
    """

    priors: tuple[tuple[Part, ...], ...]
    design: Floats
    seen_deg: Floats
    error_deg: Floats
    line: NDArray[np.intp]
    line_variances: Floats
    rounding_deg: float

    def of(self, explanations: Sequence[Explanation]) -> tuple[Floats, Floats, Floats]:
        """The priors under some explanations: means and variances (explanations, unknowns), and
        log probabilities (explanations,).
        """
        chosen = [
            [parts[index] for parts, index in zip(self.priors, explanation, strict=True)]
            for explanation in explanations
        ]
        means = np.array([[part.mean_deg for part in parts] for parts in chosen])
        variances = np.array([[part.sigma_deg**2 for part in parts] for parts in chosen])
        shares = np.array([[part.share for part in parts] for parts in chosen])
        return means, variances, np.log(shares).sum(axis=1)


@dataclass(frozen=True)
class Fits:
    """Fits of explanations (E) at each of SCALES (S): `means` (E, S, unknowns), `covariances`
    (E, S, unknowns, unknowns), and `log_posteriors` (E, S), but for a constant.
    """

    means: Floats
    covariances: Floats
    log_posteriors: Floats

    def best_of(self, row: int) -> tuple[Floats, Floats]:
        """Mean and covariance of an explanation at its likeliest scale."""
        scale = int(np.argmax(self.log_posteriors[row]))
        return self.means[row, scale], self.covariances[row, scale]


def fit(unknowns: Unknowns, explanations: Sequence[Explanation]) -> Fits:
    """Some explanations, fitted at every scale."""
    means, variances, log_priors = (
        np.repeat(values, len(SCALES), axis=0) for values in unknowns.of(explanations)
    )
    scales = np.tile(SCALES, len(explanations))
    sigma2: Floats = (scales[:, None] * unknowns.error_deg) ** 2 + unknowns.rounding_deg**2
    normal = _Normal(unknowns, means, variances)
    weights: Floats = 1.0 / sigma2
    for _ in range(ROUNDS):
        left = normal.solved(weights)[1]
        weights = (TAIL_FREEDOM + 1.0) / (TAIL_FREEDOM + left**2 / sigma2) / sigma2
    found, left, off_line = normal.solved(weights)
    covariances, log_determinants = normal.spread(_information(normal, weights, left, sigma2))
    tails = (TAIL_FREEDOM + 1.0) * np.log1p(left**2 / (TAIL_FREEDOM * sigma2)) + np.log(sigma2)
    pulls = (found - means) ** 2 / variances + np.log(variances)
    lines = off_line**2 / unknowns.line_variances
    log_posteriors = log_priors - 0.5 * (
        tails.sum(axis=1)
        + pulls.sum(axis=1)
        + lines.sum(axis=1)
        + log_determinants
        + (np.log(scales) / SCALE_LOG_SD) ** 2
    )
    shape, number = (len(explanations), len(SCALES)), len(unknowns.priors)
    return Fits(
        found.reshape(*shape, number),
        covariances.reshape(*shape, number, number),
        log_posteriors.reshape(shape),
    )


def _information(normal: _Normal, weights: Floats, left: Floats, sigma2: Floats) -> Floats:
    """What each sighting tells, per square degree: (F, sightings). A few sightings are fitted too
    well by what they decide themselves, so what is fitted counts with its own variance.
    """
    for _ in range(2):
        squares = left**2 + normal.leverages(weights)
        weights = (TAIL_FREEDOM + 1.0) / (TAIL_FREEDOM + squares / sigma2) / sigma2 * INFORMATION
    return weights


class _Normal:
    """Weighted least squares of many fits at once (F), each with its own prior means and variances
    (F, unknowns). Lines stand in one row or two and are eliminated.
    """

    def __init__(self, unknowns: Unknowns, means: Floats, variances: Floats) -> None:
        self.unknowns, self.means, self.variances = unknowns, means, variances
        design, lines = unknowns.design, np.eye(len(unknowns.line_variances))[unknowns.line]
        self.outer: Floats = (design[:, :, None] * design[:, None, :]).reshape(len(design), -1)
        self.on_lines: Floats = (lines[:, :, None] * design[:, None, :]).reshape(len(design), -1)
        self.lines: Floats = lines

    def solved(self, weights: Floats) -> tuple[Floats, Floats, Floats]:
        """The unknowns (F, unknowns), what is left of each sighting (F, sightings), and what each
        line's survey is off by (F, lines), all degrees; `weights` (F, sightings) are per square
        degree.
        """
        seen = self.unknowns.seen_deg
        matrix, on_lines, precision = self._matrix(weights)
        line_sums = (weights * seen) @ self.lines / precision
        side = (weights * seen) @ self.unknowns.design + self.means / self.variances
        side = side - np.einsum("flu,fl->fu", on_lines, line_sums)
        found: Floats = np.linalg.solve(matrix, side[:, :, None])[:, :, 0]
        off_line: Floats = line_sums - np.einsum("flu,fu->fl", on_lines, found) / precision
        left: Floats = seen - found @ self.unknowns.design.T - off_line[:, self.unknowns.line]
        return found, left, off_line

    def spread(self, weights: Floats) -> tuple[Floats, Floats]:
        """Covariances of the unknowns (F, unknowns, unknowns), and the log determinant of the
        precision of unknowns and lines together (F,).
        """
        matrix, _, precision = self._matrix(weights)
        log_determinants: Floats = np.linalg.slogdet(matrix)[1] + np.log(precision).sum(axis=1)
        return np.asarray(np.linalg.inv(matrix), dtype=np.float64), log_determinants

    def leverages(self, weights: Floats) -> Floats:
        """The variance of what is fitted to each sighting (F, sightings), square degrees."""
        matrix, on_lines, precision = self._matrix(weights)
        slopes = self.unknowns.design - (on_lines / precision[:, :, None])[:, self.unknowns.line]
        spread = np.einsum(
            "fsu,fus->fs", slopes, np.linalg.solve(matrix, slopes.transpose(0, 2, 1))
        )
        return np.asarray(spread + 1.0 / precision[:, self.unknowns.line])

    def _matrix(self, weights: Floats) -> tuple[Floats, Floats, Floats]:
        """The unknowns' normal matrix (F, unknowns, unknowns), how each line hangs on them (F,
        lines, unknowns), and each line's own precision (F, lines).
        """
        fits, number = self.means.shape
        precision: Floats = weights @ self.lines + 1.0 / self.unknowns.line_variances
        on_lines: Floats = (weights @ self.on_lines).reshape(fits, -1, number)
        matrix: Floats = (weights @ self.outer).reshape(fits, number, number)
        matrix = matrix - np.einsum("flu,flv->fuv", on_lines / precision[:, :, None], on_lines)
        matrix[:, range(number), range(number)] += 1.0 / self.variances
        return matrix, on_lines, precision


@dataclass(frozen=True)
class Posterior:
    """The probable explanations at all scales, together a mixture of normals: `explanations` (M,
    unknowns) and `scales` (M,) of each component, its `weights` (M,), and the `means` (M, unknowns)
    and `covariances` (M, unknowns, unknowns) of the unknowns, degrees.
    """

    explanations: NDArray[np.intp]
    scales: Floats
    weights: Floats
    means: Floats
    covariances: Floats

    @property
    def scale(self) -> float:
        """By how much the reading errors are wider than was assumed, posterior mean."""
        return float(self.weights @ self.scales)

    def probability(self, unknown: int, part: int) -> float:
        """How probable it is that a part of its prior holds for an unknown."""
        return float(self.weights[self.explanations[:, unknown] == part].sum())

    def kept(self, least: float) -> Posterior:
        """The components that count for some share of the weightiest one, or more."""
        return self._kept(self.weights, least)

    def given(self, unknown: int, part: int) -> Posterior:
        """What would follow if a part of its prior held for an unknown."""
        is_so = self.explanations[:, unknown] == part
        return self._kept(np.where(is_so, self.weights, 0.0), LEAST_WEIGHT)

    def _kept(self, weights: Floats, least: float) -> Posterior:
        """The components that count by some weights, which need not sum to one."""
        kept = weights > least * weights.max()
        return Posterior(
            self.explanations[kept],
            self.scales[kept],
            weights[kept] / weights[kept].sum(),
            self.means[kept],
            self.covariances[kept],
        )

    def likeliest(self) -> tuple[Explanation, float]:
        """The most probable component's explanation, and its scale."""
        best = int(np.argmax(self.weights))
        return tuple(self.explanations[best].tolist()), float(self.scales[best])


def explain(unknowns: Unknowns, asked: Sequence[tuple[int, int]] = ()) -> Posterior:
    """What the sightings say of the unknowns, as `Posterior`. `asked` are unknowns and parts of
    their priors whose consequences (`given`) are wanted, however improbable they are.
    """
    first = (0,) * len(unknowns.priors)
    search = _Search(unknowns)
    search.look_at([first])
    while explanation := search.next_to_open():
        search.look_at(search.neighbours(explanation))
    search.look_at(search.consequences(asked))
    return search.posterior()


class _Search:
    """Explanations looked at so far, the best first."""

    def __init__(self, unknowns: Unknowns) -> None:
        self.unknowns = unknowns
        self.fits: dict[Explanation, tuple[Fits, int]] = {}
        self.score: dict[Explanation, float] = {}
        self.opened: set[Explanation] = set()

    def look_at(self, explanations: Sequence[Explanation]) -> None:
        """Fit some explanations."""
        if not explanations:
            return
        fits = fit(self.unknowns, explanations)
        scores = np.logaddexp.reduce(fits.log_posteriors, axis=1).tolist()
        for row, (explanation, score) in enumerate(zip(explanations, scores, strict=True)):
            self.fits[explanation], self.score[explanation] = (fits, row), score

    def next_to_open(self) -> Explanation | None:
        """The best explanation whose neighbours were not looked at yet, None when none counts."""
        waiting = [explanation for explanation in self.score if explanation not in self.opened]
        if not waiting or len(self.score) >= MOST_EXPLANATIONS:
            return None
        best = max(waiting, key=self.score.__getitem__)
        if self.score[best] < max(self.score.values()) - WINDOW:
            return None
        self.opened.add(best)
        return best

    def neighbours(self, explanation: Explanation) -> list[Explanation]:
        """The explanations that differ in one unknown and promise to count, the best first.

        What the sightings alone say of an unknown is its fit with the prior divided out; another
        part of the prior is weighed against that, all else as it is.
        """
        fits, row = self.fits[explanation]
        mean, covariance = fits.best_of(row)
        floor = max(self.score.values()) - WINDOW
        promises: dict[Explanation, float] = {}
        for unknown, parts in enumerate(self.unknowns.priors):
            here = parts[explanation[unknown]]
            likelihood = _alone(mean[unknown], covariance[unknown, unknown], here)
            for index, part in enumerate(parts):
                other = (*explanation[:unknown], index, *explanation[unknown + 1 :])
                if other not in self.score:
                    gain = _log_weight(part, likelihood) - _log_weight(here, likelihood)
                    promises[other] = self.score[explanation] + gain
        counting = [other for other, score in promises.items() if score > floor]
        return sorted(counting, key=lambda other: -promises[other])[:MOST_AT_ONCE]

    def consequences(self, asked: Sequence[tuple[int, int]]) -> list[Explanation]:
        """The explanations that matter, each with every part that is asked for in its place, as far
        as they were not looked at.
        """
        floor = max(self.score.values()) - NEARLY
        matter = [explanation for explanation, score in self.score.items() if score > floor]
        changed = {
            (*explanation[:unknown], part, *explanation[unknown + 1 :])
            for explanation in matter
            for unknown, part in asked
        }
        return sorted(changed - self.score.keys())

    def posterior(self) -> Posterior:
        """All that was looked at, each explanation at each scale by its probability."""
        explanations = list(self.fits)
        rows = [(fits, row) for fits, row in self.fits.values()]
        log_weights = np.concatenate([fits.log_posteriors[row] for fits, row in rows])
        weights = np.exp(log_weights - log_weights.max())
        return Posterior(
            np.repeat(np.array(explanations, dtype=np.intp), len(SCALES), axis=0),
            np.tile(SCALES, len(explanations)),
            weights / weights.sum(),
            np.concatenate([fits.means[row] for fits, row in rows]),
            np.concatenate([fits.covariances[row] for fits, row in rows]),
        )


def _alone(mean_deg: float, variance: float, prior: Part) -> tuple[float, float]:
    """What is said of an unknown without its prior: mean and variance."""
    prior_variance = prior.sigma_deg**2
    alone = 1.0 / max(1.0 / variance - 1.0 / prior_variance, 1e-9)
    return alone * (mean_deg / variance - prior.mean_deg / prior_variance), alone


def _log_weight(part: Part, likelihood: tuple[float, float]) -> float:
    """The log of a part's share times how well it agrees with what is said without it."""
    mean_deg, variance = likelihood
    total = variance + part.sigma_deg**2
    return (
        math.log(part.share) - 0.5 * (mean_deg - part.mean_deg) ** 2 / total - 0.5 * math.log(total)
    )
