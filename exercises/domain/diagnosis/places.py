"""How probable each cause is for an answer that is a place.

Each way to go wrong puts the place somewhere (`kind.landings`) with the ellipse of sound technique
round it; a person's own scatter widens it. Habits are believed as the person's bearings show them,
slips as often as the class makes them; what a place says itself is not told back: of habits and of
the ground, bearings say far more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from ..mistakes import causes
from ..mistakes.causes import CODES
from ..mistakes.predictions import Landing
from ..tasks.answer import Answer
from ..tasks.forms.place import Place, Placed
from ..tasks.kinds import kind_of
from ..tasks.reading import Reading
from ..tasks.site import UNSET, Compass
from .arrays import Floats
from .nearest_spot import Spots
from .priors import HABITS, STATED
from .verdicts import Person, Verdict, likeliest

# On the demonstration's courses 9 nodes missed the share of a spot by up to 2 %, 21 by less than
# 1 %; along an ellipse as long as the spots lie apart 21 up to 7 %. Abramowitz & Stegun, 25.4.46
NODES = np.polynomial.hermite_e.hermegauss(21)
FINE_NODES = np.polynomial.hermite_e.hermegauss(61)  # for a chance that is told
# of a person of whom nothing is known: 2 to 4 degrees after instruction; common practice, no source
USUAL_SCATTER_DEG = 3.0
# a compass's and a dial's part of an ellipse, which a person's scatter stands in for
BUDGET_DEG = 1.5
# a careless hand: one poor bearing of two or three, and not all of them
WIDER = 1.6
STEPS = 4  # in which a scatter is taken, so that what was reckoned once serves many
LEAST_AREA_M2 = math.pi * 300.0**2  # over which a wild answer may lie
MAP_VAR_M2 = 0.25  # half a metre of the map


class Judge:
    """Judges the places of a class: `answers` by task, `slips` rates in the order of
    `causes.CODES`. What was reckoned for one reading serves the others.
    """

    def __init__(
        self, answers: Mapping[str, Answer], slips: Sequence[float] = STATED.slips
    ) -> None:
        self.answers, self.rate = answers, dict(zip(CODES, slips, strict=True))
        self._landings: dict[tuple[str, Compass], tuple[Landing, ...]] = {}
        self._spots: dict[str, Spots] = {}
        self._nearest: dict[tuple[str, Compass, float], Floats] = {}

    def verdict(self, reading: Reading, person: Person | None = None) -> Verdict:
        """The verdict on one reading; `person` is None of whom nothing is known."""
        answer, seen = self.answers[reading.task], reading.seen
        is_right = answer.form.is_right(answer, seen)
        scatter_deg = person.scatter_deg if person else USUAL_SCATTER_DEG
        likelihoods = self._likelihoods(reading.task, reading.instrument, seen, scatter_deg)
        by_cause: dict[str, float] = {}
        by_detail: dict[tuple[str, str], float] = {}
        for (landing, prior), likelihood in zip(
            self.ways(reading.task, reading.instrument, person), likelihoods, strict=True
        ):
            if landing.is_written and seen.spot:
                continue
            code = "ok" if is_right else causes.combined({landing.habit, landing.slip} - {"ok"})
            share = prior * likelihood
            by_cause[code] = by_cause.get(code, 0.0) + share
            if not is_right:
                detail = code, landing.detail
                by_detail[detail] = by_detail.get(detail, 0.0) + share
        by_cause["unexplained"] = self.rate["unexplained"] * _background(Place.of(answer), seen)
        return likeliest(by_cause, by_detail)

    def ways(
        self, task: str, instrument: Compass = UNSET, person: Person | None = None
    ) -> list[tuple[Landing, float]]:
        """The landings of a task by a compass, each with how probable it is before the place is
        seen: (landing, prior).
        """
        landings = self.landings(task, instrument)
        possible = {landing.habit for landing in landings} - {"ok"}
        habits = {
            code: chance * STATED.followed
            for code, chance in _habits(person).items()
            if code in possible
        }
        sound = 1.0 - math.fsum(habits.values())

        def prior(landing: Landing) -> float:
            once = self.rate[landing.slip if landing.habit == "ok" else landing.habit]
            return (sound * once + habits.get(landing.habit, 0.0)) * landing.share

        return [(landing, prior(landing)) for landing in landings]

    def landings(self, task: str, instrument: Compass) -> tuple[Landing, ...]:
        """Where mistakes lead at a task, by a compass that is set or not, and by its marks."""
        key = task, instrument.dial
        if key not in self._landings:
            answer = self.answers[task]
            self._landings[key] = tuple(kind_of(answer.kind).landings(answer, instrument))
        return self._landings[key]

    def _likelihoods(
        self, task: str, instrument: Compass, seen: Placed, scatter_deg: float
    ) -> list[float]:
        """The probability of what was seen by each landing: an ellipse widened by the person's
        hand, and the tail of a careless one.
        """
        widened = max(1.0, round(STEPS * scatter_deg / BUDGET_DEG) / STEPS)
        total = np.zeros(len(self.landings(task, instrument)))
        for share, factor in ((1.0 - STATED.tail, widened), (STATED.tail, widened * WIDER)):
            total = total + share * self._by_landing(task, instrument, seen, factor)
        return total.tolist()

    def _by_landing(self, task: str, instrument: Compass, seen: Placed, factor: float) -> Floats:
        """The same with one width: (landings,)."""
        landings, place = self.landings(task, instrument), Place.of(self.answers[task])
        if not seen.spot:
            return np.array([_density(landing, seen, factor) for landing in landings])
        key = task, instrument.dial, factor
        if key not in self._nearest:
            if task not in self._spots:
                self._spots[task] = Spots.of(place.spots)
            spots = self._spots[task]
            self._nearest[key] = np.array(
                [_nearest(spots, landing, factor) for landing in landings]
            )
        by_spot: Floats = self._nearest[key][:, _index(place, seen.spot)]
        return by_spot


def _index(place: Place, code: str) -> int:
    """Which of the spots has a code."""
    return [spot.code for spot in place.spots].index(code)


def _habits(person: Person | None) -> dict[str, float]:
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


def _density(landing: Landing, seen: Placed, factor: float) -> float:
    """The probability of a cell of the ground, if a landing with its ellipse widened by a factor is
    the way to it.
    """
    east, north, both = landing.ellipse.covariance()
    rounded = seen.half_m**2 / 3.0 + MAP_VAR_M2  # a cell's own (GUM 4.3.7)
    a, b, c = east * factor**2 + rounded, north * factor**2 + rounded, both * factor**2
    determinant, x, y = a * b - c * c, seen.east_m - landing.east_m, seen.north_m - landing.north_m
    return (
        math.exp(-0.5 * (b * x * x - 2.0 * c * x * y + a * y * y) / determinant)
        / (2.0 * math.pi * math.sqrt(determinant))
        * _cell_m2(seen)
    )


def _nearest(
    spots: Spots, landing: Landing, factor: float, rule: tuple[Floats, Floats] = NODES
) -> Floats:
    """How probable it is of each spot to be the nearest to where a landing scatters: by
    Gauss-Hermite quadrature along both axes of its ellipse, with the nodes and weights of a rule.
    (spots,)
    """
    nodes, each = rule
    angle = math.radians(landing.ellipse.azimuth_deg)
    along, across = np.meshgrid(
        nodes * landing.ellipse.major_m * factor, nodes * landing.ellipse.minor_m * factor
    )
    east = landing.east_m + along * math.sin(angle) + across * math.cos(angle)
    north = landing.north_m + along * math.cos(angle) - across * math.sin(angle)
    weights = np.outer(each, each) / each.sum() ** 2
    places = np.stack([east.ravel(), north.ravel()], axis=1)
    return spots.shares(places, weights.ravel())


def chance_of_right_spot(answer: Answer) -> float:
    """How probable it is that sound technique ends nearest to the right spot, wherever this and
    the others truly are.
    """
    sound = next(
        landing
        for landing in kind_of(answer.kind).landings(answer)
        if (landing.habit, landing.slip) == ("ok", "ok")
    )
    place = Place.of(answer)
    shares = _nearest(Spots.of(place.spots), sound, 1.0, FINE_NODES)
    return float(shares[_index(place, place.right)])


def _cell_m2(seen: Placed) -> float:
    """The ground that one written place stands for, square metres."""
    return max(1.0, 2.0 * seen.half_m) ** 2


def _background(place: Place, seen: Placed) -> float:
    """The probability of what was seen, if the place says nothing: one spot of all, or a cell of
    the ground round about.
    """
    if seen.spot:
        return 1.0 / len(place.spots)
    reach_m = 2.0 * place.reach_m
    return _cell_m2(seen) / max(LEAST_AREA_M2, math.pi * reach_m**2)
