"""A point is removed with what hangs on it, and put back."""

import uuid

import pytest

from exercises.models import ObservedBearing, Point, Task, Visible
from exercises.usecases.remove_point import CannotRemovePoint, put_point_back, remove_point
from tests import cast


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def point(site, code):
    return site.points.get(code=code)


def observed(site, station, target):
    return ObservedBearing.objects.create(
        site=site,
        client_id=uuid.uuid4(),
        station=point(site, station),
        target=point(site, target),
        bearing_deg=70.0,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )


def remove(desk, site, code):
    return desk.post(f"/sites/{site.pk}/points/{code}/delete/")


def test_what_goes_with_a_point_is_said_before_it_goes(desk, site):
    observed(site, "A", "T1")
    page = desk.get(f"/sites/{site.pk}/points/A/delete/").content.decode()

    assert "3 sight lines" in page
    assert "1 observed bearing<" in page
    assert point(site, "A")


def test_a_removed_point_comes_back_with_all_that_hung_on_it(desk, site):
    bearing = observed(site, "A", "T1")
    before = Point.objects.filter(site=site, code="A").values().get()
    remove(desk, site, "A")
    gone = (site.points.filter(code="A").count(), ObservedBearing.objects.count())
    desk.post(f"/sites/{site.pk}/points/back/")

    assert gone == (0, 0)
    assert Point.objects.filter(site=site, code="A").values().get() == before
    assert Visible.objects.filter(station__code="A").count() == 3
    assert ObservedBearing.objects.get().client_id == bearing.client_id


def test_it_is_put_back_once(desk, site):
    remove(desk, site, "A")
    for _ in range(2):
        desk.post(f"/sites/{site.pk}/points/back/")

    assert site.points.filter(code="A").count() == 1
    assert "Put it back" not in desk.get(f"/sites/{site.pk}/").content.decode()


def test_a_point_of_a_task_stays_and_the_page_says_why(desk, site):
    cast.course_of(site)
    answer = remove(desk, site, "A")

    assert "Point A is used by a task. Take the task out of its course first." in (
        answer.content.decode()
    )
    assert Task.objects.filter(station__code="A").exists()


def test_where_another_has_its_code_by_now_it_does_not_come_back(desk, site):
    remove(desk, site, "A")
    other = point(site, "B")
    other.pk, other.code, other.card_code = None, "A", "AZAZAZ"
    other.save()
    page = desk.post(f"/sites/{site.pk}/points/back/", follow=True).content.decode()

    assert "The site has another point A by now." in page
    assert site.points.filter(code="A").count() == 1


def test_a_line_to_a_point_that_is_gone_stays_gone(site):
    kept = remove_point(point=point(site, "A"))
    remove_point(point=point(site, "T1"))
    put_point_back(site=site, kept=kept)

    assert set(
        Visible.objects.filter(station__code="A").values_list("target__code", flat=True)
    ) == {
        "T2",
        "T3",
    }


def test_a_point_of_another_site_is_not_put_here(ines, site):
    kept = remove_point(point=point(site, "A"))
    with pytest.raises(CannotRemovePoint):
        put_point_back(site=cast.site_of(ines, "Elsewhere"), kept=kept)
