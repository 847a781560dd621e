"""What is remembered of a site and left out for speed changes nothing: each is set beside a plain
reckoning of everything, one after the other.
"""

import datetime

import numpy as np
from hypothesis import assume, given, settings, strategies as st

from exercises.domain.diagnosis.nearest_spot import NEIGHBOURS, Spots, _chances, _sigmas
from exercises.domain.earth import geodesy
from exercises.domain.earth.ellipse import Ellipse
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms.place import Spot
from exercises.domain.tasks.kinds.ground import MOST_MARKS, UNUSED_SHARE
from exercises.domain.tasks.site import Point, Site, Task

ON = datetime.date(2026, 10, 3)
STEP_DEG = 0.0005  # points lie on a grid of about fifty metres, some of them on each other


@st.composite
def sites(draw):
    """Up to thirty points, most of them marks, with or without a note of what is seen."""
    places = draw(
        st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=4, max_size=30)
    )
    points = {}
    for number, (north, east) in enumerate(places):
        code, is_mark = f"P{number}", draw(st.integers(0, 3)) > 0
        at = geodesy.Position(-45.0 + north * STEP_DEG, 170.0 + east * STEP_DEG)
        points[code] = Point(code, code, at, 0.5, "peg" if is_mark else "")
    codes = sorted(points)
    noted = draw(st.lists(st.sampled_from(codes), unique=True, max_size=6))
    visible = {
        code: tuple(
            target
            for target in draw(st.lists(st.sampled_from(codes), unique=True, max_size=8))
            if target != code
        )
        for code in noted
    }
    return Site(points, visible)


def line(site, one, other):
    """The sight line between two points; None where they are one."""
    try:
        return geodesy.sight_line(site.points[one].position, site.points[other].position)
    except geodesy.SamePoint:
        return None


def plainly_seen(site, station):
    return site.visible.get(station) or [code for code in site.points if code != station]


def plain_others(site, task, used):
    """(code, bearing, share) of what may be taken for a target."""
    return [
        (code, found.bearing_deg, 1.0 if code in used else UNUSED_SHARE)
        for code in plainly_seen(site, task.station)
        if code != task.target and (found := line(site, task.station, code))
    ]


def plain_marks(site, task, used):
    """(code, bearing, share, what is seen from there) of the marks where one may stand instead: of
    many those that the course uses, and the nearest, in the order of the site.
    """
    marks = [
        code
        for code, point in site.points.items()
        if point.mark and code not in (task.station, task.target)
    ]
    if len(marks) > MOST_MARKS:
        here = site.points[task.station].position
        away_m = {
            code: geodesy.apart_m(here, site.points[code].position)
            for code in marks
            if line(site, task.station, code)
        }
        likely = sorted(away_m, key=lambda code: (code not in used, away_m[code]))[:MOST_MARKS]
        marks = [code for code in marks if code in likely]
    for code in marks:
        if found := line(site, code, task.target):
            seen = sorted({*plainly_seen(site, code), task.target})
            view = [(other, at.bearing_deg) for other in seen if (at := line(site, code, other))]
            yield code, found.bearing_deg, 1.0 if code in used else UNUSED_SHARE, tuple(view)


@settings(deadline=None, max_examples=60)
@given(sites(), st.lists(st.tuples(st.integers(0, 29), st.integers(0, 29)), min_size=1, max_size=5))
def test_what_may_be_mistaken_is_what_a_plain_reckoning_finds(site, ends):
    codes = list(site.points)
    lines = [(codes[one % len(codes)], codes[other % len(codes)]) for one, other in ends]
    lines = [ends for ends in lines if line(site, *ends)]
    assume(lines)
    tasks = [
        Task(str(number), "follow", *ends, "true", Band(5, 10)) for number, ends in enumerate(lines)
    ]

    answers = key.compute(tasks, site, ON)

    stations, targets = {station for station, _ in lines}, {target for _, target in lines}
    for task, answer in zip(tasks, answers, strict=True):
        others = [(other.code, other.bearing_deg, other.share) for other in answer.others]
        assert others == plain_others(site, task, targets)
        marks = [(one.code, one.bearing_deg, one.share, one.targets) for one in answer.stations]
        assert marks == list(plain_marks(site, task, stations))


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.integers(2, 60), st.floats(0.5, 300.0), st.booleans())
def test_spots_beyond_reach_are_left_out_without_a_trace(seed, number, spread_m, is_surveyed):
    rng = np.random.default_rng(seed)
    spots = [
        Spot(
            str(index), *rng.uniform(-400, 400, 2), Ellipse(4.0, 2.0, 30.0) if is_surveyed else None
        )
        for index in range(number)
    ]
    places = rng.uniform(-300, 300, 2) + rng.normal(0, spread_m, (50, 2))
    weights = rng.dirichlet(np.ones(50))

    shares = Spots.of(spots).shares(places, weights)

    plain, where = np.zeros(number), Spots.of(spots).where
    for place, weight in zip(places, weights, strict=True):
        away = place - where
        order = np.argsort(np.hypot(*away.T))[:NEIGHBOURS]
        if is_surveyed:
            sigma = _sigmas(Spots.of(spots).covariance[order], away[order][None])
            plain[order] += weight * _chances(np.hypot(*away[order].T)[None], sigma)[0]
        else:
            plain[order[0]] += weight
    assert np.abs(shares - plain).max() < 0.001  # beyond 4 sigmas the nearer is taken as sure
