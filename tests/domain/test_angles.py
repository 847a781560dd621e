import json
import math
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import angles
from tests import published

CASES = json.loads(
    (Path(__file__).parents[2] / "fixtures/shared/bearings.json").read_text(encoding="utf-8")
)
FINITE = st.floats(-1e6, 1e6)
BEARING = st.floats(0, 360, exclude_max=True)
ROUNDING = 1e-9


@given(FINITE)
def test_a_wrapped_angle_lies_on_the_circle(angle):
    assert 0.0 <= angles.wrap(angle) < 360.0


def test_a_hair_below_north_is_north_and_not_360():
    assert angles.wrap(-1e-17) == 0.0


@given(FINITE, FINITE)
def test_a_difference_lies_within_half_a_circle(reading, answer):
    assert -180.0 < angles.difference(reading, answer) <= 180.0


@given(BEARING, st.floats(-179.9, 179.9))
def test_a_difference_undoes_a_turn(answer, error):
    assert angles.difference(angles.wrap(answer + error), answer) == pytest.approx(
        error, abs=ROUNDING
    )


@pytest.mark.parametrize(
    "row",
    published.rows("wrapped_differences"),
    ids=lambda row: f"{row['measured_deg']} from {row['reference_deg']}",
)
def test_differences_agree_with_the_table(row):
    found = angles.difference(float(row["measured_deg"]), float(row["reference_deg"]))

    assert found == pytest.approx(float(row["measured_minus_reference_wrapped_deg"]), abs=ROUNDING)


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("handbook", topic="back_azimuth") if row["input"][0].isdigit()],
    ids=lambda row: row["input"],
)
def test_back_bearings_follow_the_handbook(row):
    # FM 3-25.26, ch. 6: up to 180 add 180, above take 180 away; "0 or 360" is one direction.
    assert angles.back(float(row["input"])) == float(row["expected"].split()[0])


@given(BEARING)
def test_the_back_bearing_of_a_back_bearing_is_the_bearing(bearing):
    assert angles.difference(angles.back(angles.back(bearing)), bearing) == pytest.approx(
        0, abs=ROUNDING
    )


def numbers(text):
    return [float(part) for part in text.split()]


@pytest.mark.parametrize("row", published.rows("circular_statistics"), ids=lambda row: row["id"])
def test_circular_statistics_agree_with_the_textbooks(row):
    # Zar (2010), Fisher (1993), Mardia & Jupp (2000), Jammalamadaka & SenGupta (2001); columns
    # calc_* also by astropy and scipy.
    sample, weights = numbers(row["angles_deg"]), numbers(row["weights"]) or None
    mean, length = angles.mean_vector(sample, weights)

    assert mean == pytest.approx(float(row["calc_mean_deg"]), abs=1e-6)
    assert length == pytest.approx(float(row["calc_rbar"]), abs=1e-8)
    assert angles.circular_spread(sample, weights) == pytest.approx(
        float(row["calc_circular_sd_deg"]), abs=1e-6
    )


@pytest.mark.parametrize(("column", "half_a_unit"), [("pub_mean_deg", 0.5), ("pub_rbar", 5e-4)])
def test_circular_statistics_round_to_what_was_published(column, half_a_unit):
    for row in published.rows("circular_statistics"):
        if row[column]:
            mean, length = angles.mean_vector(
                numbers(row["angles_deg"]), numbers(row["weights"]) or None
            )
            assert (mean if column == "pub_mean_deg" else length) == pytest.approx(
                float(row[column]), abs=half_a_unit
            )


def test_directions_across_north_average_to_north_and_not_to_south():
    assert angles.circular_mean([359, 1]) == 0.0


def test_directions_that_cancel_have_no_mean_and_endless_spread():
    assert angles.circular_mean([0, 180]) is None
    assert math.isinf(angles.circular_spread([0, 180]))


@pytest.mark.parametrize(("text", "degrees"), CASES["degrees"])
def test_what_people_type_is_read(text, degrees):
    assert angles.parse_bearing(text).degrees == degrees


@pytest.mark.parametrize(("text", "mils"), CASES["mils"])
def test_a_number_that_can_only_be_mils_is_asked_about(text, mils):
    with pytest.raises(angles.PerhapsMils) as asked:
        angles.parse_bearing(text)
    assert asked.value.mils == mils


@pytest.mark.parametrize("text", CASES["refused"])
def test_anything_else_is_refused_in_words(text):
    with pytest.raises(angles.NotABearing) as refused:
        angles.parse_bearing(text)
    assert not isinstance(refused.value, angles.PerhapsMils)
    assert "0 to" in str(refused.value)


@given(st.text(max_size=60))
def test_no_text_breaks_the_parser(text):
    try:
        assert 0.0 <= angles.parse_bearing(text).degrees < 360.0
    except angles.NotABearing as refused:
        assert str(refused)


@given(st.integers(0, 359))
def test_three_digits_are_read_back_as_they_were_written(number):
    text = angles.three_digits(number)

    assert len(text) == 3
    assert angles.parse_bearing(text).degrees == number


@pytest.mark.parametrize(
    ("text", "degrees", "mils"),
    [("1315", 73.96875, 1315.0), ("370", 20.8125, 370.0), ("74", 74.0, None)],
)
def test_on_paper_a_number_over_360_is_kept_as_mils(text, degrees, mils):
    assert angles.parse_bearing_on_paper(text) == angles.Written(degrees, mils)


@pytest.mark.parametrize("text", ["6401", "99999", "-5", "360.5", "37O"])
def test_on_paper_the_rest_is_refused_as_well(text):
    with pytest.raises(angles.NotABearing):
        angles.parse_bearing_on_paper(text)


def test_a_mil_is_as_the_handbook_says():
    # FM 3-25.26, ch. 6: 6400 mils to the circle, 17.78 to the degree (rounded).
    assert angles.MILS_PER_CIRCLE == 6400
    assert angles.to_mils(1.0) == pytest.approx(17.78, abs=0.005)


def test_weights_count_in_a_mean_direction():
    # one part north and three parts east: atan2(3, 1)
    assert angles.circular_mean([0, 90], [1, 3]) == pytest.approx(math.degrees(math.atan2(3, 1)))


def test_digits_of_other_scripts_are_digits():
    assert angles.parse_bearing("٠٧٤").degrees == 74.0


@pytest.mark.parametrize("text", ["-74", "−74", "+74", "– 74"])
def test_a_sign_is_refused_as_a_sign(text):
    with pytest.raises(angles.NotABearing, match="has a sign"):
        angles.parse_bearing(text)


def test_an_angle_between_two_letters_is_refused_with_what_was_typed():
    with pytest.raises(angles.NotABearing, match="N 100 E"):
        angles.parse_bearing("N 100 E")
