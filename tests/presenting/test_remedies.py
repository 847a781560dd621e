"""What is said aloud in an exercise adds up as it is said."""

import re
from dataclasses import replace

from hypothesis import given, strategies as st

from exercises.domain.earth.norths import Norths
from exercises.presenting.remedies import exercise
from tests.ground import answer

POINTS = {"A": {"name": "gate"}, "T1": {"name": "tower"}, "T2": {"name": "the oak"}}


def test_a_line_is_preferred_whose_figures_add_up_to_its_answer():
    # 62.2 true is 36.6 magnetic: 037 and 26 make 063, not 062. 62.8 is 37.2: 037 and 26 make 063.
    norths = Norths(25.6, 0.0)
    off = answer(true_deg=62.2, norths=norths)
    right = replace(answer(true_deg=62.8, norths=norths), target="T2")

    said = exercise("declination_ignored", [off, right], POINTS)

    assert "the oak (T2)" in said


@given(st.floats(0, 359.99))
def test_the_way_back_is_half_a_circle_from_the_bearing_as_it_is_said(true_deg):
    said = exercise("over_360", [answer(true_deg=true_deg)], POINTS)
    there, back = map(int, re.search(r"(\d{3})° true, and the way back: (\d{3})°", said).groups())

    assert (there + 180 - back) % 360 == 0
