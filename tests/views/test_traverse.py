"""A traverse at the desk: looked at, stored once, refused in words with nothing lost."""

import math
import uuid

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.geodesy import apart_m, destination
from exercises.models import Point, Survey
from tests import cast


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def position(site, code):
    return site.points.get(code=code).as_domain().position


def book(site, codes, north_is_east_deg=0.0, slip_m=0.0):
    """The true legs from A through new corners, 70 m apart on a zigzag, to a point or back."""
    places, lines = [position(site, "A")], []
    for turn, _ in zip((30, 95, 170), codes[:-1], strict=False):
        places.append(destination(places[-1], turn, 70))
    places.append(position(site, codes[-1]))
    for code, begin, end in zip(codes, places, places[1:], strict=False):
        line = geodesy.sight_line(begin, end)
        bearing = (line.bearing_deg - north_is_east_deg) % 360
        lines.append(f"{code} {bearing:.3f} {line.distance_m:.3f}")
    if slip_m:
        code, bearing, metres = lines[1].split()
        lines[1] = f"{code} {bearing} {float(metres) + slip_m:.3f}"
    return "\n".join(lines)


def send(desk, site, legs, end="", **more):
    return desk.post(
        f"/sites/{site.pk}/traverse/",
        {
            "client_id": str(uuid.uuid4()),
            "start": site.points.get(code="A").pk,
            "end": site.points.get(code=end).pk if end else "",
            "legs": legs,
            "north": "true",
            "bearing_error_deg": "1",
            "distance_error_m": "0,1",
            "distance_error_percent": "0",
            "on": "2026-10-03",
            **more,
        },
    )


LOOP = ["P1", "P2", "P3", "A"]


def test_a_traverse_is_looked_at_before_anything_is_stored(desk, site):
    answer = send(desk, site, book(site, LOOP))

    page = answer.content.decode()
    assert "How it closes" in page
    assert "no more than compass and tape allow" in page
    assert [corner["code"] for corner in answer.context["corners"]] == ["P1", "P2", "P3"]
    assert (Point.objects.count(), Survey.objects.count()) == (5, 0)


def test_its_corners_are_stored_where_they_lie_with_what_they_share(desk, site):
    send(
        desk, site, book(site, LOOP), store="yes", **{"name-P1": "stump", "mark-P1": "painted dot"}
    )

    made = site.points.get(code="P1")
    survey = made.surveys.get()
    expected = destination(position(site, "A"), 30, 70)
    assert apart_m(made.as_domain().position, expected) < 0.01
    assert (made.name, made.mark, made.is_target) == ("stump", "painted dot", False)
    assert (survey.details["how"], survey.details["from"], survey.details["legs"]) == (
        "traverse",
        "A",
        4,
    )
    assert survey.details["book"] == book(site, LOOP)
    assert survey.as_domain().shares_error_with == ("surveyed", "A")
    assert made.major_m > 0.5  # no better than the point that it began at
    assert [(p.name, p.is_target) for p in site.points.filter(code__in=["P2", "P3"])] == [
        ("P2", True),
        ("P3", True),
    ]


def test_a_corner_that_is_there_is_surveyed_again(desk, site):
    legs = book(site, ["T1", "P2", "B"])
    lines = legs.split("\n")
    to_t1 = geodesy.sight_line(position(site, "A"), position(site, "T1"))
    to_p2 = destination(position(site, "T1"), 160, 80)
    on = geodesy.sight_line(to_p2, position(site, "B"))
    lines = [
        f"T1 {to_t1.bearing_deg:.3f} {to_t1.distance_m:.3f}",
        "P2 160 80",
        f"B {on.bearing_deg:.3f} {on.distance_m:.3f}",
    ]

    send(desk, site, "\n".join(lines), end="B", store="yes")

    surveys = site.points.get(code="T1").surveys.all()
    assert [one.method for one in surveys] == ["receiver", "surveyed"]
    assert site.points.get(code="T1").accuracy_m < 0.5
    assert {one.position.elevation_m for one in [s.as_domain() for s in surveys]} == {400.0}
    assert "P2" in site.points.values_list("code", flat=True)
    page = desk.get(f"/sites/{site.pk}/points/T1/surveys/").content.decode()
    assert "Traverse of 3 legs from A to B" in page


