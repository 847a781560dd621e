"""Towns and outlines against positions that others publish, and a search by brute force."""

import itertools
import math
import random

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.geodesy import Position
from exercises.world import land, towns

# Capitals' positions, to a minute, from a school atlas's index (from memory): name, country, place
CAPITALS = [
    ("London", "GB", 51.50, -0.12),
    ("Wellington", "NZ", -41.28, 174.78),
    ("Quito", "EC", -0.22, -78.52),
    ("Reykjavík", "IS", 64.13, -21.90),
    ("Suva", "FJ", -18.13, 178.43),
    ("Nairobi", "KE", -1.28, 36.82),
]
ATLAS_M = 12_000.0  # an atlas and a table mean different spots of a large city


@pytest.mark.parametrize(("name", "country", "latitude", "longitude"), CAPITALS)
def test_a_capital_is_found_by_its_name_where_an_atlas_has_it(name, country, latitude, longitude):
    found = towns.named(name)[0]

    assert (found.name, found.country) == (name, country)
    assert geodesy.apart_m(found.position, Position(latitude, longitude)) < ATLAS_M


@pytest.mark.parametrize("typed", ["sao paulo", "  São  Paulo ", "SÃO PAULO"])
def test_accents_capitals_and_spaces_do_not_matter(typed):
    assert towns.named(typed)[0].name == "São Paulo"


def test_a_town_of_the_very_name_comes_before_larger_ones_that_only_begin_with_it():
    # Bath in England has 95,000 people, Bathinda in the Punjab three times as many
    found = towns.named("Bath")

    assert [found[0].name, found[0].country] == ["Bath", "GB"]
    assert "Bathinda" in [town.name for town in found]
    assert len(found) == towns.MOST_FOUND


@pytest.mark.parametrize("typed", ["", "   ", "Nowhere at all"])
def test_what_is_no_town_finds_none(typed):
    assert towns.named(typed) == []


def test_the_nearest_town_of_the_zone_is_what_a_search_through_all_finds():
    rng = random.Random(7)
    for town in rng.sample(towns.all_towns(), 40):
        place = Position(town.latitude_deg + rng.uniform(-0.3, 0.3), town.longitude_deg)
        found = towns.whereabouts(place)
        away_m = min(
            geodesy.apart_m(other.position, place)
            for other in towns.all_towns()
            if other.zone == found.zone and abs(other.latitude_deg - place.latitude_deg) < 3
        )

        # on a sphere two towns that are as near as one another may change places
        assert found.away_m == pytest.approx(away_m, rel=0.006)


def test_a_place_lies_on_the_side_of_a_town_where_the_compass_has_it():
    hobart = towns.named("Hobart")[0]
    place = geodesy.destination(hobart.position, 270.0, 3000.0)

    found = towns.whereabouts(place)

    assert found.zone == "Australia/Hobart"
    assert found.town.name in {"Hobart", "West Hobart", "South Hobart", "Lenah Valley"}
    assert geodesy.apart_m(
        geodesy.destination(found.town.position, found.bearing_deg, found.away_m), place
    ) == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        pytest.param(40.0, -35.0, id="the middle of the Atlantic"),
        pytest.param(-75.6, -26.4, id="a coast of Antarctica"),
        pytest.param(-62.6, -60.4, id="the South Shetlands, in the zone of Punta Arenas"),
    ],
)
def test_far_from_everywhere_no_town_and_no_country_is_named(latitude, longitude):
    assert towns.whereabouts(Position(latitude, longitude)).town is None


def test_of_a_stretch_of_map_the_largest_towns_are_shown_apart_from_one_another():
    found = towns.largest_in(-44.0, 144.0, -40.0, 149.0)

    assert [town.name for town in found] == ["Hobart", "Launceston", "Burnie"]


def test_a_stretch_of_map_may_cross_the_antimeridian():
    found = {town.name for town in towns.largest_in(-20.0, 176.0, -12.0, 190.0)}

    assert {"Nasinu", "Apia"} <= found  # 178 east and 172 west


@pytest.mark.parametrize(
    ("code", "language", "name"),
    [("NZ", "es", "Nueva Zelanda"), ("NZ", "en", "New Zealand"), ("NZ", "fr", "New Zealand")],
)
def test_a_country_is_called_as_the_reader_does_or_else_in_english(code, language, name):
    assert towns.country_name(code, language) == name


def test_every_country_of_a_town_has_a_name():
    assert [town for town in towns.all_towns() if not towns.country_name(town.country, "es")] == []


def winding(corners, x, y):
    """How often an outline goes round a place: not 0 inside."""
    turns = 0.0
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        turns += math.remainder(math.atan2(by - y, bx - x) - math.atan2(ay - y, ax - x), math.tau)
    return round(turns / math.tau)


@pytest.mark.parametrize(
    ("latitude", "longitude", "is_land"),
    [
        (52.0, 20.0, True),  # Poland
        (66.5, -175.0, True),  # Chukotka, beyond the antimeridian
        (-85.0, 0.0, True),  # Antarctica
        (42.0, 51.0, False),  # the Caspian
        (40.0, -35.0, False),  # the Atlantic
        (-42.0, 146.5, True),  # Tasmania
    ],
)
def test_land_is_drawn_where_an_atlas_has_it(latitude, longitude, is_land):
    inside = [
        land_here
        for corners, _, land_here in land.outlines()
        for turn in (-360, 0, 360)
        if winding(corners, longitude + turn, latitude)
    ]

    assert (inside == [True]) is is_land


def test_no_outline_jumps_across_the_map():
    # where the antimeridian cuts a polygon a step of 360 degrees would draw a line over the world
    for corners, (west, south, _, _), _ in land.outlines():
        steps = [abs(b[0] - a[0]) for a, b in itertools.pairwise(corners) if a[1] > -85]
        assert max(steps, default=0.0) < 40.0, (west, south)
