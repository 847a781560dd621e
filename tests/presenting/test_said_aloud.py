"""Sentences that are said aloud: their figures add up as they are heard, everywhere on Earth."""

import re

from hypothesis import given, strategies as st

from exercises.domain.earth.norths import Norths
from exercises.presenting.remedies import exercise
from tests.ground import answer

POINTS = {code: {"name": code} for code in ("A", "T1")}
SUM = re.compile(r"gives it, (\d{3})° magnetic\. .*?(?:(add|take away) (\d+)°\..*?)?Give (\d{3})°")


@given(
    st.floats(-180, 180),
    st.floats(-30, 30),
    st.floats(0, 360, exclude_max=True),
    st.sampled_from(["true", "grid"]),
)
def test_an_exercise_against_a_wrong_declination_adds_up(declination, convergence, bearing, north):
    line = answer(true_deg=bearing, north=north, norths=Norths(declination, convergence))

    said = exercise("declination_ignored", [line], POINTS)

    read, verb, figure, given_deg = SUM.search(said).groups()
    turned = {"add": int(figure or 0), "take away": -int(figure or 0), None: 0}[verb]
    assert (int(read) + turned) % 360 == int(given_deg)
