"""Who lies near whom, beside measuring from everyone to everyone."""

import itertools

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.geodesy import Position, apart_m, destination
from exercises.exchange.neighbours import Neighbours

RADIUS_M = 0.5
MIDDLES = st.one_of(
    st.builds(Position, st.floats(-90, 90), st.floats(-180, 180)),
    st.sampled_from(
        [
            Position(0.0, 0.0),
            Position(0.0, 180.0),
            Position(-45.13, 180.0),
            Position(-45.13, -180.0),
            Position(90.0, 0.0),
            Position(89.9999999, 137.0),
            Position(-90.0, -60.0),
        ]
    ),
)
STEPS = st.lists(st.tuples(st.floats(0, 360), st.floats(0, 3 * RADIUS_M)), max_size=25)


def near_one_by_one(positions, position):
    return [index for index, other in enumerate(positions) if apart_m(other, position) < RADIUS_M]


@given(MIDDLES, STEPS)
def test_the_same_lie_near_as_when_everyone_is_measured(middle, steps):
    positions = [middle, *(destination(middle, *step) for step in steps)]
    neighbours = Neighbours(positions, RADIUS_M)

    for position in positions:
        assert list(neighbours.near(position)) == near_one_by_one(positions, position)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param((-45.13, 179.999999), (-45.13, -179.999999), id="across the antimeridian"),
        pytest.param((-45.13, 180.0), (-45.13, -180.0), id="on the antimeridian"),
        pytest.param((89.999999, 10.0), (89.999999, -170.0), id="across the north pole"),
        pytest.param((-90.0, 10.0), (-90.0, 120.0), id="on the south pole"),
        pytest.param((0.000001, 0.000001), (-0.000001, -0.000001), id="across equator and zero"),
    ],
)
def test_a_border_of_the_numbers_is_none_on_the_ground(one, other):
    positions = [Position(*one), Position(*other)]
    neighbours = Neighbours(positions, RADIUS_M)

    for position in positions:
        assert list(neighbours.near(position)) == [0, 1]


def test_what_is_as_far_as_the_radius_is_not_near():
    middle = Position(-45.13, 170.10)
    ring = [destination(middle, bearing, RADIUS_M + 1e-6) for bearing in range(0, 360, 15)]

    assert list(Neighbours(ring, RADIUS_M).near(middle)) == []


def test_those_near_come_in_their_order():
    middle = Position(60.0, 25.0)
    spots = itertools.product(range(0, 360, 45), (0.4, 0.1, 0.3))
    positions = [destination(middle, bearing, distance) for bearing, distance in spots]

    assert list(Neighbours(positions, RADIUS_M).near(middle)) == list(range(len(positions)))
