"""The figures of one row of the ground check add up as they are shown."""

import re
from decimal import Decimal

import pytest

from tests import cast
from tests.views.test_ground import line

READ = (("A", "B", "066.5", "246"), ("A", "T1", "044", ""), ("B", "T3", "247.25", ""))


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


@pytest.fixture
def page(desk, site):
    """The ground check with bearings read to parts of a degree, one with a compass set for the
    declination.
    """
    for start, end, fore, back in READ:
        line(desk, site, start, end, fore=fore, back=back)
    line(desk, site, "A", "T2", fore="131", back="", north="true", compass="2")
    return desk.get(f"/sites/{site.pk}/ground/").context


def figure(text):
    return Decimal(re.sub(r"[°+]| \w+$", "", text).replace("−", "-"))


def test_off_is_read_minus_computed(page):
    rows = page["rows"]

    assert [row["read"] for row in rows] == [
        "066.5° magnetic",
        "246° magnetic",
        "044° magnetic",
        "247.2° magnetic",
        "131° true",
    ]
    for row in rows:
        assert row["computed"].split()[1] == row["read"].split()[1]
        assert figure(row["read"]) - figure(row["computed"]) == figure(row["off"])


def test_left_over_is_off_without_station_and_compass(page):
    stations = {row["station"]: figure(row["estimate"]) for row in page["stations"]}
    compasses = {row["number"]: figure(row["estimate"]) for row in page["compasses"]}

    for row in page["rows"]:
        rest = figure(row["off"]) - stations[row["from"]] - compasses[row["row"].compass]
        assert figure(row["left"]) == rest


def test_fore_and_back_differ_from_180_by_what_stands_beside_them(page):
    (pair,) = page["pairs"]

    assert (pair["fore"], pair["back"], pair["off"]) == ("066.5", "246", "−0.5°")


def test_no_station_is_at_fault_with_certainty(desk, site):
    for target, read in (("T1", "033"), ("T2", "175"), ("T3", "280")):
        line(desk, site, "B", target, fore=read, back="")
    for target, read in (("T1", "044"), ("T2", "104"), ("T3", "274")):
        line(desk, site, "A", target, fore=read, back="")

    stations = desk.get(f"/sites/{site.pk}/ground/").context["stations"]

    assert [one["probability"] for one in stations if one["station"] == "B"] == [">99%"]
