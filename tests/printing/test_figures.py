"""Figures that are printed: true by others' numbers, and adding up as they are shown."""

import math
import re
from dataclasses import replace
from decimal import Decimal

import pyproj
import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import geodesy, grid_notation, magnetics
from exercises.domain.earth.angles import difference
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.norths import Norths
from exercises.drawing.norths import between, norths_in_words, true_and_magnetic_in_words
from exercises.presenting import map_words
from exercises.presenting.north_sentences import both_ways, sentence_between
from exercises.printing import map_margin, map_sheet, paper
from tests import published
from tests.domain.test_magnetics import WHOLE_DAYS, date_of
from tests.printing import boxes, grounds

HALF_A_TENTH = 0.05 + 0.006  # of the printed figure, and of the published one
ROUNDED = 0.05 + 1e-9  # to a tenth; 1.75 is shown as 1.8
FIGURES = re.compile(
    r"lies ([\d.]+)° (east|west) of true north, grid north ([\d.]+)° (east|west); between grid and "
    r"magnetic ([\d.]+)°, (\d+)° in whole degrees"
)
RULE = re.compile(r"From (\w+) to (\w+): (add|subtract) (\d+)°\.")
NORTHS = st.builds(Norths, st.floats(-180, 180), st.floats(-30, 30))


def signed(figure, side):
    return Decimal(figure) * (1 if side == "east" else -1)


@given(NORTHS)
def test_the_figures_of_the_norths_add_up_as_they_are_printed(norths):
    d, d_side, c, c_side, apart, whole = FIGURES.search(norths_in_words(norths)).groups()

    assert Decimal(apart) == abs(signed(d, d_side) - signed(c, c_side))
    assert int(whole) == int(Decimal(apart) + Decimal("0.5"))


@given(NORTHS)
def test_a_sheet_of_meridians_shows_the_figures_that_its_rule_uses(norths):
    d, side, whole, c, c_side = re.search(
        r"lies ([\d.]+)° (east|west) of true north, (\d+)° in whole degrees; "
        r"grid north ([\d.]+)° (east|west)\.",
        true_and_magnetic_in_words(norths),
    ).groups()

    assert int(whole) == int(Decimal(d) + Decimal("0.5"))
    assert between(norths, "true") == f"MN–TN {d}°"
    assert float(signed(c, c_side)) == pytest.approx(norths.convergence_deg, abs=ROUNDED)
    assert float(signed(d, side)) == pytest.approx(norths.declination_deg, abs=ROUNDED)
    assert {degrees for *_, degrees in RULE.findall(both_ways(norths, "true", "magnetic"))} <= {
        whole
    }


@given(NORTHS, st.sampled_from(["grid", "true"]), st.integers(0, 359))
def test_the_rule_turns_a_bearing_as_it_must_be_turned_and_back_again(norths, north, bearing_deg):
    rule = both_ways(norths, north, "magnetic")
    lines = RULE.findall(rule)
    if not lines:
        assert "leave the number as it is" in rule
        assert abs(norths.printed_correction(north, "magnetic")) < 0.5
        return
    turned_deg = bearing_deg
    steps = []
    for begin, end, verb, degrees in lines:
        steps.append((begin, end))
        turned_deg += int(degrees) if verb == "add" else -int(degrees)
        if len(steps) == 1:
            right_deg = norths.turn(bearing_deg, north, "magnetic")
            assert abs(difference(turned_deg, right_deg)) <= 0.6 + 1e-9

    assert steps == [(north, "magnetic"), ("magnetic", north)]
    assert turned_deg == bearing_deg


@given(NORTHS, st.sampled_from(["grid", "true"]))
def test_a_screen_says_the_same_number_as_the_print(norths, north):
    printed = {
        (begin, verb == "add", degrees)
        for begin, _, verb, degrees in RULE.findall(both_ways(norths, north, "magnetic"))
    }
    said = {
        (begin, match[1] == "add", match[2])
        for begin, end in ((north, "magnetic"), ("magnetic", north))
        if (
            match := re.search(
                r"here, (add|take away) (\d+)°", sentence_between(norths, begin, end)
            )
        )
    }

    assert said == printed


