"""The likelihood of readings and the integral over people, against other ways of computing them."""

import math

import numpy as np
import pytest

from exercises.domain.diagnosis import class_model, diagnosis, priors, scatter
from exercises.domain.diagnosis.class_arrays import arranged
from exercises.domain.diagnosis.likelihood import ReadingLikelihood, Traits
from exercises.domain.diagnosis.people import PeopleGrid
from exercises.domain.diagnosis.residuals import gather
from exercises.domain.diagnosis.slip_table import SlipTable
from exercises.domain.diagnosis.way_weights import WayWeights
from exercises.domain.earth.angles import Written
from exercises.domain.earth.norths import Norths
from exercises.domain.tasks.reading import Reading
from tests.ground import answer

OTAGO = Norths(25.6, 2.1)


def single(*values):
    return np.array(values, np.float32)


@pytest.mark.parametrize("off", [-7.0, -1.0, 0.0, 2.5, 30.0])
@pytest.mark.parametrize("sigma", [0.7, 3.0])
def test_a_cell_holds_what_the_error_function_says(off, sigma):
    # math.erf of Python's library; the table is good to 0.003 of the whole.
    half = 8.0
    upper, lower = (math.erf((off + by) / sigma / math.sqrt(2)) for by in (half, -half))
    expected = (upper - lower) / 2 / (2 * half)

    (found,) = scatter.cell_normal(single(off), single(half), single(sigma))

    assert found == pytest.approx(expected, abs=0.003 / (2 * half))


@pytest.mark.parametrize(("tail", "poor"), [(0.0, 0.0), (0.15, 0.01), (0.3, 0.1)])
def test_scatter_is_a_density_that_adds_up_to_one(tail, poor):
    off = np.arange(-180.0, 180.0, 0.05, np.float32)

    density = scatter.mixture(off, None, single(9.0), single(0.5), scatter.parts(tail, poor))

    assert float(density.sum()) * 0.05 == pytest.approx(1.0, abs=1e-3)


def test_three_in_twenty_at_three_times_the_width_are_as_heavy_tailed_as_students_t():
    # real_readings.csv: both describe the published readings. With the same median, the shares
    # beyond three and six medians agree with t of 3 degrees of freedom, which has a closed form.
    off = np.arange(-80.0, 80.0, 0.01, np.float32)
    density = scatter.mixture(off, None, single(1.0), single(0.0), scatter.parts(0.15, 0.0)) * 0.01
    size = np.abs(off)
    median = size[np.argsort(size)][np.searchsorted(np.cumsum(density[np.argsort(size)]), 0.5)]

    def student_beyond(medians):
        scaled = 0.7649 * medians / math.sqrt(3)
        return 1 - 2 / math.pi * (scaled / (1 + scaled**2) + math.atan(scaled))

    for medians in (3.0, 6.0):
        beyond = float(density[size > medians * median].sum())
        assert beyond == pytest.approx(student_beyond(medians), abs=0.021)


def person_with(offset_deg, count=8, seed=3):
    """One person's readings of true bearings, off by some degrees with 2.5 of scatter."""
    rng = np.random.default_rng(seed)
    course = tuple(
        answer(
            task=str(number),
            true_deg=17.0 + 43.0 * number,
            norths=OTAGO,
            north=("true", "magnetic")[number % 2],
        )
        for number in range(count)
    )
    readings = [
        Reading("Mia", one.task, Written(float(round(one.expected_deg + offset_deg + by) % 360)))
        for one, by in zip(course, rng.normal(0, 2.5, count), strict=True)
    ]
    return course, readings


def grid_of(course, readings, rates):
    residuals = gather(course, readings)
    arrays = arranged(course, readings, residuals)
    table = SlipTable(residuals, WayWeights(rates), arrays.needle[residuals.task])
    likelihood = ReadingLikelihood(arrays, residuals, table, rates, Traits.usual(1, rates))
    return PeopleGrid(likelihood, rates), likelihood


@pytest.mark.parametrize("offset_deg", [0.0, 1.5, -6.0, 33.0, -71.0])
def test_a_persons_offset_is_what_a_fine_grid_over_everything_gives(offset_deg):
    # Brute force: every habit, every scatter, every twentieth of a degree from -90 to 90.
    rates = priors.STATED.rates()
    course, readings = person_with(offset_deg)
    grid, likelihood = grid_of(course, readings, rates)
    offsets = np.arange(-90.0, 90.0, 0.05)
    log_joint = np.zeros((len(priors.HABITS), len(offsets), len(priors.SIGMAS_DEG)))
    everybody, sigmas = np.arange(len(readings)), np.array(priors.SIGMAS_DEG)
    for habit in range(len(priors.HABITS)):
        x_deg = np.broadcast_to(offsets, (len(readings), len(offsets)))
        probability = likelihood.probability(
            everybody, np.full(len(readings), habit), x_deg, sigmas
        )
        log_joint[habit] = np.log(probability.astype(float)).sum(axis=0)
    log_joint += np.log(rates.habits)[:, None, None] + np.log(rates.sigmas)
    log_joint += grid.log_offset(np.array([0]), offsets[None])[0][None, :, None]
    weight = np.exp(log_joint - log_joint.max())
    weight /= weight.sum()

    found = grid.integrate(np.array([0]), np.zeros(len(readings)))

    mean_deg = float((found.probability * found.mean_deg).sum())
    assert mean_deg == pytest.approx(float(weight.sum(axis=(0, 2)) @ offsets), abs=0.15)
    assert found.habits(1)[0] == pytest.approx(weight.sum(axis=(1, 2)), abs=0.01)
    assert found.sigmas(1)[0] == pytest.approx(weight.sum(axis=(0, 1)), abs=0.02)


def test_learning_stops_where_nothing_is_to_be_learnt():
    course, readings = person_with(0.0, count=1)
    residuals = gather(course, readings)

    _, fit, counts = class_model.fit(course, readings, residuals)

    assert fit.rates.followed == pytest.approx(priors.STATED.followed, abs=0.02)
    assert sum(counts.habits) == pytest.approx(1.0)


def test_what_was_run_for_one_answer_does_not_serve_another_of_the_same_task():
    here = answer(task="1", true_deg=70.0, norths=OTAGO)
    there = answer(task="1", true_deg=95.6, norths=OTAGO)
    reading = [Reading("Mia", "1", Written(70.0))]

    causes_found = [
        diagnosis.diagnose((one,), reading).verdicts[0].cause for one in (here, there, here)
    ]

    assert causes_found == ["ok", "declination_ignored", "ok"]
