"""Which leg holds the slip: by the classical rules where they decide, and on simulated traverses of
which the slip is known.
"""

import math
import random

import pytest

from exercises.domain.earth.ellipse import circle
from exercises.domain.surveying.traverse import Leg, corners
from exercises.domain.surveying.traverses.traverse_adjustment import (
    MeasuredLeg,
    Traverse,
    adjust,
)
from exercises.domain.surveying.traverses.traverse_slip import SHARES, suspect

# no two legs nearly along or across one another, nor the one that closes them
IRREGULAR = [(10.0, 90.0), (82.0, 100.0), (154.0, 80.0), (208.0, 130.0)]
RECTANGLE = [(10.0, 100.0), (100.0, 60.0), (190.0, 100.0), (280.0, 60.0)]


def home(legs):
    """Legs with one more that closes them."""
    east, north = corners([Leg(*leg) for leg in legs])[-1]
    return [*legs, (math.degrees(math.atan2(-east, -north)) % 360, math.hypot(east, north))]


def measured(legs, bearing_error_deg=0.3, distance_error_m=0.05, **more):
    return Traverse(
        tuple(
            MeasuredLeg(b % 360, d, bearing_error_deg, distance_error_m, **more) for b, d in legs
        ),
        circle(0.0),
    )


def slipped(legs, number, bearing_deg=0.0, metres=0.0):
    bearing, length = legs[number]
    return [*legs[:number], (bearing + bearing_deg, length + metres), *legs[number + 1 :]]


@pytest.mark.parametrize("number", range(5))
def test_a_wrong_length_lies_in_the_leg_along_which_the_closing_error_runs(number):
    legs = home(IRREGULAR)

    found = suspect(measured(slipped(legs, number, metres=-13.0)))

    assert found.named == number
    assert found.slips[0].cause == "length"
    assert found.slips[0].leg.distance_m == pytest.approx(legs[number][1], abs=0.3)
    assert found.slips[0].left_m < 0.2


@pytest.mark.parametrize("number", range(5))
def test_a_wrong_bearing_lies_in_the_leg_that_swings_shut(number):
    """27 degrees off: the perpendicular bisector of the closing line, laid where the leg ends,
    meets its beginning.
    """
    legs = home(IRREGULAR)

    found = suspect(measured(slipped(legs, number, bearing_deg=27.0)))

    assert found.named == number
    assert found.slips[0].cause == "bearing"
    assert found.slips[0].leg.bearing_deg == pytest.approx(legs[number][0] % 360, abs=0.6)


def test_a_leg_read_backwards_is_known_by_twice_its_length():
    legs = home(IRREGULAR)

    best = suspect(measured(slipped(legs, 2, bearing_deg=180.0))).slips[0]

    assert (best.number, best.cause) == (2, "reversed")
    assert best.leg.bearing_deg == pytest.approx(legs[2][0])


def test_exchanged_digits_are_those_of_the_number_as_it_was_read():
    """146 in magnetic written as 164, with a declination of 8 degrees: 172 true instead of 154."""
    wrong = slipped(home(IRREGULAR), 2, bearing_deg=164.0 - 146.0)

    best = suspect(measured(wrong, turned_deg=8.0)).slips[0]

    assert (best.number, best.cause) == (2, "bearing_digits")
    assert best.leg.bearing_deg == pytest.approx(154.0)


def test_exchanged_digits_of_a_distance_are_put_right():
    legs = home([*IRREGULAR[:2], (154.0, 73.4), IRREGULAR[3]])

    best = suspect(measured(slipped(legs, 2, metres=37.4 - 73.4))).slips[0]

    assert (best.number, best.cause, best.leg.distance_m) == (2, "length_digits", 73.4)


def test_two_legs_that_run_the_same_way_cannot_be_told_apart():
    """A tape's length too short in a side of a rectangle: the opposite side would do as well."""
    found = suspect(measured(slipped(RECTANGLE, 0, metres=-30.0)))

    assert found.named is None
    assert set(found.alike()) == {0, 2}


