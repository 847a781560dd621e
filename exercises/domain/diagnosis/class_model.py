"""The class as one model: people's habits, offsets and scatter; stations', sight lines' and
compasses' biases; slips. README.md of this room has its equations.

Why a person is integrated and not fitted: with a best guess in place of the whole distribution,
probabilities near habits and offsets come out too sure. Why two starts: a class in which nearly
everybody leaves the declination out looks like a bias at every station to a fit that begins with
the stations, and the reverse. Everything is linear in the readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from ..tasks.answer import Answer
from ..tasks.reading import Reading
from . import priors
from .arrays import Floats
from .ascent import Ascent, Fit
from .biases import NO_BIAS, Bias
from .class_arrays import NO_COMPASS, ClassArrays, arranged, with_changes
from .likelihood_table import LikelihoodTable
from .people import OFFSETS_DEG
from .priors import HABITS, Priors
from .residuals import INDEX, Residuals

FOLLOWED = 0.9  # how often a person with a habit follows it; common practice, no source


@dataclass(frozen=True)
class ClassPosterior:
    """What a class had learnt at its last count: biases of stations by code, of lines by task, of
    compasses by number with the probability of a reversed needle (`turned`); rates of slips, habits
    and scatters. Readings that arrive later are judged by it at once.
    """

    stations: dict[str, Bias]
    lines: dict[str, Bias]
    compasses: dict[str, Bias]
    turned: dict[str, float]
    slips: tuple[float, ...]
    habits: tuple[float, ...]
    sigmas: tuple[float, ...]


def way_weights(residuals: Residuals, slips: Sequence[float] | Floats) -> Floats:
    """How probable each way is for a person of each habit, before where it puts the answer, w_k(h):
    (ways, habits).
    """
    rates = np.asarray(slips)
    once = rates[residuals.habit]
    weights = np.empty((len(residuals.row), len(HABITS)))
    plain = residuals.habit == INDEX["ok"]
    for index, code in enumerate(HABITS):
        own = residuals.habit == INDEX[code]
        # A habit acts where there is a way of it. Who leaves the declination out has nothing to
        # leave out where none is wanted.
        acts = np.bincount(residuals.row, own, len(residuals.task)) > 0
        acts &= (code == "reversed") | ~residuals.is_idle
        follows = FOLLOWED * acts[residuals.row] * (code != "ok")
        by_habit = np.where(own & (follows > 0), follows, once)
        weights[:, index] = np.where(plain, 1.0 - follows, by_habit) * rates[residuals.slip]
    return weights * residuals.share[:, None]


def background(residuals: Residuals, slips: Sequence[float] | Floats) -> Floats:
    """How probable each different answer is by a cause that is none of ours, u: (rows,)."""
    return np.asarray(slips)[INDEX["unexplained"]] * residuals.cell_deg / 360.0


def fit(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    stated: Priors = priors.STATED,
) -> tuple[ClassArrays, Fit]:
    """The class and the likelier of two fits, one that begins with the stations and one that begins
    with the people; then each station and line is asked whether its fault began or ended.
    """
    arrays = arranged(answers, readings, residuals)
    table = _table(arrays, residuals, stated.slips)

    def ascended(stations_first: bool) -> Fit:
        return Ascent(arrays, table, stated).run(stations_first)

    # NumPy lets two threads work; the order of results is that of the starts.
    with ThreadPoolExecutor(2) as pool:
        likelier = max(pool.map(ascended, (True, False)), key=lambda fit: fit.log_posterior)
    changed = with_changes(arrays, Ascent(arrays, table, stated, likelier).scan_of_ground())
    if changed is arrays:
        return arrays, likelier
    return changed, Ascent(changed, table, stated).run(stations_first=False)


def fit_people(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    known: ClassPosterior,
    stated: Priors = priors.STATED,
) -> tuple[ClassArrays, Fit]:
    """The arrays and fit of some people's readings where the ground, the compasses and the rates
    are known already.
    """
    arrays = _with_known_compasses(arranged(answers, readings, residuals), readings, known)
    table = _table(arrays, residuals, known.slips)
    start = Fit(
        joint=np.empty(0),
        offset=np.empty(0),
        epochs=[known.stations.get(epoch.station, NO_BIAS) for epoch in arrays.epochs],
        lines=[known.lines.get(answer.task, NO_BIAS) for answer in answers],
        compasses=[known.compasses[number] for number in arrays.compasses],
        reversed_chance=np.array([known.turned[number] for number in arrays.compasses]),
        slips=np.asarray(known.slips),
        habits=np.asarray(known.habits),
        sigmas=np.asarray(known.sigmas),
        log_posterior=0.0,
    )
    return arrays, Ascent(arrays, table, stated, start).people_alone()


def _with_known_compasses(
    arrays: ClassArrays, readings: Sequence[Reading], known: ClassPosterior
) -> ClassArrays:
    """The arrays with those compasses that the class knew, whoever holds them now."""
    numbers = sorted({reading.compass for reading in readings} & set(known.compasses))
    indices = [
        numbers.index(reading.compass) if reading.compass in numbers else NO_COMPASS
        for reading in readings
    ]
    return replace(arrays, compasses=tuple(numbers), compass=np.array(indices, int))


def _table(
    arrays: ClassArrays, residuals: Residuals, slips: Sequence[float] | Floats
) -> LikelihoodTable:
    return LikelihoodTable(
        residuals,
        way_weights(residuals, slips),
        background(residuals, slips),
        arrays.answer_sigma_deg,
        arrays.needle,
        pad=len(OFFSETS_DEG) + 1,
    )