def test_the_same_form_stores_once(desk, site):
    one = str(uuid.uuid4())
    for _ in range(2):
        answer = send(desk, site, book(site, LOOP), store="yes", client_id=one)

    assert answer.status_code == 302
    assert (site.points.count(), Survey.objects.count()) == (8, 3)


def test_a_form_that_went_back_does_not_store_another_traverse(desk, site):
    one = str(uuid.uuid4())
    send(desk, site, book(site, LOOP), store="yes", client_id=one)

    answer = send(desk, site, book(site, LOOP, slip_m=0.5), store="yes", client_id=one)

    assert "has stored a traverse already" in answer.content.decode()
    assert Survey.objects.count() == 3


def test_magnetic_bearings_are_turned_with_the_days_declination(desk, site):
    norths, declination = site.as_domain().north_of(position(site, "A"), cast.DAY)
    legs = book(site, LOOP, declination.degrees)

    send(desk, site, legs, store="yes", north="magnetic")

    expected = destination(position(site, "A"), 30, 70)
    assert apart_m(position(site, "P1"), expected) < 0.01
    assert (
        norths.declination_deg
        == site.points.get(code="P1").surveys.get().details["declination_deg"]
    )


def test_a_traverse_that_does_not_close_names_its_leg_and_is_not_stored(desk, site):
    answer = send(desk, site, book(site, LOOP, slip_m=13.3), store="yes")

    page = answer.content.decode()
    assert "It misses by more than compass and tape allow." in page
    assert "P1 → P2" in [one["leg"] for one in answer.context["suspects"]]
    assert "does not close. Look for the slip first." in page
    assert Point.objects.count() == 5


@pytest.mark.parametrize(
    ("legs", "said"),
    [
        pytest.param(
            "P1 010 90\nP2 082 100\nP3 154 50\nP4 208 130\nA 313.5 122",
            "Measure P2 → P3 again: the slip is most probably there.",
            id="one leg runs along the closing error",
        ),
        pytest.param(
            "P1 010 70\nP2 100 60\nP3 190 100\nA 280 60",
            "Which leg it is cannot be told, for they run the same way. "
            "Measure again: P2 → P3, A → P1.",
            id="a rectangle",
        ),
        pytest.param(
            "P1 010 102\nP2 100 62\nP3 190 98\nA 278 60",
            "No one leg explains it well. Perhaps compass and tape are less certain than stated.",
            id="a little off everywhere",
        ),
    ],
)
def test_what_to_look_at_is_said(desk, site, legs, said):
    answer = send(desk, site, legs, bearing_error_deg="0.3")

    assert answer.context["look_at"] == said


def test_a_slip_in_digits_is_told_as_it_was_read_on_the_compass(desk, site):
    """The first two digits of the third bearing are exchanged as it is typed."""
    declination = site.as_domain().north_of(position(site, "A"), cast.DAY)[1].degrees
    true = "P1 010 90\nP2 082 100\nP3 154 80\nP4 208 130\nA 313.49 122.23"
    lines = []
    for line in true.split("\n"):
        code, bearing, metres = line.split()
        lines.append(f"{code} {(float(bearing) - declination) % 360:.1f} {metres}")
    code, bearing, metres = lines[2].split()
    lines[2] = f"{code} {bearing[1] + bearing[0] + bearing[2:]} {metres}"

    answer = send(desk, site, "\n".join(lines), north="magnetic", bearing_error_deg="0.3")

    assert answer.context["suspects"][0]["what"] == (
        f"two digits exchanged: {bearing}° instead of {lines[2].split()[1]}°"
    )


