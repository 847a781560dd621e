"""The simulated world of practised adults against what open survey data show of real ones
(fixtures/published/real_readings.csv).
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.published import rows
from tests.simulation import hold
from tests.worlds import practised

CLASSES, SEED = 150, 2026
NEAR_TENS_DEG = 2.5


def sights():
    """(absolute error in degrees, truth) of the sighted magnetic bearings of CLASSES classes, seed
    SEED: some 30,000, so that a share of 1 % is good to 0.06 %.

    As with the real ones nobody reckons, and what a whole class has in common is taken away: there
    the network was fitted to the readings. Habits and bent stations are left out: nothing of the
    kind was to be seen there.
    """
    found = []
    for number in range(CLASSES):
        rng = np.random.default_rng((SEED, number))
        setting = replace(practised(rng), norths=("magnetic",), habit_share=0.0, fault_stations=0)
        held = hold(setting, rng)
        by_task = {answer.task: answer for answer in held.answers}
        errors = [
            (by_task[reading.task].grade(reading.seen).error_deg, truth)
            for reading, truth in zip(held.readings, held.truths, strict=True)
            if by_task[reading.task].kind == "sight"
        ]
        common = np.median([error for error, _ in errors])
        found += [(abs(error - common), truth) for error, truth in errors]
    return found


@pytest.fixture(scope="module")
def simulated():
    found = sights()
    return np.array([error for error, _ in found]), np.array([truth for _, truth in found])


def near_tens(errors):
    return (abs(errors - 10.0) <= NEAR_TENS_DEG) | (abs(errors - 20.0) <= NEAR_TENS_DEG)


BLUNDERS = {
    "beyond_8": lambda errors: errors > 8.0,
    "tens": near_tens,
    "poor_sight": lambda errors: (errors > 8.0) & (errors <= 40.0) & ~near_tens(errors),
    "reversed": lambda errors: abs(errors - 180.0) <= 8.0,
}


@pytest.mark.parametrize("share", ["90", "95", "99"])
def test_errors_without_blunders_are_as_wide_as_real_ones(simulated, share):
    errors, truths = simulated
    (real,) = rows("real_readings", topic="abs_error", id=share)

    beyond = np.mean(errors[truths == "ok"] > float(real["value"]))

    assert float(real["low"]) <= beyond <= float(real["high"])


@pytest.mark.parametrize("code", BLUNDERS)
def test_blunders_are_as_frequent_as_real_ones_by_the_same_look(simulated, code):
    errors, _ = simulated
    (real,) = rows("real_readings", topic="blunder", id=code)

    assert float(real["low"]) <= np.mean(BLUNDERS[code](errors)) <= float(real["high"])


def test_reversals_come_in_runs():
    # 150 classes, seed 2026: who reverses once does so at the next needle as well, mostly.
    alone = in_a_row = 0
    for number in range(CLASSES):
        rng = np.random.default_rng((SEED, number))
        held = hold(replace(practised(rng), habit_share=0.0), rng)
        for name in held.people:
            own = [
                "reversed" in truth
                for reading, truth in zip(held.readings, held.truths, strict=True)
                if reading.person == name
            ]
            in_a_row += sum(own) > 1
            alone += sum(own) == 1

    assert in_a_row > 2 * alone
