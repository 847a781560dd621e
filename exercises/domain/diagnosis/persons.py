"""What a fit says of each person."""

from __future__ import annotations

import numpy as np

from . import biases
from .arrays import Floats, Indices
from .ascent import Fit
from .biases import Bias
from .class_arrays import NO_COMPASS, ClassArrays
from .people import SIGMAS
from .priors import HABITS
from .verdicts import LEAST_ALTERNATIVE, Person


def persons(arrays: ClassArrays, fit: Fit) -> dict[str, Person]:
    """What is said of each person. The offset is theirs, plus that of their compass if they read
    with one alone; the habit is not theirs where the compass's own needle is reversed.
    """
    guesses, count = fit.guesses, len(arrays.people)
    by_habit, by_sigma = guesses.habits(count), guesses.sigmas(count)
    scatter = by_sigma @ SIGMAS
    scatter_error = np.sqrt(np.maximum(by_sigma @ SIGMAS**2 - scatter**2, 0.0))
    bounds = np.searchsorted(guesses.person, np.arange(count + 1))
    compass_of = _only_compass(arrays)
    people = {}
    for index, name in enumerate(arrays.people):
        own = slice(bounds[index], bounds[index + 1])
        compass = fit.compasses[compass_of[index]] if compass_of[index] >= 0 else biases.NO_BIAS
        weight = guesses.joint[own].sum(axis=2).ravel()
        offset = _offset(weight, guesses.offset_deg[own].ravel(), compass)
        (habit, probability), *others = _habits(by_habit[index])
        people[str(name)] = Person(
            *offset,
            habit,
            probability,
            float(scatter[index]),
            float(scatter_error[index]),
            offset[0] - compass.degrees,
            tuple(others),
        )
    return people


def _habits(by_habit: Floats) -> list[tuple[str, float]]:
    """The habits of a person that are worth naming, likelier first, the likeliest in any case."""
    order = np.argsort(-by_habit, kind="stable")
    return [
        ("none" if HABITS[index] == "ok" else HABITS[index], float(by_habit[index]))
        for place, index in enumerate(order.tolist())
        if not place or by_habit[index] >= LEAST_ALTERNATIVE
    ]


def _only_compass(arrays: ClassArrays) -> Indices:
    """The compass of each person who read with one alone, else NO_COMPASS: (people,)."""
    found = np.full(len(arrays.people), NO_COMPASS)
    person, compass = arrays.person[arrays.has_needle], arrays.compass[arrays.has_needle]
    for who, number in np.unique(np.stack([person, compass], axis=1), axis=0).tolist():
        found[who] = number
    several = np.unique(np.stack([person, compass], axis=1), axis=0)[:, 0]
    found[np.bincount(several, minlength=len(found)) > 1] = NO_COMPASS
    return found


def _offset(weight: Floats, offset_deg: Floats, compass: Bias) -> tuple[float, float, float]:
    """A person's offset with their compass's, its standard error, and the probability that it is a
    fault; `weight` is the posterior of their own, `offset_deg`.
    """
    mean = float(weight @ offset_deg)
    variance = weight @ (offset_deg - mean) ** 2 + compass.error_deg**2
    beyond = np.abs(offset_deg + compass.degrees) > biases.FAULT_DEG
    return mean + compass.degrees, float(np.sqrt(variance)), float(weight @ beyond)
