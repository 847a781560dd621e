import datetime
import math
from concurrent.futures import ThreadPoolExecutor

import pytest

from exercises.domain.earth import magnetics
from exercises.domain.earth.geodesy import Position
from tests import published

ROUNDED = 0.006  # degrees: the official column is rounded to 0.01
INDEPENDENT = 0.10  # degrees: WMM2025 against IGRF-14 at these places, largest 0.087


def date_of(year):
    start = datetime.date(int(year), 1, 1)
    days = (datetime.date(int(year) + 1, 1, 1) - start).days
    return start + datetime.timedelta(days=round((year - int(year)) * days))


WHOLE_DAYS = [
    row
    for row in published.rows("declination_wmm2025")
    if row["set"] in ("report_table", "official_100")
    and -1 <= float(row["height_km"]) <= 9
    and float(row["H_nT"]) >= 2000
]


@pytest.mark.parametrize("row", WHOLE_DAYS, ids=lambda row: f"{row['set']} {row['row']}")
def test_declination_agrees_with_the_official_test_values(row):
    # World Magnetic Model 2025, report table and WMM2025_TestValues.txt, NOAA NCEI and BGS (those
    # at heights where people walk).
    position = Position(
        float(row["lat_deg"]),
        math.remainder(float(row["lon_deg"]), 360),
        1000 * float(row["height_km"]),
    )
    found = magnetics.declination(position, date_of(float(row["decimal_year"])))

    assert found.degrees == pytest.approx(float(row["D_deg"]), abs=ROUNDED)
    assert found.uncertainty_deg == pytest.approx(float(row["sigma_D_deg"]), abs=2e-3)
    assert bool(found.warning) == (row["H_zone"] == "caution")


@pytest.mark.parametrize(
    "row",
    [row for row in WHOLE_DAYS if abs(float(row["lat_deg"])) <= 65],
    ids=lambda row: f"{row['set']} {row['row']}",
)
def test_the_annual_change_agrees_with_the_official_test_values(row):
    # World Magnetic Model 2025, columns dD; rounded to 0.01 in the official tables.
    position = Position(
        float(row["lat_deg"]),
        math.remainder(float(row["lon_deg"]), 360),
        1000 * float(row["height_km"]),
    )

    assert magnetics.annual_change_deg(
        position, date_of(float(row["decimal_year"]))
    ) == pytest.approx(float(row["dD_deg_yr"]), abs=ROUNDED)


@pytest.mark.parametrize(
    "row", published.rows("declination_igrf14"), ids=lambda row: f"{row['site']} {row['date']}"
)
def test_declination_agrees_with_the_independent_igrf(row):
    # IGRF-14 by ppigrf 2.1.0.
    position = Position(float(row["lat_deg"]), float(row["lon_deg"]), float(row["height_m"]))

    assert magnetics.declination(
        position, datetime.date.fromisoformat(row["date"])
    ).degrees == pytest.approx(float(row["D_igrf14_ppigrf_deg"]), abs=INDEPENDENT)


@pytest.mark.parametrize(
    ("day", "model"),
    [
        ("2012-06-01", "WMM2010"),
        ("2016-06-01", "WMM2015v2"),
        ("2024-12-31", "WMM2020"),
        ("2025-01-01", "WMM2025"),
        ("2029-12-31", "WMM2025"),
    ],
)
def test_the_newest_model_that_covers_the_date_is_used(day, model):
    assert magnetics.declination(Position(45, 7), datetime.date.fromisoformat(day)).model == model


def test_declination_of_2013_is_as_the_handbook_says():
    # TC 3-25.26 (2013), 6-2: Fort Benning, 4 degrees west; given to the degree.
    assert magnetics.declination(
        Position(32.36, -84.95), datetime.date(2013, 6, 1)
    ).degrees == pytest.approx(-4, abs=1.0)


@pytest.mark.parametrize("day", ["2030-01-01", "2031-04-02", "2009-12-31"])
def test_a_date_outside_every_model_is_refused_in_words(day):
    with pytest.raises(magnetics.ModelExpired, match=f"No declination for {day}"):
        magnetics.declination(Position(45, 7), datetime.date.fromisoformat(day))


def test_a_place_where_a_compass_does_not_point_is_refused():
    with pytest.raises(magnetics.BlackoutZone, match="2000 nT"):
        magnetics.declination(Position(85.5, 138), datetime.date(2026, 6, 1))


def test_many_threads_get_the_same_declinations_as_one():
    # A shared pygeomag object answers up to five degrees wrong under threads; the cache is emptied
    # so that each value is computed.
    places = [
        Position(latitude, longitude)
        for latitude in range(-50, 51, 10)
        for longitude in range(-170, 171, 20)
    ]
    day = datetime.date(2026, 3, 3)
    alone = [magnetics.declination(place, day).degrees for place in places]
    magnetics._declination.cache_clear()

    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda place: magnetics.declination(place, day).degrees, places))

    assert together == alone


@pytest.mark.parametrize(
    ("day", "year"),
    [("2026-01-01", 2026.0), ("2024-12-31", 2024 + 365 / 366), ("2026-12-31", 2026 + 364 / 365)],
)
def test_decimal_years_count_days_of_their_own_year(day, year):
    assert magnetics.decimal_year(datetime.date.fromisoformat(day)) == pytest.approx(
        year, abs=1e-12
    )


def test_where_the_height_is_not_known_declination_is_that_at_sea_level():
    on = datetime.date(2026, 10, 3)

    unknown = magnetics.declination(Position(-45.13, 170.10), on)

    assert unknown == magnetics.declination(Position(-45.13, 170.10, 0.0), on)
    assert unknown != magnetics.declination(Position(-45.13, 170.10, 1000.0), on)
