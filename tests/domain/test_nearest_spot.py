"""How often a spot is the nearest to where an answer scatters: an ellipse that slants, widened, and
markers that are not where they were surveyed.
"""

import math

import numpy as np
import pytest

from exercises.domain.diagnosis import nearest_spot, places
from exercises.domain.diagnosis.nearest_spot import Spots
from exercises.domain.earth.ellipse import Ellipse
from exercises.domain.mistakes.predictions import Landing
from exercises.domain.tasks.forms.place import Spot

APART_M = 4.0
SPOTS = [
    Spot(f"{east},{north}", APART_M * east, APART_M * north)
    for east in range(-25, 26)
    for north in range(-25, 26)
]


@pytest.mark.parametrize("azimuth_deg", [30.0, 120.0])
def test_spots_all_round_share_out_the_ellipse_as_it_lies(azimuth_deg):
    """Mean and covariance of the nearest spots of a square grid are those of the ellipse, with
    spacing^2 / 12 of the grid itself (GUM 4.3.7).
    """
    ellipse, factor = Ellipse(16.0, 8.0, azimuth_deg), 1.5
    shares = places._nearest(Spots.of(SPOTS), Landing("ok", "ok", 3.0, -5.0, ellipse), factor)
    where = np.array([(spot.east_m, spot.north_m) for spot in SPOTS])
    east, north, both = ellipse.covariance()
    grid = APART_M**2 / 12

    assert shares.sum() == pytest.approx(1.0)
    assert shares @ where == pytest.approx([3.0, -5.0], abs=0.5)
    assert np.cov(where.T, aweights=shares, ddof=0)[[0, 1, 0], [0, 1, 1]] == pytest.approx(
        [factor**2 * east + grid, factor**2 * north + grid, factor**2 * both], rel=0.05
    )


def test_markers_that_may_lie_elsewhere_share_a_place_as_often_as_a_simulation_does():
    """Four markers, one of them surveyed along a slanting ellipse: 200,000 drawings of where they
    truly are, seed 5, within 1 %.
    """
    surveys = [Ellipse(6.0, 2.0, 40.0), Ellipse(3.0, 3.0, 0.0), Ellipse(5.0, 4.0, 100.0), None]
    where = [(0.0, 0.0), (22.0, 3.0), (-8.0, 24.0), (15.0, -20.0)]
    spots = [
        Spot(str(n), *at, survey) for n, (at, survey) in enumerate(zip(where, surveys, strict=True))
    ]
    place, rng = np.array([9.0, 4.0]), np.random.default_rng(5)

    off = []
    for at, survey in zip(where, surveys, strict=True):
        major, minor, azimuth = (
            (survey.major_m, survey.minor_m, math.radians(survey.azimuth_deg))
            if survey
            else (0.0, 0.0, 0.0)
        )
        u, v = rng.normal(0, 1, (2, 200_000)) * [[major], [minor]]
        east = at[0] + u * math.sin(azimuth) + v * math.cos(azimuth)
        north = at[1] + u * math.cos(azimuth) - v * math.sin(azimuth)
        off.append(np.hypot(east - place[0], north - place[1]))
    truth = np.bincount(np.argmin(off, axis=0), minlength=4) / 200_000

    assert Spots.of(spots).shares(place[None], np.ones(1)) == pytest.approx(truth, abs=0.01)


def test_markers_that_were_surveyed_to_the_millimetre_cover_what_is_nearest():
    spots = [Spot("a", 0.0, 0.0, Ellipse(0.001, 0.001, 0.0)), Spot("b", 10.0, 0.0)]
    places = np.array([[4.9, 3.0], [5.1, 3.0], [30.0, 0.0]])

    assert Spots.of(spots).shares(places, np.array([0.5, 0.25, 0.25])).tolist() == [0.5, 0.5]


def test_the_normal_distribution_is_that_of_the_error_function():
    deviates = np.linspace(-6.0, 6.0, 241)
    exact = [(1.0 + math.erf(deviate / math.sqrt(2.0))) / 2.0 for deviate in deviates]

    assert nearest_spot._normal(deviates) == pytest.approx(exact, abs=0.0002)
