"""The diagnosis of places against simulated people who share no code with it: they read bearings,
draw lines, and take the middle of where these cut.
"""

import datetime
import itertools
import math
import random

import numpy as np
import pytest

from exercises.domain.diagnosis.places import Judge, chance_of_right_spot
from exercises.domain.earth import geodesy
from exercises.domain.earth.geodesy import Position
from exercises.domain.surveying.traverse import parse_legs
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms.place import Placed
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Point, Site, Task

MIDDLE, DAY = Position(-45.13, 170.10), datetime.date(2026, 10, 3)
POINTS = {
    "A": (0, 0),
    "B": (180, 60),
    "C": (90, -240),
    "D": (-200, 60),
    "E": (330, 230),
    "T1": (60, 400),
    "T2": (420, 60),
    "T3": (-230, 250),
}
SITE = Site(
    {
        code: Point(code, code, geodesy.moved(MIDDLE, *place), 0.5, "peg" if len(code) == 1 else "")
        for code, place in POINTS.items()
    },
    grid_epsg=2193,
)
SCATTER_DEG, PACED, WALKED_DEG = 3.0, 0.03, 3.0  # common practice, no source


def answer_of(kind, **more):
    return key.compute(
        [
            Task(
                "1",
                kind,
                "A",
                more.pop("target"),
                "grid" if kind == "fix" else "magnetic",
                Band(5, 10),
                **more,
            )
        ],
        SITE,
        DAY,
    )[0]


RESECTION = answer_of("fix", target="T1", more=("T2", "T3"))
WALK = answer_of("walk", target="E", legs=parse_legs("020 180; 110 150"))


def drawn(bearings_deg, rng):
    """Where somebody at A comes out who read these true bearings to T1, T2, T3: the middle of the
    cuts of the back bearings.
    """
    cuts = []
    for (one, a), (other, b) in itertools.combinations(
        list(zip(("T1", "T2", "T3"), bearings_deg, strict=True)), 2
    ):
        ax, ay, bx, by = (
            math.sin(math.radians(a)),
            math.cos(math.radians(a)),
            math.sin(math.radians(b)),
            math.cos(math.radians(b)),
        )
        determinant = ax * by - ay * bx
        if abs(determinant) > 0.1:  # nobody trusts lines that hardly cut
            (px, py), (qx, qy) = POINTS[one], POINTS[other]
            along = ((qx - px) * by - (qy - py) * bx) / determinant
            cuts.append((px + along * ax, py + along * ay))
    middle = (sum(place[axis] for place in cuts) / len(cuts) for axis in (0, 1))
    return tuple(
        round((value + rng.uniform(-5, 5)) / 10) * 10 for value in middle
    )  # read off to 10 m


def fix_of(cause, rng):
    """A resection with a mistake, and the point whose bearing it was, if one."""
    declination_deg = RESECTION.norths.grid_magnetic_deg
    bearings = [
        math.degrees(math.atan2(*POINTS[code])) % 360 + rng.gauss(0, SCATTER_DEG)
        for code in ("T1", "T2", "T3")
    ]
    which = rng.randrange(3)
    if cause == "declination_ignored":
        bearings = [bearing - declination_deg for bearing in bearings]
    elif cause == "declination_wrong_way":
        bearings = [bearing - 2 * declination_deg for bearing in bearings]
    elif cause == "other_target":
        one, other = rng.choice([(0, 2), (1, 2)])
        bearings[one], bearings[other] = bearings[other], bearings[one]
    elif cause == "quarter_turn":
        bearings[which] += rng.choice([90, -90])
    east, north = drawn(bearings, rng)
    return Placed("", east, north, 5.0), ("T1", "T2", "T3")[which]


def walk_of(cause, rng):
    """The marker at the end of a paced walk with a mistake, and the leg that it was."""
    count, which, east, north = 1 + rng.gauss(0, PACED), rng.randrange(3), 0.0, 0.0
    for number, leg in enumerate(WALK.form.legs):
        bearing, metres = (
            leg.bearing_deg + rng.gauss(0, WALKED_DEG),
            leg.distance_m * count * (1 + rng.gauss(0, 0.02)),
        )
        if cause == "declination_ignored":
            bearing += (
                WALK.norths.declination_deg * -1.0
            )  # what is needlessly taken off a magnetic bearing
        if cause == "leg_left_out" and number == which:
            continue
        if cause == "reversed_leg" and number == which:
            bearing += 180
        east, north = (
            east + metres * math.sin(math.radians(bearing)),
            north + metres * math.cos(math.radians(bearing)),
        )
    code = min(
        WALK.form.spots, key=lambda spot: math.hypot(spot.east_m - east, spot.north_m - north)
    ).code
    return code, str(which + 1)


