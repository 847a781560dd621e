"""What may explain the sightings of a site together: which stations bend the needle, which
compasses are off, each with how probable it is.

An explanation's probability is the marginal likelihood of its fit after Laplace times its prior.
The probable ones are searched for from the simplest one on, the best first, changing one part at a
time (Occam's window: Madigan and Raftery 1994, J. American Statistical Association 89, 1535).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .fits import SCALES, Explanation, Fits, Floats, Part, Unknowns, fit

# log units below the best at which an explanation no longer counts: one in 150; and where it no
# longer matters to what would follow
WINDOW, NEARLY = 5.0, 2.0
MOST_AT_ONCE, MOST_EXPLANATIONS = 12, 96
LEAST_WEIGHT = 1e-5  # of a component against the weightiest, below which it is left out


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
