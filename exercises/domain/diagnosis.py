"""How probable each cause is for each reading, over a whole class.

Each reading is judged by itself, as a mixture: a habit and a slip are drawn with the rates of `causes.py`, put the answer
where the kind's stages say, and scatter round it as a wrapped normal of unknown width; a uniform background takes the rest.
"""
import itertools
from dataclasses import dataclass

import numpy as np

from . import causes
from .evidence import CODES, INDEX, gather
from .kinds import kind_of

# Scatter of a person's sound readings: 2-4 degrees after instruction, 4-6 at the first attempt; common practice, no source.
SCATTER_DEG = (1.5, 2.5, 3.5, 5.0)
SCATTER_PRIOR = (0.2, 0.35, 0.3, 0.15)
ARITHMETIC_SCATTER_DEG = 0.7  # of an answer that is reckoned: whole degrees of two numbers
LEAST_ALTERNATIVE = 0.02  # probability from which an alternative is worth saying
LOGISTIC = 1.702  # the logistic curve that lies within 0.01 of the normal distribution; Camilli (1994), from memory


@dataclass(frozen=True)
class Verdict:
    """The most probable cause of a reading with its probability, and the alternatives as (cause, probability), likelier first.

    `detail` is the code of the other point concerned, for another target or another station; else empty.
    """

    cause: str
    probability: float
    alternatives: tuple = ()
    detail: str = ""

    @property
    def is_sure(self):
        """Whether the cause may be said as one sentence."""
        return self.probability >= causes.SURE


def diagnose(answers, readings):
    """A verdict for each reading, in order.

    `answers` are those of the key, `readings` those of `evidence.Reading`, of any number of people, tasks and attempts.
    Raises KeyError for a reading of a task that has no answer.
    """
    if not readings:
        return ()
    evidence = gather(answers, readings)
    weight = evidence.share * _prior(evidence) * _likelihood(answers, evidence)
    unexplained = causes.REGISTER["unexplained"].rate * evidence.cell_deg / 360.0
    verdicts = [_verdict(evidence, weight, ways, unexplained[row]) for row, ways in enumerate(_slices(evidence))]
    return tuple(verdicts[row] for row in evidence.row_of)


def _prior(evidence):
    """Prior probability of the habit and the slip of each way, (ways,)."""
    rate = np.array([causes.REGISTER[code].rate for code in CODES])
    persistent = np.array([causes.REGISTER[code].is_persistent for code in CODES])
    habit, slip = rate.copy(), rate.copy()
    habit[INDEX["ok"]] = 1.0 - rate[persistent].sum()
    slip[INDEX["ok"]] = 1.0 - rate[~persistent].sum() + rate[INDEX["ok"]]
    return habit[evidence.habit] * slip[evidence.slip]


def _likelihood(answers, evidence):
    """Density per degree of each way's residual, averaged over the scatter that a person may have, (ways,)."""
    known = np.array([answer.budget.degrees("survey", "standing", "declination") for answer in answers])[evidence.task]
    reckoned = np.array([not kind_of(answer.kind).reads_needle for answer in answers])[evidence.task]
    density = np.zeros(len(evidence.row))
    for scatter_deg, prior in zip(SCATTER_DEG, SCATTER_PRIOR, strict=True):
        spread = np.hypot(np.where(reckoned, ARITHMETIC_SCATTER_DEG, scatter_deg), known)[evidence.row]
        density += prior * cell_density(evidence.residual_deg, spread, evidence.half_width_deg)
    return density


def cell_density(residual_deg, spread_deg, half_width_deg):
    """Mean normal density, per degree, over a cell of a given half width round each residual. Arrays of one shape."""
    narrow = half_width_deg <= spread_deg / 2.0
    variance = spread_deg ** 2 + np.where(narrow, half_width_deg ** 2 / 3.0, 0.0)
    point = np.exp(-0.5 * residual_deg ** 2 / variance) / np.sqrt(2.0 * np.pi * variance)
    scale = spread_deg / LOGISTIC
    upper = 1.0 / (1.0 + np.exp(-np.clip((residual_deg + half_width_deg) / scale, -60, 60)))
    lower = 1.0 / (1.0 + np.exp(-np.clip((residual_deg - half_width_deg) / scale, -60, 60)))
    return np.where(narrow, point, (upper - lower) / (2.0 * half_width_deg))


def _slices(evidence):
    """The ways of each row, as slices; rows stand in order."""
    ends = np.searchsorted(evidence.row, np.arange(len(evidence.task) + 1))
    return [slice(*pair) for pair in itertools.pairwise(ends)]


def _verdict(evidence, weight, ways, unexplained):
    """The verdict of one row: its ways added up by cause."""
    by_cause, details = {"unexplained": unexplained}, {}
    for habit, slip, one, detail in zip(evidence.habit[ways], evidence.slip[ways], weight[ways], evidence.detail[ways], strict=True):
        code = causes.combined({CODES[habit], CODES[slip]} - {"ok"})
        by_cause[code] = by_cause.get(code, 0.0) + one
        details.setdefault(code, {}).setdefault(detail, 0.0)
        details[code][detail] += one
    total = sum(by_cause.values())
    ranked = sorted(((code, float(one / total)) for code, one in by_cause.items()), key=lambda pair: (-pair[1], pair[0]))
    cause, probability = ranked[0]
    detail = max(details[cause], key=details[cause].get) if cause in details else ""
    return Verdict(cause, probability, tuple(pair for pair in ranked[1:5] if pair[1] >= LEAST_ALTERNATIVE), detail)