@pytest.mark.parametrize(
    ("norths", "expected"),
    [
        pytest.param(
            Norths(-16.4, 0.0),
            "From grid to magnetic: add 16°.\nFrom magnetic to grid: subtract 16°.",
            id="westerly",
        ),
        pytest.param(
            Norths(25.64, 2.14),
            "From grid to magnetic: subtract 24°.\nFrom magnetic to grid: add 24°.",
            id="easterly, 25.6 less 2.1",
        ),
        pytest.param(
            Norths(0.1, -0.2),
            "From grid to magnetic and back: leave the number as it is. They are less than half a "
            "degree apart here.",
            id="agonic",
        ),
    ],
)
def test_the_rule_is_printed_as_it_is_used(norths, expected):
    # direction: FM 3-25.26, 6-6: with an easterly G-M angle subtract from grid to magnetic
    assert both_ways(norths, "grid", "magnetic") == expected


WALKED = [row for row in WHOLE_DAYS if abs(float(row["lat_deg"])) <= 65]


@pytest.mark.parametrize("row", WALKED, ids=lambda row: f"{row['set']} {row['row']}")
def test_printed_declination_and_change_are_those_of_the_published_model(row):
    # World Magnetic Model 2025, official test values; convergence by the rule of the sphere,
    # tan C = tan(longitude from the zone's middle) sin(latitude), good to 0.01 degrees
    where = Position(
        float(row["lat_deg"]),
        math.remainder(float(row["lon_deg"]), 360),
        1000 * float(row["height_km"]),
    )
    on = date_of(float(row["decimal_year"]))
    ground = grounds.ground_of(grounds.Place(where), hazards=[])
    norths, declination = ground.site.north_of(where, on)
    printed = map_words.Printed(
        "Ground", on, norths, declination, magnetics.annual_change_deg(where, on), None, ()
    )
    texts = " ".join(map_words.words_of_sheet(ground, printed, "grid")(1000).texts)
    d, d_side, c, c_side, *_ = FIGURES.search(texts).groups()
    middle_deg = 6 * math.floor((where.longitude_deg + 180) / 6) - 177
    sphere_deg = math.degrees(
        math.atan(
            math.tan(math.radians(where.longitude_deg - middle_deg))
            * math.sin(math.radians(where.latitude_deg))
        )
    )

    assert float(signed(d, d_side)) == pytest.approx(float(row["D_deg"]), abs=HALF_A_TENTH)
    assert float(signed(c, c_side)) == pytest.approx(sphere_deg, abs=0.05 + 0.01)
    assert _change(texts) == pytest.approx(float(row["dD_deg_yr"]), abs=HALF_A_TENTH)


def _change(texts):
    moving = re.search(r"moving ([\d.]+)° (east|west) a year", texts)
    return float(signed(*moving.groups())) if moving else 0.0


@pytest.mark.parametrize("place", grounds.PLACES.values(), ids=grounds.PLACES)
@pytest.mark.parametrize("north", ["grid", "true"])
def test_the_corners_of_a_sheet_bear_their_coordinates(place, north):
    ground = grounds.ground_of(place, hazards=[])
    words = map_words.words_of_sheet(ground, grounds.printed_of(place, ground), north)
    sheet = paper.size("a4")
    fitted = map_sheet.frame(ground, words, sheet)
    (page,) = boxes.pages(map_sheet.map_sheet(ground, [words], sheet, "Ground"))
    written = [text.text for text in page.texts if re.search(r"E \d+ N \d+$", text.text)]
    on_grid = [tuple(map(int, re.search(r"E (\d+) N (\d+)$", one).groups())) for one in written]
    wide_m = (fitted.box[2] - fitted.box[0]) * fitted.scale / 1000

    assert len(on_grid) == 4
    (west, _), (east, _) = on_grid[:2]
    assert math.dist(on_grid[0], on_grid[1]) == pytest.approx(wide_m, rel=2e-3)
    assert east > west
    if north == "true":
        # independent: pyproj's own Transformer from the printed degrees
        to_grid = pyproj.Transformer.from_crs(4326, ground.site.epsg(place.middle), always_xy=True)
        for one, grid in zip(written, on_grid, strict=True):
            latitude, south, longitude, west = re.match(
                r"([\d.]+)° ([NS]) ([\d.]+)° ([EW])", one
            ).groups()
            found = to_grid.transform(
                float(longitude) * (-1 if west == "W" else 1),
                float(latitude) * (-1 if south == "S" else 1),
            )
            assert math.dist(found, grid) < 2.0  # of a fifth decimal of a degree, and a metre


