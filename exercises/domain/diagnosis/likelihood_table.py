"""The log probability of each different answer as a function of what the needle is off by,
tabulated.

A person's habit h, scatter sigma and all that bends the needle together, x, decide how probable an
answer is: a sum over the ways to it of wrapped normals with heavy tails, and a uniform background.
For each different answer the ways are binned by position, whole degrees round the circle, and
blurred by Fourier transform; so x may be anything, 180 included (a reversed needle), and looking it
up costs no more for one bias than for another.
"""

from __future__ import annotations

import numpy as np

from .arrays import Flags, Floats, Indices, Singles, summed
from .priors import HABITS, SIGMAS_DEG
from .residuals import Residuals

BINS = 360
# One sound reading in sixteen scatters this much more; common practice, no source.
TAIL_SHARE, TAIL_WIDER = 0.06, 2.5
RECKONED_SIGMA_DEG = 0.7  # of a sum on paper; common practice, no source
ROWS_AT_ONCE = 200
LEAST_PROBABILITY = 1e-12


class LikelihoodTable:
    """`log_probability` (rows, BINS + pad, habits x sigmas), float32; the circle is continued by
    `pad` for windows across north.
    """

    def __init__(
        self,
        residuals: Residuals,
        weights: Floats,
        background: Floats,
        answer_sigma_deg: Floats,
        needle: Flags,
        pad: int,
    ) -> None:
        """`weights` (ways, habits); `background` (rows,); `answer_sigma_deg` (tasks,) the answer's
        own uncertainty; `needle` (tasks,) whether one is read.
        """
        rows = len(residuals.task)
        self.width, self.columns = BINS + pad, len(HABITS) * len(SIGMAS_DEG)
        self.log_probability: Singles = np.empty((rows, self.width, self.columns), np.float32)
        position = np.where(residuals.sign != 0, residuals.sign, 1) * residuals.residual_deg % BINS
        low = np.minimum(position.astype(int), BINS - 1)
        part = position - low
        variance = answer_sigma_deg[residuals.task] ** 2 + residuals.rounding_var
        has_needle = needle[residuals.task]
        for begin in range(0, rows, ROWS_AT_ONCE):
            span = slice(begin, min(begin + ROWS_AT_ONCE, rows))
            ways = slice(*np.searchsorted(residuals.row, (span.start, span.stop)))
            spectra = _spectra(
                residuals.row[ways] - begin,
                low[ways],
                part[ways],
                weights[ways],
                span.stop - span.start,
            )
            self._fill(span, spectra, variance[span], has_needle[span], background[span])

    def _fill(
        self,
        span: slice,
        spectra: np.ndarray,
        variance: Floats,
        has_needle: Flags,
        background: Floats,
    ) -> None:
        """Blur the spectra (rows, habits, frequencies) of some rows by each scatter."""
        frequency = np.radians(np.arange(BINS // 2 + 1)) ** 2
        for index, sigma_deg in enumerate(SIGMAS_DEG):
            narrow, wide = (
                (np.where(has_needle, (sigma_deg * by) ** 2, RECKONED_SIGMA_DEG**2) + variance)[
                    :, None
                ]
                for by in (1.0, TAIL_WIDER)
            )
            damping = (1.0 - TAIL_SHARE) * np.exp(-0.5 * narrow * frequency) + TAIL_SHARE * np.exp(
                -0.5 * wide * frequency
            )
            blurred = np.fft.irfft(spectra * damping[:, None, :], BINS)
            # An answer without a needle does not feel x.
            blurred = np.where(has_needle[:, None, None], blurred, blurred[:, :, :1])
            values = np.log(
                np.maximum(blurred, 0.0) + background[:, None, None] + LEAST_PROBABILITY
            )
            columns = np.arange(len(HABITS)) * len(SIGMAS_DEG) + index
            self.log_probability[span, :BINS, columns] = values.transpose(0, 2, 1)
        self.log_probability[span, BINS:] = self.log_probability[span, : self.width - BINS]

    def windows(self, rows: Indices, begin_deg: Floats, size: int) -> Singles:
        """Log probabilities from x = begin on, every degree: (readings, size, habits x sigmas).
        Between degrees they are interpolated.
        """
        low, part = _cell(begin_deg)
        flat = self.log_probability.reshape(-1)
        blocks = np.lib.stride_tricks.sliding_window_view(flat, (size + 1) * self.columns)[
            :: self.columns
        ]
        cells = blocks[rows * self.width + low]
        lower, upper = cells[:, : -self.columns], cells[:, self.columns :]
        return (lower + part * (upper - lower)).reshape(len(rows), size, self.columns)

    def along(self, rows: Indices, columns: Indices, begin_deg: Floats, size: int) -> Singles:
        """Log probabilities in one column each, from x = begin on, every degree: (readings,
        size).
        """
        low, part = _cell(begin_deg)
        cells = self.log_probability[
            rows[:, None], (low[:, None] + np.arange(size + 1)) % BINS, columns[:, None]
        ]
        return cells[:, :-1] + part * (cells[:, 1:] - cells[:, :-1])


def _cell(angle_deg: Floats) -> tuple[Indices, Singles]:
    """The degree below each angle: (readings,), and the part of a degree beyond it: (readings,
    1).
    """
    angle = angle_deg % BINS
    low = np.minimum(angle.astype(int), BINS - 1)
    return low, (angle - low).astype(np.float32)[:, None]


def _spectra(row: Indices, low: Indices, part: Floats, weights: Floats, rows: int) -> np.ndarray:
    """Fourier transforms of the ways' positions by habit, split between neighbouring degrees:
    (rows, habits, frequencies).
    """
    histogram = np.empty((rows, len(HABITS), BINS))
    for habit in range(len(HABITS)):
        below = summed(weights[:, habit] * (1.0 - part), row * BINS + low, rows * BINS)
        above = summed(weights[:, habit] * part, row * BINS + (low + 1) % BINS, rows * BINS)
        histogram[:, habit] = (below + above).reshape(rows, BINS)
    return np.fft.rfft(histogram)
