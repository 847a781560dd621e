"""Sets of sightings on invented ground whose truth is known, for measuring what the ground check
claims.

What is drawn here was fixed before the adjustment was looked at: points in a square, each surveyed
to a metre; a ring of lines read from both ends and half as many others; one or two compasses;
Gaussian noise, rounded to the whole degree; attraction of 4 to 25 degrees at the bent stations.
"""

import math
import random
from dataclasses import dataclass

from exercises.domain.earth.angles import wrap
from exercises.domain.surveying.ground.sighting import Sighting

DECLINATION_DEG = 24.0
SURVEY_M = 1.0
SIDE_M, APART_M = 150.0, 60.0
SOUND_DEG = 0.3
COMPASS_DEG, POOR_COMPASS_DEG, POOR_SHARE = 2.0 / math.sqrt(3.0), 6.0, 0.1


@dataclass(frozen=True)
class GroundSet:
    """Sightings with the attraction of each station and the error of each compass, degrees."""

    sightings: tuple[Sighting, ...]
    attraction_deg: dict[str, float]
    compass_deg: dict[str, float]
    bent: tuple[str, ...]


def places(rng, number):
    """Points that lie APART_M or more from each other, metres."""
    side_m, found = SIDE_M * math.sqrt(number), []
    while len(found) < number:
        place = rng.uniform(0, side_m), rng.uniform(0, side_m)
        if all(math.dist(place, other) >= APART_M for other in found):
            found.append(place)
    return {chr(ord("A") + index): place for index, place in enumerate(found)}


def lines(rng, names):
    """A ring through all points, and half as many lines beside it."""
    ring = rng.sample(names, len(names))
    chosen = {frozenset(pair) for pair in zip(ring, ring[1:] + ring[:1], strict=True)}
    others = [
        frozenset((one, other))
        for at, one in enumerate(names)
        for other in names[at + 1 :]
        if frozenset((one, other)) not in chosen
    ]
    return sorted(map(sorted, chosen | set(rng.sample(others, min(len(names) // 2, len(others))))))


def bearing(start, end):
    """Degrees on flat ground."""
    return wrap(math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])))


def gaussian(rng, noise_deg):
    """What the eye adds."""
    return rng.gauss(0.0, noise_deg)


def practised(rng, noise_deg):
    """As practised people err (shared readings: Student's t, 3 degrees of freedom), with the same
    quartiles as a normal."""
    t = rng.gauss(0, 1) / math.sqrt(rng.gammavariate(1.5, 2.0) / 3.0)
    return noise_deg * t * 0.6745 / 0.7649


def draw(seed, *, stations, noise_deg, bent, compasses=1, compass_deg=None, eye=gaussian):
    """A `GroundSet`. `compass_deg` fixes the error of the first compass."""
    rng = random.Random(seed)
    stated = places(rng, stations)
    real = {
        code: (east + rng.gauss(0, SURVEY_M), north + rng.gauss(0, SURVEY_M))
        for code, (east, north) in stated.items()
    }
    bent_ones = tuple(rng.sample(list(stated), bent))
    attraction = {
        code: rng.choice((-1, 1)) * rng.uniform(4.0, 25.0)
        if code in bent_ones
        else rng.gauss(0, SOUND_DEG)
        for code in stated
    }
    offsets = {
        str(number): rng.gauss(0, POOR_COMPASS_DEG if rng.random() < POOR_SHARE else COMPASS_DEG)
        for number in range(1, compasses + 1)
    }
    if compass_deg is not None:
        offsets["1"] = compass_deg
    sightings = []
    for one, other in lines(rng, list(stated)):
        for start, end in ((one, other), (other, one)):
            compass = rng.choice(list(offsets))
            true_deg = bearing(real[start], real[end])
            said_deg = bearing(stated[start], stated[end])
            far_m = math.dist(stated[start], stated[end])
            read_deg = (
                true_deg
                - DECLINATION_DEG
                + attraction[start]
                + offsets[compass]
                + eye(rng, noise_deg)
            )
            sightings.append(
                Sighting(
                    start,
                    end,
                    wrap(float(round(read_deg))),
                    compass,
                    computed_deg=wrap(said_deg - DECLINATION_DEG),
                    computed_error_deg=math.degrees(math.sqrt(2.0) * SURVEY_M / far_m),
                    true_deg=said_deg,
                    distance_m=far_m,
                )
            )
    return GroundSet(tuple(sightings), attraction, offsets, bent_ones)
