"""What a task says of the angle between the two norths that it needs."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.norths import Norths
from exercises.domain.tasks.kinds import kind_of
from exercises.presenting.north_sentences import angle_sentence
from tests.ground import answer

HERE = Norths(declination_deg=25.6, convergence_deg=2.1)
FIGURE = re.compile(r"(\d+)° (east|west)")


def asked(kind="sight", north="true", norths=HERE, way="told", **more):
    return replace(answer(kind=kind, north=north, norths=norths), angle_way=way, **more)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        pytest.param(asked(), "Declination here: 26° east.", id="true by the needle"),
        pytest.param(asked(north="magnetic"), "", id="as the compass gives it"),
        pytest.param(
            asked(north="grid"), "Here magnetic north lies 24° east of grid north.", id="grid"
        ),
        pytest.param(
            asked("convert", "grid", given_deg=40.0, given_north="true"),
            "Here grid north lies 2° east of true north.",
            id="from true to grid",
        ),
        pytest.param(asked(norths=Norths(-9.4, 0.0)), "Declination here: 9° west.", id="westerly"),
        pytest.param(asked("map"), "", id="measured in the sheet's own north"),
        pytest.param(asked(way="on_map"), "The declination stands on the map.", id="on the map"),
        pytest.param(
            asked(north="grid", way="on_map"),
            "The angle from grid to magnetic north stands on the map.",
            id="grid, on the map",
        ),
        pytest.param(asked(way="unsaid"), "", id="left out"),
    ],
)
def test_a_task_says_the_angle_that_it_needs_as_it_was_chosen(line, said):
    assert angle_sentence(line) == said


@given(
    st.floats(-180, 180),
    st.floats(-30, 30),
    st.sampled_from(["true", "grid"]),
    st.sampled_from(["sight", "convert"]),
)
def test_the_angle_told_makes_the_sum_that_is_shown(declination, convergence, north, kind):
    norths = Norths(declination, convergence)
    line = asked(kind, north, norths, given_deg=40.0, given_north="magnetic")

    figure, side = FIGURE.search(angle_sentence(line)).groups()

    east_deg = int(figure) if side == "east" else -int(figure)
    assert (40 + east_deg) % 360 == round(norths.turned_aloud(40.0, "magnetic", north)) % 360


@pytest.mark.parametrize("code", ["face", "fix", "intersect"])
def test_a_task_that_is_done_on_the_map_finds_its_angle_there_unless_it_is_chosen(code):
    assert kind_of(code).angle_way == "on_map"
