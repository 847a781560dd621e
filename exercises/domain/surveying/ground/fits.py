"""Explanations of the sightings of a site, each fitted by least squares.

A sighting is off by a[station] + o[compass] + d[line] + what the eye does. Each a and each o has a
prior of some normal `Part`s, and an explanation says which part holds for which; given one, and a
scale of the reading error, all is normal but for the tails of the eye, and is fitted with weights
(Student's t with TAIL_FREEDOM degrees of freedom by expectation-maximisation: Lange, Little and
Taylor 1989, J. American Statistical Association 84, 881).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Explanation = tuple[int, ...]  # of each unknown, which part of its prior holds

# shared readings of practised people (README.md of fixtures/published): Student's t, 3 to 4
TAIL_FREEDOM = 4.0
# of Student's t beside a normal of the same scale, what one reading tells (its Fisher information)
INFORMATION = (TAIL_FREEDOM + 1.0) / (TAIL_FREEDOM + 3.0)
# of the scale of all reading errors, a log-normal: teams of practised people differ by a log-sd of
# 0.45 (same source), instructors are taken to differ more; common practice, no source
SCALES = np.geomspace(0.3, 4.2, 10)
SCALE_LOG_SD = 1.2
ROUNDS = 8


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
    (F, unknowns). Sightings of one line from one station with one compass are one *look*; lines are
    eliminated.
    """

    def __init__(self, unknowns: Unknowns, means: Floats, variances: Floats) -> None:
        self.unknowns, self.means, self.variances = unknowns, means, variances
        rows, self.look = np.unique(
            np.column_stack([unknowns.line, unknowns.design]), axis=0, return_inverse=True
        )
        self.line, self.design = rows[:, 0].astype(np.intp), rows[:, 1:]
        self.gathered: Floats = np.eye(len(rows))[self.look]
        self.lines: Floats = np.eye(len(unknowns.line_variances))[self.line]
        outer = self.design[:, :, None] * self.design[:, None, :]
        on_lines = self.lines[:, :, None] * self.design[:, None, :]
        self.outer, self.on_lines = outer.reshape(len(rows), -1), on_lines.reshape(len(rows), -1)

    def solved(self, weights: Floats) -> tuple[Floats, Floats, Floats]:
        """The unknowns (F, unknowns), what is left of each sighting (F, sightings), and what each
        line's survey is off by (F, lines), all degrees; `weights` (F, sightings) are per square
        degree.
        """
        matrix, on_lines, precision = self._matrix(weights)
        seen: Floats = (weights * self.unknowns.seen_deg) @ self.gathered
        line_sums = seen @ self.lines / precision
        side = seen @ self.design + self.means / self.variances
        side = side - np.einsum("flu,fl->fu", on_lines, line_sums)
        found: Floats = np.linalg.solve(matrix, side[:, :, None])[:, :, 0]
        off_line: Floats = line_sums - np.einsum("flu,fu->fl", on_lines, found) / precision
        fitted: Floats = found @ self.design.T + off_line[:, self.line]
        return found, self.unknowns.seen_deg - fitted[:, self.look], off_line

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
        slopes = self.design - (on_lines / precision[:, :, None])[:, self.line]
        spread = np.einsum(
            "fsu,fus->fs", slopes, np.linalg.solve(matrix, slopes.transpose(0, 2, 1))
        )
        return np.asarray((spread + 1.0 / precision[:, self.line])[:, self.look])

    def _matrix(self, weights: Floats) -> tuple[Floats, Floats, Floats]:
        """The unknowns' normal matrix (F, unknowns, unknowns), how each line hangs on them (F,
        lines, unknowns), and each line's own precision (F, lines).
        """
        fits, number = self.means.shape
        looks = weights @ self.gathered
        precision: Floats = looks @ self.lines + 1.0 / self.unknowns.line_variances
        on_lines: Floats = (looks @ self.on_lines).reshape(fits, -1, number)
        matrix: Floats = (looks @ self.outer).reshape(fits, number, number)
        matrix = matrix - np.einsum("flu,flv->fuv", on_lines / precision[:, :, None], on_lines)
        matrix[:, range(number), range(number)] += 1.0 / self.variances
        return matrix, on_lines, precision
