"""The log probability of each different answer as a function of what the needle is off by,
tabulated.

A person's habit h, scatter sigma and all that bends the needle together, x, decide how probable an
answer is: a sum over the ways to it of wrapped normals with heavy tails, and a uniform background.
For each different answer the ways are binned by position, whole degrees round the circle, and
blurred by Fourier transform; so x may be anything, 180 included (a reversed needle), and looking it
up costs no more for one bias than for another.
"""

import numpy as np

from .priors import HABITS, SIGMAS_DEG

BINS = 360
TAIL_SHARE, TAIL_WIDER = (
    0.06,
    2.5,
)  # one sound reading in sixteen scatters this much more; common practice, no source
RECKONED_SIGMA_DEG = 0.7
ROWS_AT_ONCE = 200


class Table:
    """`log_probability` (rows, BINS + pad, habits x sigmas), float32; the circle is continued by
    `pad` for windows across north.
    """

    def __init__(self, evidence, weights, background, known_deg, needle, pad):
        """`weights` (ways, habits); `background` (rows,); `known_deg` (tasks,) the answer's own
        uncertainty; `needle` (tasks,) bool.
        """
        rows, self.width, self.columns = (
            len(evidence.task),
            BINS + pad,
            len(HABITS) * len(SIGMAS_DEG),
        )
        self.log_probability = np.empty((rows, self.width, self.columns), np.float32)
        position = np.where(evidence.sign != 0, evidence.sign, 1) * evidence.residual_deg % BINS
        low = np.minimum(position.astype(int), BINS - 1)
        part = position - low
        spread = known_deg[evidence.task] ** 2 + evidence.rounding_var
        is_bent = needle[evidence.task]
        for begin in range(0, rows, ROWS_AT_ONCE):
            span = slice(begin, min(begin + ROWS_AT_ONCE, rows))
            ways = slice(*np.searchsorted(evidence.row, (span.start, span.stop)))
            spectra = _spectra(
                evidence.row[ways] - begin,
                low[ways],
                part[ways],
                weights[ways],
                span.stop - span.start,
            )
            self._fill(span, spectra, spread[span], is_bent[span], background[span])

    def _fill(self, span, spectra, spread, is_bent, background):
        frequency = np.radians(np.arange(BINS // 2 + 1)) ** 2
        for place, sigma in enumerate(SIGMAS_DEG):
            own, wider = (
                (np.where(is_bent, (sigma * by) ** 2, RECKONED_SIGMA_DEG**2) + spread)[:, None]
                for by in (1.0, TAIL_WIDER)
            )
            damping = (1.0 - TAIL_SHARE) * np.exp(-0.5 * own * frequency) + TAIL_SHARE * np.exp(
                -0.5 * wider * frequency
            )
            blurred = np.fft.irfft(spectra * damping[:, None, :], BINS)
            blurred = np.where(
                is_bent[:, None, None], blurred, blurred[:, :, :1]
            )  # an answer without a needle does not feel x
            values = np.log(np.maximum(blurred, 0.0) + background[:, None, None] + 1e-12)
            columns = np.arange(len(HABITS)) * len(SIGMAS_DEG) + place
            self.log_probability[span, :BINS, columns] = values.transpose(0, 2, 1)
        self.log_probability[span, BINS:] = self.log_probability[span, : self.width - BINS]

    def windows(self, rows, begin_deg, size):
        """Log probabilities from x = begin on, every degree: (readings, size, habits x sigmas).
        Between degrees they are interpolated.
        """
        begin = begin_deg % BINS
        low = np.minimum(begin.astype(int), BINS - 1)
        part = (begin - low).astype(np.float32)[:, None]
        flat = self.log_probability.reshape(-1)
        blocks = np.lib.stride_tricks.sliding_window_view(flat, (size + 1) * self.columns)[
            :: self.columns
        ]
        found = blocks[rows * self.width + low]
        lower, upper = found[:, : -self.columns], found[:, self.columns :]
        return (lower + part * (upper - lower)).reshape(len(rows), size, self.columns)

    def along(self, rows, columns, begin_deg, size):
        """Log probabilities in one column each, from x = begin on, every degree: (readings,
        size).
        """
        begin = begin_deg % BINS
        low = np.minimum(begin.astype(int), BINS - 1)
        part = (begin - low).astype(np.float32)[:, None]
        found = self.log_probability[
            rows[:, None], (low[:, None] + np.arange(size + 1)) % BINS, columns[:, None]
        ]
        return found[:, :-1] + part * (found[:, 1:] - found[:, :-1])


def _spectra(row, low, part, weights, rows):
    """Fourier transforms of the ways' positions by habit, split between neighbouring degrees:
    (rows, habits, frequencies).
    """
    histogram = np.empty((rows, len(HABITS), BINS))
    for habit in range(len(HABITS)):
        here = np.bincount(row * BINS + low, weights[:, habit] * (1.0 - part), rows * BINS)
        here += np.bincount(row * BINS + (low + 1) % BINS, weights[:, habit] * part, rows * BINS)
        histogram[:, habit] = here.reshape(rows, BINS)
    return np.fft.rfft(histogram)
