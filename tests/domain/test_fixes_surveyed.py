"""Fixes from the key to the grade, against people who share no code with it: they stand where the
mark truly is, sight points that lie elsewhere than surveyed, with a declination that is off alike
for all bearings, and take the middle of the lines they draw.
"""

import itertools
import math

import numpy as np
import pytest

from exercises.domain.earth import geodesy
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms.place import Placed
from exercises.domain.tasks.site import Point, Site, Task
from tests.places import DAY, MIDDLE

DRAWN = 1500
# of one bearing, of `budget`: needle, scale, protractor and its scale, in degrees, beside 0.3 m off
# the mark
OWN_DEG = math.hypot(2 / math.sqrt(3), 2 / math.sqrt(12), 2 / math.sqrt(3), 2 / math.sqrt(12))
PLACES = {
    "three all round": ((150, 260), (280, -160), (-300, -60)),
    "three on one side": ((-180, 500), (40, 420), (260, 480)),
    "one flat pair": ((120, 400), (400, -90), (150, 700)),
    "near and far": ((90, 40), (-500, 300), (200, -800)),
    "two": ((300, 250), (-200, 400)),
}


def fixed(known, survey_m, kind):
    """The answer of a fix or an intersection of P by some points, P at the middle."""
    codes = [f"K{number}" for number in range(len(known))]
    points = {"P": (0, 0), **dict(zip(codes, known, strict=True))}
    ground = Site(
        {
            code: Point(code, code, geodesy.moved(MIDDLE, *at), survey_m, "peg")
            for code, at in points.items()
        },
        grid_epsg=2193,
    )
    ends = ("P", codes[0]) if kind == "fix" else (codes[0], "P")
    # a band of a metre: what is graded is the ellipse
    task = Task("1", kind, *ends, "true", Band(5, 10), more=tuple(codes[1:]), full_credit_m=1.0)
    return key.compute([task], ground, DAY)[0]


def middles(known, survey_m, declination_deg):
    """Where people come out, metres from P as it was surveyed, seed 19: (drawings, 2)."""
    rng, known = np.random.default_rng(19), np.array(known, dtype=float)
    number = len(known)
    truly = known + rng.normal(0, survey_m, (DRAWN, number, 2))
    sighted = truly - rng.normal(0, survey_m, (DRAWN, 1, 2))
    off_deg = rng.normal(0, OWN_DEG, (DRAWN, number)) + rng.normal(0, declination_deg, (DRAWN, 1))
    beside = rng.normal(0, 0.3, (DRAWN, number)) / np.hypot(*known.T)
    bearing = np.arctan2(sighted[..., 0], sighted[..., 1]) + np.radians(off_deg) + beside
    total, count = np.zeros((DRAWN, 2)), np.zeros((DRAWN, 1))
    for i, j in itertools.combinations(range(number), 2):
        # known[i] + a u_i = known[j] + b u_j, solved for a
        u = [np.stack([np.sin(bearing[:, k]), np.cos(bearing[:, k])], axis=1) for k in (i, j)]
        sine = u[0][:, 0] * u[1][:, 1] - u[0][:, 1] * u[1][:, 0]
        believed = np.abs(sine) >= math.sin(math.radians(5))
        gap = known[j] - known[i]
        along = (gap[0] * u[1][:, 1] - gap[1] * u[1][:, 0]) / np.where(believed, sine, 1.0)
        total += np.where(believed[:, None], known[i] + along[:, None] * u[0], 0.0)
        count += believed[:, None]
    met = count[:, 0] > 0
    return total[met] / count[met]


@pytest.mark.parametrize("kind", ["fix", "intersect"])
@pytest.mark.parametrize("survey_m", [0.3, 5.0])
@pytest.mark.parametrize("known", PLACES.values(), ids=PLACES)
def test_sound_lines_earn_full_credit_95_times_of_100(known, survey_m, kind):
    """1,500 people each; one sigma of the count is 0.6 %."""
    answer = fixed(known, survey_m, kind)
    declination_deg = math.hypot(answer.declination_uncertainty_deg, 0.1)
    right = np.array([answer.form.east_m, answer.form.north_m])

    credits = [
        answer.grade(Placed("", *(right + off))).credit
        for off in middles(known, survey_m, declination_deg)
    ]

    assert np.mean([credit == 1.0 for credit in credits]) == pytest.approx(0.95, abs=0.025)
