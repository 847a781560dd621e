"""The class as one model: people's habits, offsets and scatter; stations', sight lines' and
compasses' biases; slips; and how common all that is in this class. README.md of this room has its
equations.

Why a person is integrated and not fitted: with a best guess in place of the whole distribution,
probabilities near habits and offsets come out too sure. Why two starts: a class in which nearly
everybody leaves the declination out looks like a bias at every station to a fit that begins with
the stations, and the reverse. Why the rates are learnt: what is true of one class is false of
another, and whoever holds them fixed is wrong about both. Everything is linear in the readings, and
rates are learnt from so many readings at most as MOST_FOR_RATES.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from ..tasks.answer import Answer
from ..tasks.reading import Reading
from . import priors
from .arrays import Floats, Indices, summed
from .ascent import Ascent, Fit, nothing_found
from .biases import NO_BIAS, Bias
from .class_arrays import ClassArrays, SeenTo, arranged, indices_of, with_changes
from .compass_known import CompassKnown
from .explaining import Explained, explain
from .likelihood import Traits
from .priors import CARE_SHAPES, TAILS, Counts, Priors, Rates
from .residuals import Residuals, gather
from .slip_table import SlipTable
from .way_weights import WayWeights

LEARNING_ROUNDS, TAIL_TURNS = 4, (0, 2)
MOST_FOR_RATES = 1500  # readings from which the rates are learnt; more add nothing but time
FOLLOWING_WEIGHT, COPYING_WEIGHT = 8.0, 20.0  # readings; common practice, no source


@dataclass(frozen=True)
class ClassPosterior:
    """What a class had learnt at its last count: biases of stations by code, of lines by task, of
    compasses by number with the probability of a reversed needle (`turned`); its rates. Readings
    that arrive later are judged by it at once.
    """

    stations: dict[str, Bias]
    lines: dict[str, Bias]
    compasses: dict[str, Bias]
    turned: dict[str, float]
    rates: Rates


def fit(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    stated: Priors = priors.STATED,
    seen_to: Sequence[SeenTo] = (),
    known: Mapping[str, CompassKnown] = MappingProxyType({}),
) -> tuple[ClassArrays, Fit, Counts]:
    """The class, its fit, and what it adds to the priors; `known` is what is known of compasses by
    their number. The rates are learnt in turns with the fit; of a large class from some of its
    people. Then each station and line is asked whether its
    fault began, or ended, which it does most easily where somebody saw to it.
    """
    arrays = arranged(answers, readings, residuals, known)
    few = _some_people(arrays)
    if len(few) == len(readings):
        best, counts = _learnt(arrays, residuals, stated)
    else:
        some = [readings[index] for index in few.tolist()]
        own = gather(answers, some)
        part, counts = _learnt(arranged(answers, some, own, known), own, stated)
        counts = _scaled(counts, len(readings) / len(few))
        best = replace(nothing_found(arrays, part.rates), epochs=part.epochs, lines=part.lines)
        best = _ascent(arrays, residuals, stated, best).run(ground_first=False, rounds=2)
        best = replace(best, traits=_traits(arrays, best, residuals)[0])
    scans = _ascent(arrays, residuals, stated, best).scan_of_ground()
    changed = with_changes(arrays, answers, scans, seen_to)
    if changed is arrays:
        return arrays, best, counts
    begin = replace(nothing_found(changed, best.rates), traits=best.traits)
    return changed, _ascent(changed, residuals, stated, begin).run(ground_first=False), counts


def _some_people(arrays: ClassArrays) -> Indices:
    """The readings of as many people, evenly chosen, as the rates are learnt from; in order."""
    every = math.ceil(len(arrays.row) / MOST_FOR_RATES)
    return np.flatnonzero(arrays.person % every == 0)


def _learnt(arrays: ClassArrays, residuals: Residuals, stated: Priors) -> tuple[Fit, Counts]:
    """The likelier of two fits, and its rates, learnt in turns."""
    best = nothing_found(arrays, stated.rates())
    for turn in range(LEARNING_ROUNDS):
        best = (
            _likelier(arrays, residuals, stated, best)
            if turn == 0
            else _ascent(arrays, residuals, stated, best).run(ground_first=False)
        )
        traits, counts = _traits(arrays, best, residuals)
        best = replace(best, traits=traits)
        if turn in TAIL_TURNS:
            tail = _tails(arrays, residuals, stated, best)
        counts = replace(counts, tail=tail)
        best = replace(best, rates=priors.learnt(stated, counts))
    return best, counts


def _tails(
    arrays: ClassArrays, residuals: Residuals, stated: Priors, fit: Fit
) -> tuple[float, ...]:
    """The log likelihood of each of TAILS, people summed over and all else as it is fitted."""
    begin = _ascent(arrays, residuals, stated, fit)
    return tuple(
        Ascent(arrays, residuals, begin.likelihood.table, stated, replace(fit, rates=rates))
        .people_alone()
        .log_posterior
        for rates in (replace(fit.rates, tail=tail) for tail in TAILS)
    )


def _likelier(arrays: ClassArrays, residuals: Residuals, stated: Priors, begin: Fit) -> Fit:
    """Of two fits, one that begins with the ground and one that begins with the people, the
    likelier.
    """

    def ascended(ground_first: bool) -> Fit:
        return _ascent(arrays, residuals, stated, begin).run(ground_first=ground_first)

    # NumPy lets two threads work; the order of results is that of the starts.
    with ThreadPoolExecutor(2) as pool:
        return max(pool.map(ascended, (True, False)), key=lambda fit: fit.log_posterior)


def _ascent(arrays: ClassArrays, residuals: Residuals, stated: Priors, begin: Fit) -> Ascent:
    has_needle = arrays.needle[residuals.task]
    table = SlipTable(residuals, WayWeights(begin.rates), has_needle)
    return Ascent(arrays, residuals, table, stated, begin)


def _traits(arrays: ClassArrays, fit: Fit, residuals: Residuals) -> tuple[Traits, Counts]:
    """What each person is like beyond habit and scatter, and what the class adds to the rates."""
    parts = list(explain(arrays, residuals, fit, np.arange(len(arrays.row))))
    people, person, rates = len(arrays.people), arrays.person, fit.rates

    def by_person(name: str) -> Floats:
        return summed(_joined(parts, name), person, people)

    slips, copied = by_person("careless"), by_person("copied")
    readings = np.bincount(person).astype(float)
    followed, lapsed = by_person("followed"), by_person("lapsed")
    expected = readings * WayWeights(rates).slip_share
    traits = Traits(
        careless=(rates.care + slips) / (rates.care + expected),
        followed=(FOLLOWING_WEIGHT * rates.followed + followed)
        / (FOLLOWING_WEIGHT + followed + lapsed),
        copied=(COPYING_WEIGHT * rates.copied + copied) / (COPYING_WEIGHT + readings),
    )
    of_people = Ascent.counts_of(arrays, fit)
    poor = float(_joined(parts, "poor").sum())
    sound = float(arrays.has_needle.sum()) - poor
    return traits, replace(
        of_people,
        slips=tuple(np.sum([part.slips for part in parts], axis=0).tolist()),
        followed=(float(followed.sum()), float(lapsed.sum())),
        poor=(poor, sound),
        copied=(float(copied.sum()), float(readings.sum() - copied.sum())),
        care=_care(slips, expected),
    )


def _joined(parts: Sequence[Explained], name: str) -> Floats:
    return np.concatenate([getattr(part, name) for part in parts])


def _care(slips: Floats, expected: Floats) -> tuple[float, ...]:
    """The log likelihood of each of CARE_SHAPES: slips by person are Poisson, with a rate that is
    Gamma distributed (the negative binomial distribution, here of expected counts).
    """
    found = []
    for shape in CARE_SHAPES:
        total = 0.0
        for count, mean in zip(slips.tolist(), expected.tolist(), strict=True):
            total += (
                math.lgamma(shape + count)
                - math.lgamma(shape)
                + shape * math.log(shape / (shape + mean))
                + count * math.log((mean + 1e-9) / (shape + mean))
            )
        found.append(total)
    return tuple(found)


def _scaled(counts: Counts, by: float) -> Counts:
    """What a whole class adds, of which a part was counted."""
    return Counts(
        **{name: tuple(by * value for value in values) for name, values in vars(counts).items()}
    )


def fit_people(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    known: ClassPosterior,
) -> tuple[ClassArrays, Fit]:
    """The arrays and fit of some people's readings where the ground, the compasses and the rates
    are known already.
    """
    arrays = _with_known_compasses(arranged(answers, readings, residuals), readings, known)
    start = replace(
        nothing_found(arrays, known.rates),
        epochs=[known.stations.get(epoch.station, NO_BIAS) for epoch in arrays.epochs],
        lines=[known.lines.get(answer.task, NO_BIAS) for answer in answers],
        compasses=[known.compasses[number] for number in arrays.compasses],
        reversed_chance=np.array([known.turned[number] for number in arrays.compasses]),
    )
    return arrays, _ascent(arrays, residuals, priors.STATED, start).people_alone()


def _with_known_compasses(
    arrays: ClassArrays, readings: Sequence[Reading], known: ClassPosterior
) -> ClassArrays:
    """The arrays with those compasses that the class knew, whoever holds them now."""
    numbers = tuple(sorted({reading.compass for reading in readings} & set(known.compasses)))
    return replace(
        arrays,
        compasses=numbers,
        known=(None,) * len(numbers),  # what was known is in what the class learnt
        compass=indices_of(readings, numbers),
    )