@pytest.fixture(scope="module")
def fixes():
    """900 simulated resections, seed 17: (cause, point, verdict)."""
    rng, judge, found = random.Random(17), Judge({"1": RESECTION}), []
    for cause in rng.choices(
        ["ok", "declination_ignored", "declination_wrong_way", "other_target", "quarter_turn"],
        [60, 14, 8, 9, 9],
        k=900,
    ):
        seen, point = fix_of(cause, rng)
        found.append((cause, point, judge.verdict(Reading("Mia", "1", seen))))
    return found


def test_who_fixed_soundly_is_hardly_ever_accused(fixes):
    sound = [verdict for cause, _, verdict in fixes if cause == "ok"]

    assert sum(verdict.cause != "ok" and verdict.is_sure for verdict in sound) / len(sound) < 0.02


@pytest.mark.parametrize(
    ("cause", "least"),
    [("declination_ignored", 0.9), ("declination_wrong_way", 0.9), ("other_target", 0.7)],
)
def test_a_mistake_in_the_lines_is_recognised(fixes, cause, least):
    own = [verdict.cause == cause for one, _, verdict in fixes if one == cause]

    assert sum(own) / len(own) > least


def test_the_one_bearing_that_went_wrong_is_named_where_the_cause_is_recognised(fixes):
    own = [
        (point, verdict)
        for cause, point, verdict in fixes
        if cause == verdict.cause == "quarter_turn"
    ]

    assert len(own) > 20
    assert sum(point == verdict.detail for point, verdict in own) / len(own) > 0.85


def test_what_is_called_sure_is_right_as_often_as_it_says(fixes):
    """Of what is called 60 % or more: the mean of what was said against the share that was right,
    to 5 points (900 readings: one sigma is 1).
    """
    sure = [
        (verdict.probability, verdict.cause == cause)
        for cause, _, verdict in fixes
        if verdict.is_sure
    ]

    assert sum(right for _, right in sure) / len(sure) == pytest.approx(
        sum(said for said, _ in sure) / len(sure), abs=0.05
    )


def test_a_marker_covers_the_ground_nearest_to_it():
    """500 simulated walks, seed 23: the marker reached by a sound walk is the right one, and never
    an accusation.
    """
    rng, judge = random.Random(23), Judge({"1": WALK})
    ends = [walk_of("ok", rng)[0] for _ in range(500)]
    verdicts = {
        code: judge.verdict(
            Reading(
                "Mia",
                "1",
                Placed(code, WALK.form.spot(code).east_m, WALK.form.spot(code).north_m),
            )
        )
        for code in set(ends)
    }

    assert sum(code == "E" for code in ends) / 500 > 0.97
    assert verdicts["E"].cause == "ok"


@pytest.mark.parametrize(
    ("cause", "code", "named_least"),
    [("leg_left_out", "leg_left_out", 0.9), ("reversed_leg", "reversed", 0.4)],
)
def test_of_a_wrong_marker_the_true_cause_is_named_and_no_other_for_sure(cause, code, named_least):
    """200 simulated walks each, seed 29. A marker stands for much ground, so several mistakes lead
    to it: the true one is among what is said, or nothing is said for sure.
    """
    rng, judge, said = random.Random(29), Judge({"1": WALK}), []
    for _ in range(200):
        reached, _ = walk_of(cause, rng)
        if reached != "E":
            spot = WALK.form.spot(reached)
            said.append(
                judge.verdict(Reading("Mia", "1", Placed(reached, spot.east_m, spot.north_m)))
            )
    named = [code in {verdict.cause, *(one for one, _ in verdict.alternatives)} for verdict in said]

    assert len(said) > 100
    assert sum(named) / len(said) > named_least
    assert all(verdict.cause == code for verdict in said if verdict.is_sure)


@pytest.mark.parametrize(
    "answer",
    [RESECTION, WALK, answer_of("walk", target="C", legs=parse_legs("150 100"))],
    ids=["fix", "walk", "walk among marks"],
)
def test_the_share_of_the_right_spot_is_that_of_a_simulation(answer):
    """Monte Carlo of 100,000 places, seed 31, within 1 %."""
    rng, where = np.random.default_rng(31), answer.form
    east, north, both = where.ellipse.covariance()
    ends = rng.multivariate_normal(
        [where.east_m, where.north_m], [[east, both], [both, north]], 100_000
    )
    off = np.stack(
        [np.hypot(ends[:, 0] - spot.east_m, ends[:, 1] - spot.north_m) for spot in where.spots]
    )
    share = (off.argmin(axis=0) == [spot.code for spot in where.spots].index(where.right)).mean()

    assert chance_of_right_spot(answer) == pytest.approx(share, abs=0.01)
