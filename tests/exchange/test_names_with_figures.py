"""Names with figures before pasted places, and places that are not cut for looking like one.

Names and separators are common practice, no source; the spellings of places are those of
`tests/domain/test_spellings.py`, whose UTM and MGRS come from pyproj and mgrs.
"""

import pytest
from hypothesis import assume, given, settings, strategies as st

from exercises.domain.earth.coordinates import read_place
from exercises.domain.earth.geodesy import apart_m
from exercises.exchange.delimited import name_and_place, read_csv
from tests.domain.test_spellings import in_degrees, spellings


def pasted(*lines):
    return read_csv("\n".join(lines)).rows


@pytest.mark.parametrize(
    ("line", "name", "place"),
    [
        ("S3: 42.12465 S, 146.20480 E", "S3", "42.12465 S, 146.20480 E"),
        ("Gate 4: 42.12465 S, 146.20480 E", "Gate 4", "42.12465 S, 146.20480 E"),
        ("3: 42.12465 S, 146.20480 E", "3", "42.12465 S, 146.20480 E"),
        ("S3\t42.12465 S, 146.20480 E", "S3", "42.12465 S, 146.20480 E"),
        ("P2: 59GML2922602214", "P2", "59GML2922602214"),
        ("P1: 59G 429226 5002214", "P1", "59G 429226 5002214"),
        ("Peg 12, -45.13, 170.10", "Peg 12", "-45.13, 170.10"),
        ("Gate, -45.13, 170.10", "Gate", "-45.13, 170.10"),
        ("Gate 4: geo:-45.1,170.1", "Gate 4", "geo:-45.1,170.1"),
        ("Tor 12: unten: 45.1 S, 170.1 E", "Tor 12: unten", "45.1 S, 170.1 E"),
        ("G5: 45:07:48.7 S, 170:06:01.1 E", "G5", "45:07:48.7 S, 170:06:01.1 E"),
        ("Gate 4: 45.1x S, 170.1", "Gate 4", "45.1x S, 170.1"),
    ],
)
def test_a_name_with_figures_ends_where_a_place_follows(line, name, place):
    assert pasted(line, "-45.1, 170.1") == ((name, place), ("", "-45.1, 170.1"))


@pytest.mark.parametrize(
    "line",
    [
        "45:07:48.7 S, 170:06:01.1 E",
        "S 45:07:48.7, E 170:06:01.1",
        "59G: 429226 5002214",
        "longitude: 170.1, latitude: -45.1",
        "45,13, 170.10",
        "S45:13, 170.10",
        "Gate 45,13 S 170,10 E",
        "https://m.example/7: -45.1",
    ],
)
def test_figures_of_a_place_are_no_name(line):
    assert pasted(line, "-45.1, 170.1")[0] == ("", line)


@settings(max_examples=200, deadline=None)
@given(spellings)
def test_a_place_in_any_spelling_is_left_whole(spelling):
    text = spelling[0]

    assert name_and_place(text) == ("", text)


words = st.sampled_from(["Gate", "Old post", "Poste", "peg", "Tor", "Q", "KM"])
names = st.builds(
    "{0}{1}{2}".format, words, st.sampled_from(["", " ", "-", " no. "]), st.integers(0, 999)
)
signs = st.sampled_from([": ", ":", " : ", "\t", " = "])


@settings(max_examples=200, deadline=None)
@given(names, signs, in_degrees())
def test_a_name_with_figures_is_parted_from_a_place_that_stays_where_it_is(name, sign, spelling):
    text, position, step_m = spelling
    assume(not text.startswith("("))  # a name may end in brackets

    found, place = name_and_place(f"{name}{sign}{text}")

    assert found == name
    assert apart_m(read_place(place, position).position, position) < step_m + 0.001


@settings(max_examples=200, deadline=None)
@given(st.text("S3E:, 4512.'\"°\t=;Gat-N7", min_size=1, max_size=40))
def test_nothing_of_a_line_is_lost_whatever_it_holds(line):
    kept = [character for character in line if character not in " \t:=,;"]

    name, place = name_and_place(line)

    assert [character for character in name + place if character not in " \t:=,;"] == kept
