"""The stations of a class that is out, drawn where they lie."""

from exercises.domain.earth.geodesy import Position, destination
from exercises.drawing.stations_now import stations_now

MIDDLE = Position(-45.13, 170.1)


def test_each_word_names_the_station_that_it_is_of():
    positions = {"A": MIDDLE, "C": destination(MIDDLE, 110, 40)}

    drawn = stations_now(
        MIDDLE, [("A", "been", ""), ("C", "look", "check the mark")], positions, "Stations"
    )

    assert (">C: check the mark<" in drawn, ">A: " in drawn) == (True, False)
