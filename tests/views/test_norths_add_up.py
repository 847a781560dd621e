"""The three norths of one line on the key and the site's page: their figures add up to those that
are shown for the norths.
"""

import re
from decimal import Decimal

import pytest

from exercises.models import Point
from tests import cast
from tests.views.test_prints import text as printed

SHOWN = re.compile(
    r"Magnetic north lies ([\d.]+)° (east|west) of true north, grid north ([\d.]+)° (east|west)"
)
NORTHS = ("true", "grid", "magnetic")


def plain(page):
    return re.sub(r"<[^>]+>", " ", page.content.decode())


def signed(figure, side):
    return Decimal(figure) * (1 if side == "east" else -1)


def assert_adds_up(text, lines):
    """Every line shown, by the one sentence about the norths, added up as people do."""
    declination, to_magnetic, convergence, to_grid = SHOWN.search(text).groups()
    found = [list(map(Decimal, re.findall(rf"(\d{{3}}\.\d)° {north}", text))) for north in NORTHS]
    assert list(map(len, found)) == [lines] * 3
    for true, grid, magnetic in zip(*found, strict=True):
        assert (true - signed(declination, to_magnetic) - magnetic) % 360 == 0
        assert (true - signed(convergence, to_grid) - grid) % 360 == 0


def test_the_key_on_the_screen_adds_up(desk, open_class):
    text = plain(desk.get(f"/classes/{open_class.pk}/key/"))

    assert len(SHOWN.findall(text)) == 1
    assert_adds_up(text, 3)


def test_the_printed_key_adds_up(desk, open_class):
    text = " ".join(printed(desk.get(f"/classes/{open_class.pk}/print/key.pdf")).split())

    assert_adds_up(text, 3)


def test_the_sight_lines_of_a_site_add_up(desk, open_class):
    text = plain(desk.get(f"/sites/{open_class.course.site_id}/"))

    assert_adds_up(text, 6)


@pytest.fixture
def far_away(open_class):
    """Station B some 60 km farther south, where other figures are shown."""
    Point.objects.filter(site=open_class.course.site, code="B").update(latitude=-45.7)
    return open_class


def test_a_key_with_other_norths_elsewhere_says_for_which_tasks(desk, ines, far_away):
    other = cast.class_of(ines, is_open=False, course=far_away.course)

    text = plain(desk.get(f"/classes/{other.pk}/key/"))

    sentences = re.findall(r"Tasks? ([\d, ]+): Magnetic north lies", text)
    assert sentences == ["1, 3", "2"]


def test_a_site_with_other_norths_elsewhere_says_from_where(desk, far_away):
    text = plain(desk.get(f"/sites/{far_away.course.site_id}/"))

    assert re.findall(r"From (\w+): Magnetic north lies", text) == ["B"]
