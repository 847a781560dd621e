"""Compasses of a set against each other: by worked cases, against importance sampling that shares
nothing with the sums, and on sets drawn otherwise than the model believes.
"""

import numpy as np
import pytest

from exercises.domain.running.set_check import (
    ANY_SHARE,
    LIMIT_DEG,
    OFF_DEG,
    OFF_SHARE,
    REVERSED_SHARE,
    SOUND_DEG,
    SOUND_SHARE,
    Finding,
    TooFewCompasses,
    set_check,
)


def findings(readings, **more):
    return [str(compass.finding) for compass in set_check(readings, 2.0, **more).compasses]


@pytest.mark.parametrize(
    ("shown", "found"),
    [
        pytest.param([40, 41, 40, 40], ["sound"] * 4, id="all alike"),
        pytest.param([40, 41, 40, 48], ["sound"] * 3 + ["off"], id="eight degrees off"),
        pytest.param([40, 41, 40, 220], ["sound"] * 3 + ["reversed"], id="reversed"),
        pytest.param([359, 1, 0, 10], ["sound"] * 3 + ["off"], id="across north"),
        pytest.param([179, 181, 180, 1], ["sound"] * 3 + ["reversed"], id="across south"),
        pytest.param([40, 41, 40, 224], ["sound"] * 3 + ["reversed"], id="reversed and four off"),
    ],
)
def test_the_odd_ones_are_named(shown, found):
    assert findings({str(place): [number] for place, number in enumerate(shown)}) == found


def test_one_bad_compass_bends_nobody_else():
    sound = {"1": [40], "2": [41], "3": [40], "4": [39]}
    with_bad = {**sound, "5": [130]}

    one, other = (set_check(readings, 2.0) for readings in (sound, with_bad))

    assert other.line_deg == pytest.approx(one.line_deg, abs=0.1)


def test_of_two_that_differ_nobody_can_say_which_is_odd():
    with pytest.raises(TooFewCompasses):
        set_check({"1": [40], "2": [60]}, 2.0)


def test_against_a_known_line_a_single_compass_is_judged():
    assert findings({"1": [48]}, line_deg=40.0) == ["off"]


def test_half_the_set_against_the_other_half_is_not_told():
    said = set(findings({"1": [40], "2": [40], "3": [48], "4": [48]}))

    assert said == {"read_again"}


def test_reading_again_settles_what_one_reading_did_not():
    others = {str(place): [40, 40, 40] for place in range(5)}

    once = set_check({**others, "x": [45]}, 2.0).compasses[-1]
    often = set_check({**others, "x": [45] * 8}, 2.0).compasses[-1]

    assert (once.finding, often.error_deg < once.error_deg / 1.5) == (Finding.READ_AGAIN, True)


def test_it_agrees_with_importance_sampling():
    """A million sets drawn from what is believed beforehand, weighed by what was read."""
    shown, noise = np.array([40.0, 42.0, 39.0, 44.0]), np.hypot(1.0, 2.0 / np.sqrt(12.0))
    rng, number = np.random.default_rng(11), 1_000_000
    # lines farther off than this have no weight that would show
    line = rng.uniform(20.0, 60.0, (number, 1))
    shares = [SOUND_SHARE, OFF_SHARE, REVERSED_SHARE, ANY_SHARE]
    kind = rng.choice(4, (number, 4), p=shares)
    offset = np.where(kind == 1, OFF_DEG, SOUND_DEG) * rng.standard_normal((number, 4))
    offset = np.where(kind == 3, rng.uniform(-180.0, 180.0, (number, 4)), offset)
    apart = (shown - line - offset - 180.0 * (kind == 2) + 180.0) % 360.0 - 180.0
    weight = np.exp(-0.5 * (apart / noise) ** 2).prod(axis=1)
    effective = weight.sum() ** 2 / (weight**2).sum()
    beyond = weight @ (np.abs(offset) > LIMIT_DEG) / weight.sum()

    found = set_check({str(place): [number] for place, number in enumerate(shown)}, 2.0)

    assert effective > 4000
    four_errors = 4 * np.sqrt(0.25 / effective)
    assert [compass.beyond for compass in found.compasses] == pytest.approx(
        beyond.tolist(), abs=four_errors
    )


def test_its_intervals_hold_the_truth_and_no_sound_compass_is_condemned():
    """400 sets drawn otherwise than the model believes: sound offsets uniform, bad ones 4 to 15
    degrees, noise with the tails of shared open data (Student's t, 4 degrees of freedom).
    """
    rng, held, condemned, told_off, bad = np.random.default_rng(29), [], 0, 0, 0
    for _ in range(400):
        size = int(rng.integers(4, 16))
        offset = rng.uniform(-1.5, 1.5, size)
        is_bad = rng.random(size) < 0.1
        far = rng.choice([-1, 1], size) * rng.uniform(4.0, 15.0, size)
        offset = np.where(is_bad, far, offset)
        noise = 0.75 * rng.standard_t(4, size)
        shown = np.round((rng.uniform(0, 360) + offset + noise) / 2.0) * 2.0 % 360.0
        found = set_check({str(n): [number] for n, number in enumerate(shown)}, 2.0)
        for compass, true_deg, bad_one in zip(found.compasses, offset, is_bad, strict=True):
            held.append(abs(compass.offset_deg - true_deg) <= 1.96 * compass.error_deg)
            condemned += not bad_one and compass.finding in (Finding.OFF, Finding.REVERSED)
            told_off += bad_one and compass.finding == Finding.OFF
            bad += bad_one

    assert 0.93 <= np.mean(held) <= 0.98
    assert condemned / (len(held) - bad) < 0.005
    assert told_off / bad > 0.7
