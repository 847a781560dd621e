"""How probable each cause is for an answer that is a place.

Each way to go wrong puts the place somewhere (`kind.landings`) with the ellipse of sound technique round it; a person's own scatter widens it. Habits are believed as the
person's bearings show them, slips as often as the class makes them; what a place says itself is not told back: of habits and of the ground, bearings say far more.
"""
import math

import numpy as np

from . import causes
from .causes import CODES
from .class_model import FOLLOWED
from .kinds import kind_of
from .likelihood import TAIL_SHARE, TAIL_WIDER
from .priors import HABITS, STATED
from .verdicts import likeliest

NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(9)  # exact for polynomials up to degree 17: Abramowitz & Stegun 25.4.46
USUAL_SCATTER_DEG = 3.0  # of a person of whom nothing is known; trade notes: 2 to 4 degrees after instruction
BUDGET_DEG = 1.5  # a compass's and a dial's part of an ellipse, which a person's scatter stands in for
LEAST_AREA_M2 = math.pi * 300.0 ** 2  # over which a wild answer may lie


class Judge:
    """Judges the places of a class: `answers` by task, `slips` rates in the order of `causes.CODES`."""

    def __init__(self, answers, slips=STATED.slips):
        self.answers = answers
        self.landings = {task: tuple(kind_of(answer.kind).landings(answer)) for task, answer in answers.items()}
        self.rate = dict(zip(CODES, slips, strict=True))

    def verdict(self, reading, person=None):
        """The verdict on one reading; `person` is a `verdicts.Person`, or None of whom nothing is known."""
        answer, seen, found, details = self.answers[reading.task], reading.seen, {}, {}
        right, spreads = kind_of(answer.kind).is_right(answer, seen), _widened(person.scatter_deg if person else USUAL_SCATTER_DEG)
        for landing, prior in self._ways(reading.task, person):
            share = prior * _likelihood(answer.where, landing, seen, spreads)
            code = "ok" if right else causes.combined({landing.habit, landing.slip} - {"ok"})
            found[code] = found.get(code, 0.0) + share
            if not right:
                details[code, landing.detail] = details.get((code, landing.detail), 0.0) + share
        found["unexplained"] = self.rate["unexplained"] * _background(answer, seen)
        return likeliest(found, details)

    def _ways(self, task, person):
        """The landings of a task with how probable each is before the place is seen."""
        landings = self.landings[task]
        possible = {landing.habit for landing in landings} - {"ok"}
        habits = {code: chance * FOLLOWED for code, chance in _habits(person).items() if code in possible}
        sound = 1.0 - math.fsum(habits.values())
        for landing in landings:
            prior = sound * self.rate[landing.slip if landing.habit == "ok" else landing.habit]
            yield landing, (prior + habits.get(landing.habit, 0.0)) * landing.share


def _habits(person):
    """How probable each habit is: as the person's bearings have it, the rest by what is stated."""
    stated = dict(zip(HABITS, STATED.habits, strict=True))
    if person is None:
        return stated
    own = "ok" if person.habit == "none" else person.habit
    rest = math.fsum(share for code, share in stated.items() if code != own)
    return {code: person.habit_probability if code == own else (1.0 - person.habit_probability) * share / rest for code, share in stated.items()}


def _widened(scatter_deg):
    """(share, factor on the ellipse): a sound hand's spread, and the tail of a careless one."""
    factor = max(1.0, scatter_deg / BUDGET_DEG)
    return ((1.0 - TAIL_SHARE, factor), (TAIL_SHARE, factor * TAIL_WIDER))


def _likelihood(where, landing, seen, spreads):
    """The probability of what was seen, if a landing is the way to it."""
    if seen.spot:
        return math.fsum(share * _nearest(where, landing, seen.spot, factor) for share, factor in spreads)
    east, north, both = landing.ellipse.covariance()
    total = 0.0
    for share, factor in spreads:
        rounded = seen.half_m ** 2 / 3.0 + 0.25
        a, b, c = east * factor ** 2 + rounded, north * factor ** 2 + rounded, both * factor ** 2
        determinant = a * b - c * c
        x, y = seen.east_m - landing.east_m, seen.north_m - landing.north_m
        total += share * math.exp(-0.5 * (b * x * x - 2.0 * c * x * y + a * y * y) / determinant) / (2.0 * math.pi * math.sqrt(determinant))
    return total * _cell_m2(seen)


def _nearest(where, landing, spot, factor):
    """How probable it is that a spot is the nearest to where a landing scatters: by Gauss-Hermite quadrature along both axes of its ellipse."""
    angle = math.radians(landing.ellipse.azimuth_deg)
    along, across = np.meshgrid(NODES * landing.ellipse.major_m * factor, NODES * landing.ellipse.minor_m * factor)
    east = landing.east_m + along * math.sin(angle) + across * math.cos(angle)
    north = landing.north_m + along * math.cos(angle) - across * math.sin(angle)
    off = np.stack([np.hypot(east - one.east_m, north - one.north_m) for one in where.spots])
    weights = np.outer(WEIGHTS, WEIGHTS) / WEIGHTS.sum() ** 2
    return float((weights * (off.argmin(axis=0) == [one.code for one in where.spots].index(spot))).sum())


def chance_of_right_spot(answer):
    """How probable it is that sound technique ends nearest to the right spot, by the ellipse alone."""
    sound = next(landing for landing in kind_of(answer.kind).landings(answer) if (landing.habit, landing.slip) == ("ok", "ok"))
    return _nearest(answer.where, sound, answer.where.right, 1.0)


def _cell_m2(seen):
    """The ground that one written place stands for, square metres."""
    return max(1.0, 2.0 * seen.half_m) ** 2


def _background(answer, seen):
    """The probability of what was seen, if the place says nothing: one spot of all, or a cell of the ground round about."""
    if seen.spot:
        return 1.0 / len(answer.where.spots)
    reach_m = 2.0 * max([math.hypot(line.east_m, line.north_m) for line in answer.where.lines] or [0.0])
    return _cell_m2(seen) / max(LEAST_AREA_M2, math.pi * reach_m ** 2)
