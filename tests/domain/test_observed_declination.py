"""The declination from the sun's shadow, beside the model's."""

import datetime
from dataclasses import replace

import pytest

from exercises.domain.earth import sun
from exercises.domain.earth.angles import wrap
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.magnetics import Declination
from exercises.domain.surveying.ground.attraction import adjust
from exercises.domain.surveying.ground.observed_declination import observed_declination
from exercises.domain.surveying.ground.sighting import Sighting

MODEL = Declination(24.0, 0.4, "WMM2025")


def shadows(*offs, station="A", compass="1", declination_deg=24.0):
    """Readings along shadows of true bearing 130, some degrees off the model's declination."""
    return [
        Sighting(
            station,
            "",
            wrap(130.0 - declination_deg + off),
            compass,
            computed_deg=wrap(130.0 - declination_deg),
            computed_error_deg=0.2,
            declination_deg=declination_deg,
        )
        for off in offs
    ]


def observed(sightings):
    return observed_declination(sightings, adjust(sightings), MODEL)


def test_the_declination_is_the_true_bearing_of_the_shadow_less_what_the_compass_reads():
    # 130 true read as 110: 20 degrees east, four less than the model's 24.
    found = observed(shadows(4.0, 4.0, 4.0, 4.0))

    assert found.degrees == pytest.approx(20.0)
    assert found.difference_deg == pytest.approx(-4.0)


def test_it_agrees_with_the_solar_position_algorithms_own_example():
    # Reda and Andreas, NREL/TP-560-34302 (2008), A.5: 2003-10-17, 12:30:30 at UTC-7, 39.742476 N,
    # 105.1786 W: azimuth 194.34024. With a needle that points 9.5 east of true north the shadow,
    # which lies at 14.34024, reads 4.84024.
    at = datetime.datetime(2003, 10, 17, 19, 30, 30, tzinfo=datetime.UTC)
    shadow_deg = sun.sun(Position(39.742476, -105.1786), at).shadow_deg
    model = Declination(9.0, 0.4, "WMM2010")
    sightings = [
        Sighting("A", "", 4.84024, "1", computed_deg=shadow_deg - 9.0, computed_error_deg=0.2)
    ]

    found = observed_declination(sightings, adjust(sightings), model)

    assert found.degrees == pytest.approx(9.5, abs=0.001)


def test_four_shadows_four_degrees_off_differ_from_the_model():
    assert observed(shadows(4.0, 4.0, 5.0, 3.0)).differs


def test_shadows_within_a_compasss_limits_do_not_differ():
    assert not observed(shadows(1.0, 2.0, 1.0, 2.0)).differs


def test_more_shadows_err_less_but_for_the_clock_that_they_share():
    few, many = observed(shadows(1.0, 0.0)), observed(shadows(*[1.0, 0.0] * 10))

    assert few.error_deg > many.error_deg > 0.2


def test_two_compasses_share_their_errors():
    two = observed([*shadows(0.0, 1.0), *shadows(1.0, 0.0, compass="2")])

    assert two.compass_error_deg == pytest.approx(observed(shadows(1.0)).compass_error_deg / 2**0.5)


def test_a_shadow_at_a_station_that_bends_the_needle_is_left_out():
    lines = [
        Sighting(station, target, wrap(60.0 + off), "1", computed_deg=60.0, computed_error_deg=0.3)
        for station, off in (("A", 0.0), ("B", 12.0), ("C", 0.0))
        for target in ("X", "Y", "Z")
    ]

    found = observed([*lines, *shadows(0.0, 1.0), *shadows(12.0, 13.0, station="B")])

    assert found.stations == ("A",)


def test_shadows_of_a_compass_that_was_noted_wrongly_are_left_out():
    assert observed(shadows(24.0, 24.0, 23.0, 25.0)) is None


def test_without_a_shadow_nothing_is_said():
    line = replace(shadows(0.0)[0], target="X")

    assert observed([line]) is None
