"""Problems of a rotation on flat ground, and the hard promises, written down once."""

import itertools
import math
from collections import Counter

import numpy as np
from hypothesis import strategies as st

from exercises.domain.running.rotation_values import Asked, Group, Problem, Station, Way

METRES_A_MINUTE = 5000.0 / 60.0  # Naismith on the level


def rng(seed=1):
    return np.random.default_rng(seed)


def ways_between(places):
    """Straight ways on a plane: code to (east, north), metres."""
    return {
        (one, other): Way(
            math.dist(places[one], places[other]),
            math.dist(places[one], places[other]) / METRES_A_MINUTE,
        )
        for one, other in itertools.permutations(places, 2)
    }


def problem_of(places, groups, *, capacity=None, minutes_at=4.0, base=None, **more):
    """A problem: code to (east, north), metres; the number of groups; how many each station takes.
    Stations ask the kinds and norths of three tasks in turn.
    """
    asks = itertools.cycle([("magnetic", "sight"), ("true", "sight"), ("grid", "convert")])
    at = minutes_at if isinstance(minutes_at, dict) else dict.fromkeys(places, minutes_at)
    stations = tuple(
        Station(
            code,
            (Asked(f"task {code}", *next(asks), at[code]),),
            places=(capacity or {}).get(code, 1),
        )
        for code in places
    )
    marks = dict(places) | ({"base": base} if base else {})
    return Problem(
        stations,
        tuple(Group(f"g{number}") for number in range(1, groups + 1)),
        ways_between(marks),
        base="base" if base else "",
        **more,
    )


def ring(count, radius_m=100.0):
    """Stations evenly round a circle."""
    turns = [2.0 * math.pi * number / count for number in range(count)]
    return {
        chr(65 + number) if count <= 26 else f"S{number}": (
            radius_m * math.cos(turn),
            radius_m * math.sin(turn),
        )
        for number, turn in enumerate(turns)
    }


@st.composite
def capacities(draw, most_stations=7):
    """How many groups each of some stations takes: 1 or 2."""
    return draw(st.lists(st.sampled_from([1, 1, 2]), min_size=1, max_size=most_stations))


@st.composite
def problems(draw, most_stations=6, most_groups=7, bases=(None, (0.0, 0.0)), **more):
    """Problems on ground of 400 m by 400 m, some stations with two places."""
    taken = draw(capacities(most_stations))
    inside = st.integers(-200, 200).map(float)
    places = {chr(65 + at): (draw(inside), draw(inside)) for at in range(len(taken))}
    minutes_at = {code: draw(st.integers(2, 9)) * 1.0 for code in places}
    return problem_of(
        places,
        draw(st.integers(1, most_groups)),
        capacity=dict(zip(places, taken, strict=True)),
        minutes_at=minutes_at,
        base=draw(st.sampled_from(bases)),
        **more,
    )


def broken_promises(rotation, had=None):
    """What a rotation breaks of the hard promises, as sentences; `had` are stations that groups
    have had before.
    """
    limits = {station.code: station.places for station in rotation.problem.stations}
    found = []
    for number, one in enumerate(rotation.rounds):
        for station, count in Counter(one.at.values()).items():
            if count > limits[station]:
                found.append(f"round {number}: {count} groups at {station}")
        everybody = sorted([*one.at, *one.waits])
        if everybody != sorted(group.code for group in rotation.problem.groups):
            found.append(f"round {number}: {everybody}")
    for group in rotation.problem.groups:
        visits = [one.at[group.code] for one in rotation.rounds if group.code in one.at]
        visits += (had or {}).get(group.code, ())
        if len(set(visits)) < len(visits):
            found.append(f"{group.code}: {visits}")
    for one, other in itertools.pairwise(rotation.rounds):
        if other.from_min < one.until_min:
            found.append(f"a round begins at {other.from_min} before one ends at {one.until_min}")
    return found
