"""The three worlds of simulated classes keep what they promise, and their scores fold as stated."""

import numpy as np
import pytest

from exercises.domain.mistakes import causes
from tests import benchmark
from tests.scoring import folded, is_right
from tests.simulation import BIG_DEG, hold
from tests.worlds import WORLDS

CLASSES = 12  # of each world, seeds (5, 0) to (5, 11)


def held_in(world):
    for number in range(CLASSES):
        rng = np.random.default_rng((5, number))
        yield hold(WORLDS[world](rng), rng)


@pytest.mark.parametrize("world", WORLDS)
def test_a_world_is_the_same_for_the_same_seed(world):
    one, other = (
        [(held.setting, held.texts, held.truths) for held in held_in(world)] for _ in range(2)
    )

    assert one == other


@pytest.mark.parametrize("world", WORLDS)
def test_truths_name_known_causes_and_offsets_that_are_there(world):
    for held in held_in(world):
        for reading, truth, is_copied in zip(held.readings, held.truths, held.copied, strict=True):
            named = set(causes.parts(truth))

            assert named <= set(causes.REGISTER)
            assert reading.instrument == held.compasses[reading.compass].instrument
            if "compass_offset" in named and not is_copied:
                assert abs(held.offset_deg(reading)) > BIG_DEG


def test_what_is_copied_was_the_last_or_next_to_last_answer_to_that_task():
    copies = 0
    for held in held_in("messy"):
        for place, reading in enumerate(held.readings):
            before = [
                (held.texts[earlier], held.truths[earlier])
                for earlier in range(place)
                if held.readings[earlier].task == reading.task
            ][-2:]
            if held.copied[place]:
                copies += 1
                assert (held.texts[place], held.truths[place]) in before

    assert copies > 50


def test_only_in_the_messy_world_do_compasses_change_hands():
    changed = {
        world: any(
            len({reading.compass for reading in held.readings if reading.person == name}) > 1
            for held in held_in(world)
            for name in held.people
        )
        for world in WORLDS
    }

    assert changed == {"plain": False, "messy": True, "practised": False}


@pytest.mark.parametrize(
    ("truth", "said", "expected"),
    [
        pytest.param("ok", "ok", True, id="nothing and nothing"),
        pytest.param("reversed+station_fault", "reversed", True, id="the ground left out"),
        pytest.param("reversed", "compass_offset+reversed", True, id="the compass put in"),
        pytest.param("station_fault", "ok", True, id="a fault of the ground called ok"),
        pytest.param("station_fault", "compass_offset", True, id="ground for compass"),
        pytest.param("reversed+station_fault", "station_fault", False, id="the person let off"),
        pytest.param("station_fault", "ten_off", False, id="the person blamed"),
        pytest.param("declination_ignored+reversed", "reversed", False, id="one habit of two"),
    ],
)
def test_a_verdict_is_right_but_for_ground_and_compass(truth, said, expected):
    assert is_right(truth, said) == expected
    assert folded(truth, truth) == (truth, truth)


@pytest.mark.parametrize("world", [*WORLDS, benchmark.FIRST])
def test_every_world_can_be_judged(world):
    # Two classes each, seed 6: a figure or nan for each label.
    scores = {name: benchmark.Score() for name in ("model", "naive", "oracle")}
    for held in benchmark.classes(world, 2, 6):
        benchmark.judge(held, scores)

    assert {len(score.row()) for score in scores.values()} == {len(benchmark.LABELS)}
