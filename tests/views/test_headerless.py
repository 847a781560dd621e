"""Points files without a line of names at the desk: recognised, shown both ways, asked where it
cannot be told.
"""

import pytest

from exercises.models import Point
from tests import cast
from tests.exchange.test_headerless import NATIONAL, table
from tests.views.test_points import fields_of, look


@pytest.fixture
def site(ines):
    return cast.site_of(ines)  # its own grid is EPSG 2193


def test_the_order_is_shown_with_what_speaks_for_it(desk, site):
    answer = look(desk, site, table("northing_first"))

    page = answer.content.decode()
    assert answer.context["form"]["order"].value() == "northing_first"
    assert "told by where the site lies" in page
    assert "5 of 5 rows fall near the site" in page
    assert "0 of 5 rows fall near the site" in page
    assert [one["action"] for one in answer.context["rows"]] == ["new point"] * 5
    assert Point.objects.count() == 5


def test_what_was_read_is_brought_in_by_its_order(desk, site):
    answer = look(desk, site, table("easting_first", "\t"))

    desk.post(f"/sites/{site.pk}/import/", fields_of(answer, take="yes"))

    made = site.points.get(code="101")
    assert (made.name, made.elevation_m, made.method) == ("post 101 old", 401.25, "surveyed")
    where = made.as_domain().position
    assert (where.latitude_deg, where.longitude_deg) == pytest.approx((-45.13, 170.1), abs=1e-7)


def test_the_sites_own_grid_is_tried_after_its_zone(desk, site):
    answer = look(desk, site, table("northing_first", epsg=NATIONAL))

    form = answer.context["form"]
    assert (form["order"].value(), form["epsg"].value()) == ("northing_first", NATIONAL)


def test_what_cannot_be_told_is_asked_and_nothing_is_brought_in(desk, site):
    answer = look(desk, site, "1,5000.0,5100.0,10,peg\n2,5020.0,5110.0,10,peg")

    assert "does not tell which number is the northing. Choose the order." in (
        answer.content.decode()
    )
    assert [readings for *_, readings in answer.context["orders"]["first"]] == [
        ["Not in this grid."] * 2
    ] * 2
    sent = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, take="yes", order=""))
    assert sent.status_code == 200
    assert Point.objects.count() == 5


def test_a_code_that_is_typed_later_tells_the_order(desk, site):
    site.grid_epsg = None
    site.save()
    answer = look(desk, site, table("easting_first", epsg=NATIONAL))
    assert answer.context["form"]["order"].value() == ""

    again = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, epsg=str(NATIONAL)))

    assert again.context["form"]["order"].value() == "easting_first"
    assert [one["action"] for one in again.context["rows"]] == ["new point"] * 5


def test_an_order_that_a_person_chose_stays_with_what_was_typed(desk, site):
    answer = look(desk, site, table("northing_first"))
    chosen = fields_of(answer, order="easting_first", **{"code-1": "G1", "name-1": "gate"})

    again = desk.post(f"/sites/{site.pk}/import/", chosen)

    assert again.context["form"]["order"].value() == "easting_first"
    assert {one["action"] for one in again.context["rows"]} == {"refused"}
    first = again.context["rows"][0]["row"]
    back = desk.post(f"/sites/{site.pk}/import/", {**chosen, "order": "northing_first"})
    assert (first.code, back.context["rows"][0]["row"].name) == ("G1", "gate")
    assert back.context["rows"][0]["action"] == "new point"


def test_a_code_that_is_not_known_says_so_both_ways(desk, site):
    answer = look(desk, site, table("northing_first"))

    again = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, epsg="999999", order=""))

    [[_, _, readings], *_] = again.context["orders"]["first"]
    assert all(text.startswith("EPSG 999999 is not known") for text in readings)


@pytest.mark.parametrize("changes", [{"epsg": "x"}, {"epsg": "999999"}, {"order": "sideways"}])
def test_nonsense_in_the_form_is_said_and_stores_nothing(desk, site, changes):
    answer = look(desk, site, table("northing_first"))

    sent = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, take="yes", **changes))

    assert sent.status_code == 200
    assert Point.objects.count() == 5


def test_a_file_with_names_is_asked_for_no_order(desk, site):
    answer = look(desk, site, "code,lat,lon\nX,-45.13100,170.10100")

    assert answer.context["orders"] is None
    assert "order" not in answer.context["form"].fields


def test_a_file_of_somewhere_else_says_so_in_both_orders(desk, site):
    answer = look(desk, site, "1,6100000.0,500000.0\n2,6100010.0,500010.0")

    assert answer.content.decode().count("0 of 2 rows fall near the site") == 2