@pytest.mark.parametrize(
    ("where", "named"),
    [
        # letters: NGA.SIG.0012 by the examples of fixtures/published/mgrs_reverse.csv's makers;
        # the corner is the metres of the UTM coordinates, their last five figures left off
        pytest.param(Position(48.8583, 2.2945), "31U DQ from E 400000 N 5400000", id="north"),
        pytest.param(Position(-45.13, 170.10), "59G ML from E 400000 N 5000000", id="south"),
    ],
)
def test_zone_datum_grid_and_square_are_named(where, named):
    place = grounds.Place(where)
    ground = grounds.ground_of(place, hazards=[])
    words = map_words.words_of_sheet(ground, grounds.printed_of(place, ground), "grid")(2500)
    zone = 31 if where.latitude_deg > 0 else 59
    hemisphere = "N" if where.latitude_deg > 0 else "S"

    assert f"Grid: UTM zone {zone}{hemisphere}, datum WGS 84, 100 km square {named}." in " ".join(
        words.texts
    )


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("coordinates") if row["mgrs_1m"] and row["datum"] == "WGS84"],
    ids=lambda row: row["id"],
)
def test_squares_are_those_of_published_references(row):
    where = Position(float(row["lat_deg"]), float(row["lon_deg"]))

    assert grid_notation.square_100_km(where) == " ".join(row["mgrs_1m"].split()[:2])


def test_a_national_grid_is_named_with_its_datum():
    # EPSG registry, code 2193
    assert geodesy.grid_names(2193) == ("New Zealand Transverse Mercator 2000", "NZGD2000")


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (None, "The day of the survey was not noted."),
        ((grounds.DAY, grounds.DAY), "Surveyed on 3 October 2026."),
        (
            (grounds.DAY.replace(month=3), grounds.DAY),
            "Surveyed from 3 March 2026 to 3 October 2026.",
        ),
    ],
)
def test_the_survey_is_dated_and_its_sigma_named(days, said):
    place = grounds.PLACES["national grid"]
    ground = grounds.ground_of(place, hazards=[])
    printed = replace(grounds.printed_of(place, ground), surveyed=days)
    texts = " ".join(map_words.words_of_sheet(ground, printed, "grid")(2500).texts)

    assert "± 0.5 m (one sigma) or better, 0.2 mm here" in texts
    assert said in texts


@pytest.mark.parametrize("scale", map_sheet.map_frame.SCALES)
def test_a_romer_measures_a_square_of_the_grid(scale):
    pdf = paper.Paper(paper.size("a4"), "Romer")
    pdf.begin()
    map_margin.romer(pdf, scale, 50.0, 50.0)
    (page,) = boxes.pages(pdf.finished())
    every_m = map_sheet.map_frame.lines_every_m(scale)
    side_mm = every_m * 1000 / scale
    # its upper edge and the cut below; PDFium adds a stroke's width at both ends
    outer = sorted(box.right - box.left for box in page.shapes)[-2:]
    figures = [int(text.text) for text in page.texts if text.text.isdigit()]

    assert side_mm <= 34.0  # its cell
    assert outer == [pytest.approx(side_mm + more, abs=0.01) for more in (0.3, 0.6)]
    assert page.overlaps() == []
    assert set(figures) <= set(range(0, every_m, map_margin.romer_tick_m(scale)))
    assert figures
    assert all(text.lies_in(50.0, 50.0, 50.0 + side_mm, 50.0 + side_mm) for text in page.texts)


@given(NORTHS, st.sampled_from(["grid", "true"]))
def test_the_diagram_keeps_to_its_cell_whatever_the_angles(norths, north):
    place = grounds.PLACES["national grid"]
    ground = grounds.ground_of(place, hazards=[])
    printed = replace(grounds.printed_of(place, ground), norths=norths)
    texts = map_words.words_of_sheet(ground, printed, north)(2500)
    pdf = paper.Paper(paper.size("a4"), "Norths")
    pdf.begin()
    map_margin.draw_norths(pdf, texts, 50.0, 50.0)
    (page,) = boxes.pages(pdf.finished())
    wide, high = map_margin.DIAGRAM_WIDE_MM, map_margin.DIAGRAM_HIGH_MM

    assert page.overlaps() == []
    assert page.texts_on_ink() == []
    assert all(
        one.lies_in(50.0, 50.0, 50.0 + wide, 50.0 + high) for one in (*page.texts, *page.shapes)
    )
