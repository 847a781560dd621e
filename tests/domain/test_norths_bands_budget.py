import math
import re
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import uncertainty
from exercises.domain.earth.angles import difference, three_digits
from exercises.domain.earth.norths import NORTHS, Norths, UnknownNorth
from exercises.domain.tasks import budget
from exercises.domain.tasks.bands import PRESETS, BadBand, Band
from tests import published


@pytest.mark.parametrize(
    ("bearing", "given", "asked", "angle", "expected"),
    [
        pytest.param(190, "magnetic", "grid", 9, 199, id="STP 21-1-SMCT, easterly: add"),
        pytest.param(
            270, "magnetic", "grid", -8, 262, id="field manual example, westerly: take away"
        ),
        pytest.param(355, "magnetic", "grid", 12, 7, id="over 360, from the rule"),
        pytest.param(3, "magnetic", "grid", -8, 355, id="below 0, from the rule"),
        pytest.param(
            132, "grid", "magnetic", 8, 124, id="grid to magnetic, easterly, from the rule"
        ),
        pytest.param(
            355, "grid", "magnetic", -9, 4, id="grid to magnetic, westerly, from the rule"
        ),
    ],
)
def test_grid_magnetic_angles_are_applied_as_the_handbook_says(
    bearing, given, asked, angle, expected
):
    assert Norths(angle, 0).turn(bearing, given, asked) == expected


def test_the_grid_magnetic_angle_is_declination_less_convergence():
    assert Norths(25.6, 2.1).grid_magnetic_deg == pytest.approx(23.5)


@given(st.floats(-180, 180), st.floats(-30, 30), st.sampled_from(NORTHS), st.sampled_from(NORTHS))
def test_figures_that_are_shown_add_up(declination, convergence, one, other):
    norths = Norths(declination, convergence)
    # independent: the figures as text, added up as people do, in decimals
    shown = {
        "true": Decimal("0.0"),
        "grid": Decimal(f"{norths.as_printed().convergence_deg:.1f}"),
        "magnetic": Decimal(f"{norths.as_printed().declination_deg:.1f}"),
    }
    apart = shown[one] - shown[other]

    assert Decimal(f"{norths.printed_correction(one, other):.1f}") == apart
    assert norths.whole_correction(one, other) == int(apart.quantize(Decimal(1), ROUND_HALF_UP))
    assert norths.whole_correction(one, other) == -norths.whole_correction(other, one)
    assert norths.whole_correction(one, other) == pytest.approx(
        norths.correction(one, other), abs=0.6001
    )


@pytest.mark.parametrize(
    ("norths", "one", "other", "shown", "whole"),
    [
        pytest.param(Norths(25.64, 2.14), "grid", "magnetic", -23.5, -24, id="25.6 less 2.1"),
        pytest.param(Norths(-16.4, 0.0), "grid", "magnetic", 16.4, 16, id="westerly: add"),
        pytest.param(Norths(-16.4, 0.0), "magnetic", "grid", -16.4, -16, id="and subtract"),
        pytest.param(Norths(-0.04, 0.04), "grid", "magnetic", 0.0, 0, id="no sign on nought"),
    ],
)
def test_a_correction_is_reckoned_from_the_figures_that_are_shown(norths, one, other, shown, whole):
    assert norths.printed_correction(one, other) == shown
    assert norths.whole_correction(one, other) == whole
    assert math.copysign(1.0, norths.as_printed().declination_deg) == (
        1.0
        if norths.as_printed().declination_deg == 0.0
        else math.copysign(1.0, norths.declination_deg)
    )


@given(
    st.floats(0, 360, exclude_max=True),
    st.floats(-180, 180),
    st.floats(-30, 30),
    st.sampled_from(NORTHS),
)
def test_the_bearings_of_one_line_lie_apart_by_the_corrections_that_are_shown(
    bearing, declination, convergence, asked
):
    norths = Norths(declination, convergence)
    # independent: the figures as text, added up as people do, in decimals
    texts = {
        north: three_digits(degrees, 1)
        for north, degrees in norths.printed_bearings(
            norths.turn(bearing, "true", asked), asked
        ).items()
    }

    for one in NORTHS:
        for other in NORTHS:
            added = Decimal(texts[one]) + Decimal(f"{norths.printed_correction(one, other):.1f}")
            assert added % 360 in (Decimal(texts[other]), Decimal(texts[other]) - 360)
        exact = norths.turn(bearing, "true", one)
        most = 0.05 if one == asked else 0.15 if one != "true" and asked != "true" else 0.1
        assert abs(difference(float(texts[one]), exact)) <= most + 1e-9