def test_a_leg_whose_set_agrees_is_hardly_suspected():
    """The same, with three distances of the first leg: they hardly have all slipped alike."""
    once = measured(slipped(RECTANGLE, 0, metres=-30.0))
    thrice = MeasuredLeg(10.0, 70.0, 0.3, 0.05, distances=3)

    found = suspect(once.with_leg(0, thrice))

    assert found.named == 2
    assert found.alike() == ()


def test_what_scatter_may_have_done_is_not_called_a_slip():
    """A closing error of 2.6 standard errors: rare by what was stated, but not as rare as a slip
    that size.
    """
    legs = home(IRREGULAR)
    allowed_m = adjust(measured(legs, 1.0, 0.1)).allowed_m

    found = suspect(measured(slipped(legs, 1, metres=1.2 * allowed_m), 1.0, 0.1))

    assert found.none_probability > 0.5
    assert found.named is None


def test_the_probabilities_are_all_that_can_be():
    found = suspect(measured(slipped(home(IRREGULAR), 1, metres=5.0)))

    assert found.none_probability + sum(slip.probability for slip in found.slips) == pytest.approx(
        1
    )
    assert sum(found.of_leg(number) for number in range(5)) == pytest.approx(
        1 - found.none_probability
    )


def acted(rng):
    """An irregular loop of five legs as a compass of 1 degree and a tape of 0.1 m give it, with one
    slip of a kind drawn by its share (digits as written; other amounts drawn for the test).
    """
    angles = sorted(rng.uniform(0, 360) for _ in range(5))
    places = [
        (radius * math.sin(math.radians(angle)), radius * math.cos(math.radians(angle)))
        for angle in angles
        for radius in [rng.uniform(60, 150)]
    ]
    legs = []
    for (x, y), (east, north) in zip(places, places[1:] + places[:1], strict=True):
        bearing = math.degrees(math.atan2(east - x, north - y)) + rng.gauss(0, 1.0)
        metres = max(2.0, math.hypot(east - x, north - y) + rng.gauss(0, 0.1))
        legs.append((round(bearing) % 360, round(metres, 1)))
    number = rng.randrange(5)
    kind = rng.choices(list(SHARES), list(SHARES.values()))[0]
    bearing, metres = legs[number]
    text = f"{bearing:03d}" if kind == "bearing_digits" else f"{metres:.1f}"
    swapped = text[1] + text[0] + text[2:]
    legs[number] = {
        "length": (bearing, max(1.0, metres + rng.choice([-30, -20, -10, 10, 20, 30]))),
        "bearing": (bearing + rng.choice([-50, -20, -10, 10, 20, 50, rng.uniform(0, 360)]), metres),
        "reversed": (bearing + 180, metres),
        "bearing_digits": (float(swapped) % 360 if "." not in swapped else bearing, metres),
        "length_digits": (bearing, float(swapped) if float(swapped) > 0 else metres),
    }[kind]
    return measured(legs, math.hypot(1.0, 0.29), 0.1), number


def test_a_leg_that_is_named_holds_the_slip():
    """Monte Carlo, 400 loops with a slip, seed 31: of those doubted, the share in which a leg is
    named, and in which it is the right one. All of them have a slip, though one in sixty legs is
    what is expected: so the named ones are right a little more often than they say.
    """
    rng, named, said, right, doubted = random.Random(31), 0, 0.0, 0, 0
    for _ in range(400):
        traverse, number = acted(rng)
        if adjust(traverse).is_believable:
            continue
        doubted += 1
        found = suspect(traverse)
        if found.named is not None:
            named += 1
            said += found.of_leg(found.named)
            right += found.named == number

    assert doubted / 400 > 0.85
    assert named / doubted > 0.45
    assert right / named == pytest.approx(said / named, abs=0.06)
