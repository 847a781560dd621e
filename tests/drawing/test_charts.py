"""The numbers of the charts, read back from the drawings."""

import math
import re
from collections import Counter
from xml.etree import ElementTree

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.geodesy import Position, destination, sight_line
from exercises.drawing import bars, fan, offsets
from tests.ground import answer

HERE = Position(-45.13, 170.10)
ERRORS = st.lists(st.floats(-179.9, 180), max_size=40)
BEARINGS = st.floats(0, 359.99)


def parts(drawing, klass):
    """The elements of a class in a drawing."""
    found = ElementTree.fromstring(str(drawing)).iter()
    return [one.attrib | {"text": one.text} for one in found if one.get("class") == klass]


def drawn(true_deg, errors_deg, target_m=300.0, **more):
    there = destination(HERE, true_deg, target_m)
    return fan.fan(
        answer(true_deg=true_deg, **more),
        errors_deg,
        ("A", "T1"),
        {"A": HERE, "T1": there},
        [],
        "a fan",
    )


def direction(line):
    """Where a line ends, as a bearing on the sheet: east is right, north is up."""
    return math.degrees(math.atan2(float(line["x2"]), -float(line["y2"]))) % 360


def apart(one, other):
    return abs(math.remainder(one - other, 360))


@given(BEARINGS, ERRORS)
def test_every_reading_is_in_one_ray_along_its_own_degree(true_deg, errors_deg):
    found = fan.rays(true_deg, errors_deg)

    assert sum(found.values()) == len(errors_deg)
    assert found == Counter(round((true_deg + error) % 360) % 360 for error in errors_deg)


@given(BEARINGS, ERRORS)
def test_groups_hold_every_reading_and_lie_apart(true_deg, errors_deg):
    along = fan.rays(true_deg, errors_deg)
    found = fan.groups(along)

    assert sum(number for _, number in found) == len(errors_deg)
    # Independent: two rays are of one group where a chain of steps of 15 degrees joins them.
    chains = [{degree} for degree in along]
    for one in along:
        for other in along:
            if apart(one, other) <= fan.APART_DEG:
                joined = [chain for chain in chains if chain & {one, other}]
                chains = [chain for chain in chains if chain not in joined]
                chains.append(set().union(*joined))
    assert sorted(number for _, number in found) == sorted(
        sum(along[degree] for degree in chain) for chain in chains
    )


def test_a_group_across_north_is_one():
    assert fan.groups({358: 1, 2: 1}) == [(pytest.approx(0.0), 2)]


@pytest.mark.parametrize("true_deg", [0.0, 74.0, 179.0, 301.5])
def test_rays_point_where_readings_lead_and_the_answer_where_it_lies(true_deg):
    drawing = drawn(true_deg, [0.0, 10.0, 180.0])

    found = sorted(direction(ray) for ray in parts(drawing, "fan-ray"))
    expected = sorted(round(true_deg + error) % 360 for error in (0, 10, 180))
    assert all(apart(one, other) < 0.1 for one, other in zip(found, expected, strict=True))
    (line,) = parts(drawing, "fan-answer")
    assert apart(direction(line), true_deg) < 0.1


def test_what_is_sighted_lies_on_its_line_and_others_to_the_same_scale():
    other = destination(HERE, 200.0, 150.0)
    drawing = fan.fan(
        answer(true_deg=74.0),
        [],
        ("A", "T1"),
        {"A": HERE, "T1": destination(HERE, 74.0, 300.0), "T2": other},
        [],
        "a fan",
    )

    ((target,), (point,)) = parts(drawing, "sign-dot"), parts(drawing, "fan-point")
    far = math.hypot(float(target["cx"]), float(target["cy"]))
    near = math.hypot(float(point["cx"]), float(point["cy"]))
    assert near / far == pytest.approx(0.5, abs=0.002)
    bearing = math.degrees(math.atan2(float(point["cx"]), -float(point["cy"]))) % 360
    assert bearing == pytest.approx(sight_line(HERE, other).bearing_deg, abs=0.2)


def test_the_north_that_is_asked_lies_the_bearing_away_from_the_answer():
    # T 074 is M 066 where magnetic north lies 8 degrees east: the worked example of tests/ground.py
    (north,) = parts(drawn(74.0, [], north="magnetic"), "fan-north")

    assert apart(direction(north), 8.0) < 0.1
    assert [one["text"] for one in parts(drawn(74.0, [], north="magnetic"), "fan-number")] == [
        "066°"
    ]


def test_only_what_three_or_more_read_is_numbered():
    found = parts(drawn(74.0, [0.0, 1.0, 2.0, 100.0, 101.0]), "fan-count")

    assert [one["text"] for one in found] == ["3"]


@given(st.integers(1, 200), st.integers(1, 200), st.integers(1, 40))
def test_a_bar_is_as_long_as_its_share_of_all_that_missed_and_has_a_dot_for_each_person(
    readings, more, people
):
    most = readings + more
    drawing = bars.readings_bar(readings, people, most, "a bar")

    (bar,) = parts(drawing, "bar-reading")
    assert float(bar["width"]) / bars.LENGTH == pytest.approx(readings / most, abs=1e-4)
    dots = parts(drawing, "bar-person")
    assert len(dots) == people
    assert max(float(dot["cx"]) + float(dot["r"]) for dot in dots) <= bars.LENGTH


@given(st.integers(0, 99), st.integers(0, 99), st.integers(1, 99))
def test_the_parts_of_credit_fill_their_bar_in_proportion(full, part, none):
    drawing = bars.credit_bar(full, part, none, "credit")

    widths = [
        float(parts(drawing, f"credit-{name}")[0]["width"]) for name in ("full", "part", "none")
    ]
    assert sum(widths) == pytest.approx(bars.LENGTH, abs=0.02)
    assert [width / bars.LENGTH * (full + part + none) for width in widths] == pytest.approx(
        [full, part, none], abs=0.02
    )


@given(st.floats(0.1, 40), st.floats(0.1, 5))
def test_two_spreads_are_drawn_to_one_scale_about_the_answer(own_deg, best_deg):
    drawing = bars.spread_bars(own_deg, best_deg, "spread")

    ((own,), (best,)) = parts(drawing, "bar-reading"), parts(drawing, "bar-best")
    assert float(own["width"]) * best_deg == pytest.approx(
        float(best["width"]) * own_deg, rel=0.02, abs=0.3
    )
    for one in (own, best):
        middle = float(one["x"]) + float(one["width"]) / 2
        assert middle == pytest.approx(bars.LENGTH / 2, abs=0.02)


def test_a_compass_at_fault_has_its_degrees_and_lies_outside_the_band():
    drawing = offsets.offsets([("1", 1.0, False), ("5", -8.0, True)], 3.0)

    ((sound,), (off,)) = parts(drawing, "offset-sound"), parts(drawing, "offset-off")
    assert float(off["cy"]) / float(sound["cy"]) == pytest.approx(-8.0, rel=0.01)
    assert [one["text"] for one in parts(drawing, "offset-figure")] == ["−8°"]
    (band,) = parts(drawing, "band-full")
    assert float(off["cy"]) > float(band["y"]) + float(band["height"])


def test_a_drawing_says_in_words_what_it_shows():
    assert re.search("<title>a fan</title>", str(drawn(74.0, [0.0])))
