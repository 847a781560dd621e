"""The field book of a traverse as people type it."""

import pytest
from hypothesis import given, strategies as st

from exercises.domain.surveying.traverses.field_book import BadBook, read_book

BOOK = "P1 074 60.5\nP2 150 48\nA 290 80"


def seen(text, end="A"):
    return [
        (leg.start, leg.to, [(one.fore_deg, one.back_deg, one.distance_m) for one in leg.observed])
        for leg in read_book(text, "A", end)
    ]


@pytest.mark.parametrize(
    "text",
    [
        "P1 074 60.5\nP2 150 48\nA 290 80",
        "p1\t74\t60.5 m\r\np2\t150\t48\r\n\r\na\t290\t80\r\n",
        "P1,74,60.5\nP2,150,48\nA,290,80",
        "P1, 74, 60.5\nP2, 150, 48\nA, 290, 80",
        "P1; 74,0; 60,5\nP2; 150; 48\nA; 290; 80",
        "P1 74,0 60,5\nP2 150 48m\nA 290 80 m",
        "A P1 074 60.5\nP1 P2 S30E 48\nP2 A 290°00' 80",
        "P1 74-00-00 60.5; P2 150 48; A 290 80",
    ],
)
def test_legs_are_read_as_people_write_them(text):
    assert seen(text) == [
        ("A", "P1", [(74.0, None, 60.5)]),
        ("P1", "P2", [(150.0, None, 48.0)]),
        ("P2", "A", [(290.0, None, 80.0)]),
    ]


def test_several_lines_of_one_leg_are_its_set_whenever_they_come():
    text = "P1 074/254.5 60.5\nP1 075 -\nB 150 48\nA P1 - 60.7\nP1 A 253 60.6"

    assert seen(text, "B") == [
        (
            "A",
            "P1",
            [
                (74.0, 254.5, 60.5),
                (75.0, None, None),
                (None, None, 60.7),
                (None, 253.0, 60.6),
            ],
        ),
        ("P1", "B", [(150.0, None, 48.0)]),
    ]


def test_minutes_and_seconds_are_of_a_degree():
    [first, _] = read_book("P1 74°30'36\" 60\nA 254 60", "A", "A")

    assert first.observed[0].fore_deg == pytest.approx(74.51)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "Type the legs"),
        ("P1 074", "Line 1, “P1 074”: This is no leg"),
        ("P1 074 60\nP2 400 48\nA 290 80", "Line 2, “P2 400 48”: “400” is more than a full circle"),
        ("P1 074 60\nP2 150 0\nA 290 80", "Line 2, “P2 150 0”: “0” is no distance"),
        ("P1 074 60\nPOST9 150 48\nA 290 80", "“POST9” is no code"),
        ("P1 074 60\nP2 74-61 48\nA 290 80", "minutes and seconds to 59"),
        ("P1 074 60\nP3 P2 150 48\nA 290 80", "A leg from P3, but the way has come to P1."),
        ("P1 074 60\nP2 150 48", "The last leg goes to P2, but the traverse ends at A."),
        ("P1 074 60\nA 254 60\nP2 100 50", "The way has come to its end, A, before this line."),
        ("P1 - 60\nA 254 60", "Line 1: no bearing from A to P1."),
        ("P1 074 -\nA 254 60", "Line 1: no distance from A to P1."),
        ("P1 - -\nA 254 60", "Nothing was measured here"),
        ("P1 1234 60\nA 254 60", "mils"),
        ("\n".join(["P1 074 60"] * 301), "at most 300 lines"),
    ],
)
def test_what_is_no_leg_is_refused_with_its_line(text, complaint):
    with pytest.raises(BadBook) as error:
        read_book(text, "A", "A")

    assert complaint in error.value.problems[0]


def test_every_line_that_is_wrong_is_named():
    with pytest.raises(BadBook) as error:
        read_book("P1 074 60\nP2 400 48\nP3 x 50\nA 290 80", "A", "A")

    assert [problem.values["line"] for problem in error.value.problems] == [2, 3]


def test_one_leg_is_no_traverse():
    with pytest.raises(BadBook, match="One leg is no traverse"):
        read_book("B 074 60", "A", "B")


def test_a_way_to_another_point_does_not_come_back_to_its_start():
    with pytest.raises(BadBook, match="where the way has been"):
        read_book("P1 074 60\nA 254 60\nB 100 50", "A", "B")


def test_a_way_has_an_end():
    legs = "\n".join(f"Q{number} 074 60" for number in range(61))

    with pytest.raises(BadBook, match="at most 60 legs"):
        read_book(f"{legs}\nA 10 10", "A", "A")


@given(
    st.lists(
        st.tuples(st.integers(0, 359), st.integers(0, 359), st.integers(1, 4999)),
        min_size=1,
        max_size=20,
    )
)
def test_a_book_survives_being_written_and_read(legs):
    lines = [
        f"Q{number} {fore:03d}/{back:03d} {metres}"
        for number, (fore, back, metres) in enumerate(legs)
    ]

    found = seen("\n".join([*lines, "A 000 1"]))

    assert [leg[2] for leg in found[:-1]] == [
        [(float(fore), float(back), float(metres))] for fore, back, metres in legs
    ]
