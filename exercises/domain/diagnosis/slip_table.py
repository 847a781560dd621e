"""How probable each different answer is by a slip, as a function of what the needle is off by,
tabulated.

A slip leads to some three hundred places round the circle: they are binned and blurred by Fourier
transform, so that looking them up costs no more for one bias than for another. Two degrees and one
blur are enough for what is only the ground on which sound readings stand out; verdicts take the
ways one by one (`explaining`).
"""

from __future__ import annotations

import numpy as np

from .arrays import Flags, Floats, Indices, Singles, summed
from .priors import HABITS
from .residuals import Residuals
from .way_weights import WayWeights, soundness

BIN_DEG = 2.0
BINS = 180
BLUR_DEG, RECKONED_BLUR_DEG = 2.5, 1.0
ROWS_AT_ONCE = 300


class SlipTable:
    """`probability` (rows, habits, BINS), float32: of each different answer, by the habit that acts
    and by x, for a person as careless as their class.
    """

    def __init__(self, residuals: Residuals, weights: WayWeights, has_needle: Flags) -> None:
        """`has_needle` (rows,) says whether one is read."""
        rows = len(residuals.task)
        self.probability: Singles = np.empty((rows, len(HABITS), BINS), np.float32)
        sign = np.where(residuals.sign != 0, residuals.sign, 1)
        position = sign * residuals.residual_deg % 360.0 / BIN_DEG
        low = np.minimum(position.astype(int), BINS - 1)
        frequency = np.radians(np.arange(BINS // 2 + 1)) ** 2
        blur = np.where(has_needle, BLUR_DEG, RECKONED_BLUR_DEG)
        damping = np.exp(-0.5 * blur[:, None] ** 2 * frequency) / BIN_DEG
        for begin in range(0, rows, ROWS_AT_ONCE):
            end = min(begin + ROWS_AT_ONCE, rows)
            ways = slice(*np.searchsorted(residuals.row, (begin, end)))
            habit, slip = residuals.habit[ways], residuals.slip[ways]
            weight = weights.of(habit, slip) * ~soundness()[habit, slip]
            spectra = _spectra(
                residuals.row[ways] - begin,
                low[ways],
                (position - low)[ways],
                weight * residuals.share[ways, None],
                end - begin,
            )
            blurred = np.fft.irfft(spectra * damping[begin:end, None, :], BINS)
            # An answer without a needle does not feel x.
            still = ~has_needle[begin:end]
            blurred[still] = blurred[still][:, :, :1]
            self.probability[begin:end] = np.maximum(blurred, 0.0)

    def along(self, rows: Indices, habits: Indices, at_deg: Floats) -> Singles:
        """The probabilities of some answers by some habits, at some x: (n, ...) as `at_deg`."""
        bins = np.rint(at_deg / BIN_DEG).astype(np.int32) % BINS
        base = (rows * len(HABITS) + habits) * BINS
        shape = (len(rows),) + (1,) * (at_deg.ndim - 1)
        found: Singles = self.probability.reshape(-1)[base.reshape(shape) + bins]
        return found


def _spectra(row: Indices, low: Indices, part: Floats, weights: Floats, rows: int) -> np.ndarray:
    """Fourier transforms of the ways' positions by habit, split between neighbouring bins: (rows,
    habits, frequencies).
    """
    histogram = np.empty((rows, len(HABITS), BINS))
    for habit in range(len(HABITS)):
        below = summed(weights[:, habit] * (1.0 - part), row * BINS + low, rows * BINS)
        above = summed(weights[:, habit] * part, row * BINS + (low + 1) % BINS, rows * BINS)
        histogram[:, habit] = (below + above).reshape(rows, BINS)
    return np.fft.rfft(histogram)