@given(
    st.floats(0, 360, exclude_max=True),
    st.floats(-180, 180),
    st.floats(-30, 30),
    st.sampled_from(NORTHS),
    st.sampled_from(NORTHS),
)
def test_turning_to_another_north_and_back_changes_nothing(
    bearing, declination, convergence, one, other
):
    norths = Norths(declination, convergence)

    assert difference(
        norths.turn(norths.turn(bearing, one, other), other, one), bearing
    ) == pytest.approx(0, abs=1e-9)


def test_an_unknown_north_is_refused():
    with pytest.raises(UnknownNorth, match="magnetic, true, grid"):
        Norths(1, 1).turn(10, "true", "up")


@pytest.mark.parametrize(
    ("error", "credit"),
    [(0, 1), (5, 1), (-5, 1), (5.01, 0.5), (10, 0.5), (-10, 0.5), (10.01, 0), (180, 0)],
)
def test_credit_follows_the_band_limits_included(error, credit):
    assert PRESETS["usual"].band.credit(error) == credit


@pytest.mark.parametrize(("full", "part"), [(0, 5), (-1, 5), (5, 4), (5, 181), (math.nan, 5)])
def test_a_band_that_makes_no_sense_is_refused(full, part):
    with pytest.raises(BadBand):
        Band(full, part)


@pytest.mark.parametrize(
    ("wider", "expected"),
    [(15, Band(15, 30)), (3, Band(5, 10)), (None, Band(5, 10)), (120, Band(120, 180))],
)
def test_a_wider_band_never_narrows(wider, expected):
    assert Band(5, 10).widened(wider) == expected


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("uncertainty", topic="rss") if row["expected"]],
    ids=lambda row: row["id"],
)
def test_uncertainties_combine_as_in_the_guide(row):
    # JCGM 100:2008, 5.1.2 equation (10); inputs of H.1 as read in the GTC library's documentation,
    # the rest computed.
    assert uncertainty.combine(numbers(row["input"])) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def numbers(text):
    """The numbers of a published row's inputs."""
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]


@pytest.mark.parametrize(
    "row", published.rows("uncertainty", topic="lateral_offset"), ids=lambda row: row["id"]
)
def test_an_offset_turns_a_line_by_its_arctangent(row):
    offset_m, distance_m = numbers(row["input"])  # atan(offset / distance), computed

    assert uncertainty.across(offset_m, distance_m) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


@pytest.mark.parametrize(
    "row",
    [
        row
        for row in published.rows("uncertainty", topic="rectangular")
        if row["id"].startswith("graduation")
    ],
    ids=lambda row: row["id"],
)
def test_rounding_to_a_mark_counts_its_step_over_root_twelve(row):
    # H. I. Ralph, OUCC Proceedings 4 (1966): a / 3.46; JCGM 100:2008, 4.3.7
    assert uncertainty.rounding(numbers(row["input"])[0]) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


@pytest.mark.parametrize(
    "row", published.rows("uncertainty", topic="two_end_position"), ids=lambda row: row["id"]
)
def test_two_ends_of_a_line_both_count(row):
    sigma_m, distance_m = numbers(row["input"])  # atan(sqrt(2) s / d), computed

    found = budget.of_sight_line(distance_m, sigma_m, sigma_m, 0.4)

    assert found.degrees("survey") == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_each_budget_names_its_terms():
    def names(terms):
        return [term.name for term in terms]

    assert names(budget.of_sight_line(100.0, 1.0, 1.0, 0.3).terms) == [
        "survey",
        "standing",
        "declination",
        "compass",
        "scale",
    ]
    assert names(budget.of_map_bearing().terms) == ["protractor", "scale"]
    assert names(budget.of_arithmetic().terms) == ["rounding"]


def test_an_answer_without_uncertainty_is_met_for_certain():
    assert budget.Budget(()).chance_within(0.0) == 1.0


def test_perfect_technique_is_within_two_sigma_ninety_five_times_in_a_hundred():
    assert budget.Budget((budget.Term("one", 1.0),)).chance_within(1.959964) == pytest.approx(
        0.95, abs=1e-6
    )
