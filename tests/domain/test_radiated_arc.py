"""A point measured along a line whose bearing is uncertain: it lies on an arc, not on a straight
line across. Truth by the trapezium rule over the bearing's normal density and by drawings, which
share no code with `survey.radiate`.
"""

import datetime
import math

import numpy as np
import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.ellipse import SCALE_95
from exercises.domain.earth.geodesy import Position
from exercises.domain.surveying.survey import radiate
from exercises.domain.tasks.site import Point, Site
from exercises.presenting.surveys import bent_text

HERE, DAY = Position(-45.13, 170.10), datetime.date(2026, 10, 3)
GROUND = Site({"A": Point("A", "gate", HERE, 0.0001)})
BEARING_DEG = 40.0


def radiated(distance_m, bearing_sigma_deg, distance_sigma_m):
    return radiate(
        GROUND,
        "A",
        BEARING_DEG,
        "true",
        distance_m,
        bearing_uncertainty_deg=bearing_sigma_deg,
        distance_uncertainty_m=distance_sigma_m,
        on=DAY,
    )


def mean(function, sigma_deg):
    """The mean of a function of a normal angle, by the trapezium rule over 9 sigma each way."""
    angle = np.linspace(-9.0, 9.0, 20_001) * math.radians(sigma_deg)
    density = np.exp(-0.5 * (angle / math.radians(sigma_deg)) ** 2)
    return (function(angle) * density).sum() / density.sum()


@pytest.mark.parametrize(
    ("distance_m", "bearing_sigma_deg", "distance_sigma_m"),
    [(1500.0, 5.0, 1.0), (300.0, 1.0, 0.2), (800.0, 20.0, 40.0)],
)
def test_position_and_ellipse_are_the_moments_of_the_arc(
    distance_m, bearing_sigma_deg, distance_sigma_m
):
    found = radiated(distance_m, bearing_sigma_deg, distance_sigma_m)

    along_m = distance_m * mean(np.cos, bearing_sigma_deg)
    square = distance_m**2 + distance_sigma_m**2
    assert geodesy.apart_m(HERE, found.position) == pytest.approx(along_m, abs=0.001)
    assert found.nearer_m == pytest.approx(distance_m - along_m, abs=1e-6)
    assert found.ellipse.along(BEARING_DEG) == pytest.approx(
        math.sqrt(square * mean(lambda t: np.cos(t) ** 2, bearing_sigma_deg) - along_m**2), rel=1e-5
    )
    assert found.ellipse.across(BEARING_DEG) == pytest.approx(
        math.sqrt(square * mean(lambda t: np.sin(t) ** 2, bearing_sigma_deg)), rel=1e-5
    )


def test_five_degrees_over_1500_metres_put_a_point_six_metres_nearer():
    """d t^2 / 2 = 1500 * 0.0873^2 / 2 = 5.71, and d t^2 / sqrt 2 = 8.08 along the line."""
    found = radiated(1500.0, 5.0, 0.001)

    assert found.nearer_m == pytest.approx(5.71, abs=0.02)
    assert found.ellipse.along(BEARING_DEG) == pytest.approx(8.08, abs=0.05)


@pytest.mark.parametrize("distance_sigma_m", [0.05, 1.0, 20.0])
@pytest.mark.parametrize("bearing_sigma_deg", [0.5, 1.0, 2.0, 5.0, 20.0])
@pytest.mark.parametrize("distance_m", [100.0, 500.0, 1500.0, 5000.0])
def test_the_95_per_cent_ellipse_holds_93_to_97(distance_m, bearing_sigma_deg, distance_sigma_m):
    """100,000 drawings, seed 3; one sigma of the count is 0.07 %. Of a pure parabola an ellipse of
    its moments holds 93.1 %: x^2 + (x^2 - 1)^2 / 2 <= 5.99 at |x| <= 1.82.
    """
    found, rng = radiated(distance_m, bearing_sigma_deg, distance_sigma_m), np.random.default_rng(3)
    angle = np.radians(rng.normal(0.0, bearing_sigma_deg, 100_000))
    far = rng.normal(distance_m, distance_sigma_m, 100_000)

    along = far * np.cos(angle) - geodesy.apart_m(HERE, found.position)
    off = np.hypot(
        along / found.ellipse.along(BEARING_DEG),
        far * np.sin(angle) / found.ellipse.across(BEARING_DEG),
    )

    assert 0.928 < (off <= SCALE_95).mean() < 0.97


def test_a_point_that_is_put_nearer_is_told_so():
    assert "put 6 m nearer than you measured" in bent_text(radiated(1500.0, 5.0, 1.0))
    assert bent_text(radiated(100.0, 1.0, 0.1)) == ""
