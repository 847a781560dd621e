"""Which line to read next: held against readings drawn and adjusted one by one."""

import math
import random

import pytest

from exercises.domain.surveying.ground.attraction import adjust
from exercises.domain.surveying.ground.next_sighting import Candidate, bits, most_telling
from exercises.domain.surveying.ground.sighting import Instrument, Sighting
from tests import ground_sets

COMPASS = Instrument("1", "magnetic")
PLAIN = Candidate("A", "C", COMPASS, 0.3)


def along(station, target, off_deg, compass="1"):
    """A line that was read some degrees off."""
    return Sighting(station, target, (60.0 + off_deg) % 360, compass, 1.0, 60.0, 0.3)


# B and C are sound; A was read from once, five degrees off
ONCE = [along("A", "B", 5), *(along(*line, 0) for line in (("B", "A"), ("B", "C"), ("C", "B")))]
# one station, one compass: both may be off
ALONE = [along("A", "B", 8), along("A", "C", 8), along("A", "D", 8)]


def test_a_station_that_was_read_from_once_is_read_from_again():
    found = adjust(ONCE)
    others = [Candidate("B", "D", COMPASS, 0.3), Candidate("C", "D", COMPASS, 0.3)]

    assert most_telling(found, "A", [*others, PLAIN]) == PLAIN


def test_where_compass_and_station_may_both_be_off_another_compass_tells_most():
    found = adjust(ALONE)
    other = Candidate("A", "B", None, 0.3)

    assert most_telling(found, "A", [PLAIN, other]) == other


def test_a_line_that_is_well_surveyed_tells_more_than_one_that_is_not():
    found, poor = adjust(ONCE), Candidate("A", "C", COMPASS, 20.0)

    assert bits(found, "A", PLAIN) > bits(found, "A", poor)


def test_nothing_is_proposed_where_nothing_would_tell_anything():
    assert most_telling(adjust(ONCE), "A", [Candidate("A", "C", COMPASS, 1e4)]) is None


def test_nothing_is_proposed_without_a_line_to_propose():
    assert most_telling(adjust(ONCE), "A", []) is None


@pytest.mark.parametrize("sightings", [ONCE, ALONE], ids=["read once", "one compass"])
def test_the_promise_is_kept_on_average(sightings):
    # 150 readings drawn from what is believed of A (seed 5), each added and everything adjusted
    # anew: the entropy of "A bends" falls on average by what was promised, to a tenth of a bit.
    found = adjust(sightings)
    before = entropy(found.posterior.probability(0, 1))
    rng, after = random.Random(5), []
    for _ in range(150):
        weights = found.posterior.weights
        at = rng.choices(range(len(weights)), weights)[0]
        mean, spread = found.posterior.means[at], found.posterior.covariances[at]
        compass = len(found.attraction)
        sigma2 = spread[0, 0] + spread[compass, compass] + 2 * spread[0, compass]
        noise = rng.gauss(0, (sigma2 + found.posterior.scales[at] ** 2 + 0.3**2) ** 0.5)
        one = along("A", "E", mean[0] + mean[compass] + noise)
        after.append(entropy(adjust([*sightings, one]).posterior.probability(0, 1)))

    promised = bits(found, "A", Candidate("A", "E", COMPASS, 0.3))

    assert before - sum(after) / len(after) == pytest.approx(promised, abs=0.1)


def entropy(chance):
    return -sum(share * math.log2(share) for share in (chance, 1 - chance) if share > 0)


def test_every_proposal_of_a_set_of_lines_is_one_of_them():
    ground = ground_sets.draw(4, stations=4, noise_deg=2.0, bent=1)
    found = adjust(ground.sightings)
    lines = [Candidate(one.station, one.target, COMPASS, 0.5) for one in ground.sightings]

    assert {most_telling(found, station, lines) for station in found.attraction} <= {None, *lines}
