"""How probable each cause is for an answer that is a place.

Each way to go wrong puts the place somewhere (`kind.landings`) with the ellipse of sound technique
round it; a person's own scatter widens it. Habits are believed as the person's bearings show them,
slips as often as the class makes them; what a place says itself is not told back: of habits and of
the ground, bearings say far more.
"""

import math

import numpy as np

from ..mistakes import causes
from ..mistakes.causes import CODES
from ..tasks.kinds import kind_of
from ..tasks.site import UNSET
from .class_model import FOLLOWED
from .likelihood_table import TAIL_SHARE
from .priors import HABITS, STATED
from .verdicts import likeliest

# 9 nodes missed the share of a spot by up to 2 %, 21 by less than 1 %; Abramowitz & Stegun 25.4.46
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
# of a person of whom nothing is known; trade notes: 2 to 4 degrees after instruction
USUAL_SCATTER_DEG = 3.0
# a compass's and a dial's part of an ellipse, which a person's scatter stands in for
BUDGET_DEG = 1.5
# a careless hand: one poor bearing of two or three, and not all of them (likelihood.TAIL_WIDER of
# one)
WIDER = 1.6
STEPS = 4  # in which a scatter is taken, so that what was reckoned once serves many
LEAST_AREA_M2 = math.pi * 300.0**2  # over which a wild answer may lie


class Judge:
    """Judges the places of a class: `answers` by task, `slips` rates in the order of
    `causes.CODES`.
    """

    def __init__(self, answers, slips=STATED.slips):
        self.answers, self.rate = answers, dict(zip(CODES, slips, strict=True))
        self.landings, self.nearest = {}, {}

    def verdict(self, reading, person=None):
        """The verdict on one reading; `person` is a `verdicts.Person`, or None of whom nothing is
        known.
        """
        answer, seen, found, details = self.answers[reading.task], reading.seen, {}, {}
        right, scatter_deg = (
            answer.form.is_right(answer, seen),
            person.scatter_deg if person else USUAL_SCATTER_DEG,
        )
        likelihoods = self._likelihoods(reading.task, reading.instrument, seen, scatter_deg)
        for (landing, prior), likelihood in zip(
            self.ways(reading.task, reading.instrument, person), likelihoods, strict=True
        ):
            if landing.is_written and seen.spot:
                continue
            code = "ok" if right else causes.combined({landing.habit, landing.slip} - {"ok"})
            found[code] = found.get(code, 0.0) + prior * likelihood
            if not right:
                details[code, landing.detail] = (
                    details.get((code, landing.detail), 0.0) + prior * likelihood
                )
        found["unexplained"] = self.rate["unexplained"] * _background(answer, seen)
        return likeliest(found, details)

    def ways(self, task, instrument=UNSET, person=None):
        """The landings of a task by a compass, each with how probable it is before the place is
        seen: (landing, prior).
        """
        landings = self._landings(task, instrument)
        possible = {landing.habit for landing in landings} - {"ok"}
        habits = {
            code: chance * FOLLOWED for code, chance in _habits(person).items() if code in possible
        }
        sound = 1.0 - math.fsum(habits.values())
        return [
            (
                landing,
                (
                    sound * self.rate[landing.slip if landing.habit == "ok" else landing.habit]
                    + habits.get(landing.habit, 0.0)
                )
                * landing.share,
            )
            for landing in landings
        ]

    def _landings(self, task, instrument):
        key = task, instrument.declination_is_set
        if key not in self.landings:
            self.landings[key] = tuple(
                kind_of(self.answers[task].kind).landings(self.answers[task], instrument)
            )
        return self.landings[key]

    def _likelihoods(self, task, instrument, seen, scatter_deg):
        """The probability of what was seen by each landing: an ellipse widened by the person's
        hand, and the tail of a careless one.
        """
        widened = max(1.0, round(STEPS * scatter_deg / BUDGET_DEG) / STEPS)
        landings, total = self._landings(task, instrument), 0.0
        for share, factor in ((1.0 - TAIL_SHARE, widened), (TAIL_SHARE, widened * WIDER)):
            if not seen.spot:
                total = total + share * np.array(
                    [_density(landing, seen, factor) for landing in landings]
                )
                continue
            key = task, instrument.declination_is_set, factor
            if key not in self.nearest:
                self.nearest[key] = np.array(
                    [_nearest(self.answers[task].form, landing, factor) for landing in landings]
                )
            total = (
                total
                + share
                * self.nearest[key][
                    :, [spot.code for spot in self.answers[task].form.spots].index(seen.spot)
                ]
            )
        return total.tolist()


def _habits(person):
    """How probable each habit is: as the person's bearings have it, the rest by what is stated."""
    stated = dict(zip(HABITS, STATED.habits, strict=True))
    if person is None:
        return stated
    own = "ok" if person.habit == "none" else person.habit
    rest = math.fsum(share for code, share in stated.items() if code != own)
    return {
        code: person.habit_probability
        if code == own
        else (1.0 - person.habit_probability) * share / rest
        for code, share in stated.items()
    }


def _density(landing, seen, factor):
    """The probability of a cell of the ground, if a landing with its ellipse widened by a factor is
    the way to it.
    """
    east, north, both = landing.ellipse.covariance()
    rounded = seen.half_m**2 / 3.0 + 0.25  # a cell's own (GUM 4.3.7), and half a metre of the map
    a, b, c = east * factor**2 + rounded, north * factor**2 + rounded, both * factor**2
    determinant, x, y = a * b - c * c, seen.east_m - landing.east_m, seen.north_m - landing.north_m
    return (
        math.exp(-0.5 * (b * x * x - 2.0 * c * x * y + a * y * y) / determinant)
        / (2.0 * math.pi * math.sqrt(determinant))
        * _cell_m2(seen)
    )


def _nearest(place, landing, factor):
    """How probable it is of each spot to be the nearest to where a landing scatters: by
    Gauss-Hermite quadrature along both axes of its ellipse. Array (spots,).
    """
    angle = math.radians(landing.ellipse.azimuth_deg)
    along, across = np.meshgrid(
        NODES * landing.ellipse.major_m * factor, NODES * landing.ellipse.minor_m * factor
    )
    east = landing.east_m + along * math.sin(angle) + across * math.cos(angle)
    north = landing.north_m + along * math.cos(angle) - across * math.sin(angle)
    off = np.stack([np.hypot(east - spot.east_m, north - spot.north_m) for spot in place.spots])
    weights = np.outer(WEIGHTS, WEIGHTS) / WEIGHTS.sum() ** 2
    return np.bincount(off.argmin(axis=0).ravel(), weights.ravel(), len(place.spots))


def chance_of_right_spot(answer):
    """How probable it is that sound technique ends nearest to the right spot, by the ellipse
    alone.
    """
    sound = next(
        landing
        for landing in kind_of(answer.kind).landings(answer)
        if (landing.habit, landing.slip) == ("ok", "ok")
    )
    return float(
        _nearest(answer.form, sound, 1.0)[
            [spot.code for spot in answer.form.spots].index(answer.form.right)
        ]
    )


def _cell_m2(seen):
    """The ground that one written place stands for, square metres."""
    return max(1.0, 2.0 * seen.half_m) ** 2


def _background(answer, seen):
    """The probability of what was seen, if the place says nothing: one spot of all, or a cell of
    the ground round about.
    """
    if seen.spot:
        return 1.0 / len(answer.form.spots)
    reach_m = 2.0 * answer.form.reach_m
    return _cell_m2(seen) / max(LEAST_AREA_M2, math.pi * reach_m**2)
