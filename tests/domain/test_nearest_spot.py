"""How often a spot is the nearest to where an answer scatters: an ellipse that slants, widened."""

from types import SimpleNamespace

import numpy as np
import pytest

from exercises.domain.diagnosis import places
from exercises.domain.earth.ellipse import Ellipse
from exercises.domain.mistakes.predictions import Landing

APART_M = 4.0
SPOTS = [
    SimpleNamespace(code=f"{east},{north}", east_m=APART_M * east, north_m=APART_M * north)
    for east in range(-25, 26)
    for north in range(-25, 26)
]


@pytest.mark.parametrize("azimuth_deg", [30.0, 120.0])
def test_spots_all_round_share_out_the_ellipse_as_it_lies(azimuth_deg):
    """Mean and covariance of the nearest spots of a square grid are those of the ellipse, with
    spacing^2 / 12 of the grid itself (GUM 4.3.7).
    """
    ellipse, factor = Ellipse(16.0, 8.0, azimuth_deg), 1.5
    shares = places._nearest(
        SimpleNamespace(spots=SPOTS), Landing("ok", "ok", 3.0, -5.0, ellipse), factor
    )
    where = np.array([(spot.east_m, spot.north_m) for spot in SPOTS])
    east, north, both = ellipse.covariance()
    grid = APART_M**2 / 12

    assert shares.sum() == pytest.approx(1.0)
    assert shares @ where == pytest.approx([3.0, -5.0], abs=0.5)
    assert np.cov(where.T, aweights=shares, ddof=0)[[0, 1, 0], [0, 1, 1]] == pytest.approx(
        [factor**2 * east + grid, factor**2 * north + grid, factor**2 * both], rel=0.05
    )