def test_it_is_stored_all_the_same_where_a_person_says_so(desk, site):
    answer = send(desk, site, book(site, LOOP, slip_m=13.3), store="yes", anyway="on")

    assert answer.status_code == 302
    grown = site.points.get(code="P2")
    sound = math.hypot(0.5, math.radians(1.0) * 70)
    assert grown.major_m > 2 * sound  # by Birge's factor


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"legs": "P1 074 60\nP2 400 48\nA 290 80"}, "Line 2, “P2 400 48”"),
        ({"legs": "P1 074 60\nP2 150 48"}, "The last leg goes to P2, but the traverse ends at A."),
        ({"legs": ""}, "required"),
        ({"legs": "P1 074/075 60\nA 254 60"}, "point different ways"),
        ({"start": "999999"}, "valid choice"),
        ({"north": "magnetic", "on": "2035-01-01"}, "ends on"),
        ({"bearing_error_deg": "0"}, "greater than or equal"),
        ({"client_id": "x"}, "valid UUID"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(desk, site, changes, said):
    typed = {"legs": book(site, LOOP), "store": "yes", "name-P1": "stump", **changes}

    answer = send(desk, site, **typed)

    page = answer.content.decode()
    assert answer.status_code == 200
    assert said in page
    assert 'value="stump"' in page
    assert (Point.objects.count(), Survey.objects.count()) == (5, 0)


def test_a_traverse_that_leads_far_away_is_refused_with_its_point(desk, site):
    out = "\n".join(f"Q{number} 000 4900" for number in range(5))
    home = "\n".join(f"R{number} 180.0 4900" for number in range(4))

    answer = send(desk, site, f"{out}\n{home}\nA 180 4900", store="yes", bearing_error_deg="0.01")

    assert "Point Q4: This is more than 20 km from the site." in answer.content.decode()
    assert Point.objects.count() == 5


def test_sets_are_shown_with_their_scatter_and_what_lies_far(desk, site):
    lines = book(site, LOOP).split("\n")
    code, bearing, metres = lines[0].split()
    lines.insert(1, f"{code} {float(bearing) + 9:.3f}/{float(bearing) + 180:.3f} {metres}")

    answer = send(desk, site, "\n".join(lines))

    [first, *_] = answer.context["legs"]
    assert first["bearing_set"] == "3 times, spread 5.2°"
    assert "Line 2 lies far from the rest of its set." in first["remarks"]
    assert [leg["name"] for leg in answer.context["odd_legs"]] == ["A → P1"]


@pytest.mark.parametrize(("code", "is_far"), [("T1", True), ("P1", False)])
def test_a_code_that_is_another_points_is_told_by_how_far_it_lies(desk, site, code, is_far):
    answer = send(desk, site, book(site, LOOP).replace("P1", code))

    assert answer.context["corners"][0]["is_far"] is is_far
    assert ("Too far to be chance" in answer.content.decode()) is is_far


def test_a_corner_keeps_what_was_typed_of_it_while_its_leg_cannot_be_read(desk, site):
    page = send(desk, site, "P1 074", **{"name-P1": "stump", "mark-P1": "the dot"})

    assert ("name-P1", "stump") in page.context["kept"]
    assert ("mark-P1", "the dot") in page.context["kept"]


def test_storing_asks_as_many_queries_for_one_corner_as_for_thirty(
    desk, site, django_assert_num_queries
):
    many = [f"Q{number}" for number in range(30)]
    ring = [f"{code} {number * 360 / 31:.2f} 40" for number, code in enumerate([*many, "A"])]
    counts = []
    for legs in ("P1 040 60\nA 220 60", "\n".join(ring)):
        with django_assert_num_queries(19):
            assert send(desk, site, legs, store="yes").status_code == 302
        counts.append(site.points.count())

    assert counts == [6, 36]
