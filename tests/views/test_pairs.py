"""The pair of tasks that shows why the mark matters: offered by the course editor, explained by the
debrief.
"""

import re

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.models import Course, Point, Task
from tests import cast


@pytest.fixture
def course(ines):
    """A site whose marks A and B lie 40 m apart, with T1 to the north of A and T2 to the north of
    B.
    """
    site = cast.site_of(ines)
    a = Position(-45.13, 170.10, 400)
    for code, bearing, distance in (
        ("B", 90, 40),
        ("T1", 0, 200),
        ("T2", 8.7, 263),
        ("T3", 200, 220),
    ):
        place = destination(a, bearing, distance)
        Point.objects.filter(site=site, code=code).update(
            latitude=place.latitude_deg, longitude=place.longitude_deg
        )
    Point.objects.filter(site=site, code="A").update(
        latitude=a.latitude_deg, longitude=a.longitude_deg
    )
    return Course.objects.create(site=site, name="Round")


def take(desk, course, *stations):
    return desk.post(f"/courses/{course.pk}/pair/", {"station": stations}, follow=True)


def stations_offered(desk, course):
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    form = re.search(rf'action="/courses/{course.pk}/pair/">(.*?)</form>', page, re.DOTALL)
    return re.findall(r'name="station" value="(\w+)"', form[1]) if form else []


def test_the_course_editor_offers_a_pair_with_its_drawing(desk, course):
    page = desk.get(f"/courses/{course.pk}/").content.decode()

    assert "Where you stand matters: a pair of tasks" in page
    assert (
        "leads from the A thing (A) to the T1 thing (T1), and from the B thing (B) to the T2 "
        "thing (T2)." in page
    )
    assert "The marks are 40 m apart, the lines 40 m" in page
    assert 'class="pair"' in page


def test_a_pair_is_taken_once_and_not_offered_any_more(desk, course):
    stations = stations_offered(desk, course)
    answer = take(desk, course, *stations)
    take(desk, course, *stations)

    assert "2 tasks added." in answer.content.decode()
    one, other = course.tasks.all()
    assert {(task.kind, task.station.code, task.target.code) for task in (one, other)} == {
        ("follow", "A", "T1"),
        ("follow", "B", "T2"),
    }
    assert (one.given_deg, one.given_north) == (other.given_deg, "magnetic")
    assert stations_offered(desk, course) == []


@pytest.mark.parametrize(
    "stations", [(), ("A",), ("A", "A"), ("T1", "T2"), ("A", "B", "T1"), ("<b>", "B")]
)
def test_a_pair_that_is_not_offered_adds_nothing(desk, course, stations):
    answer = take(desk, course, *stations)

    assert "This pair is not offered any more." in answer.content.decode()
    assert Task.objects.filter(course=course).count() == 0


def test_a_full_course_takes_no_half_of_a_pair(desk, course):
    a, t3 = (course.site.points.get(code=code) for code in ("A", "T3"))
    Task.objects.bulk_create(
        Task(course=course, number=number, kind="sight", station=a, target=t3, north="true")
        for number in range(1, 60)
    )

    answer = take(desk, course, *stations_offered(desk, course))

    assert "A course holds 60 tasks." in answer.content.decode()
    assert course.tasks.count() == 59


def test_the_debrief_explains_the_pair(desk, course, ines):
    take(desk, course, *stations_offered(desk, course))
    made = cast.class_of(ines, course=course)
    ((mia, _),) = cast.join(made, "Mia")
    cast.send(made, mia, ("1", "T1"))

    page = desk.get(f"/classes/{made.pk}/debrief/alone/").content.decode()

    assert re.search(r"Tasks 1 and 2: \d{3}° magnetic", page)
    assert "who starts at the wrong mark ends at the wrong thing" in page
    assert "turns by 39° where it is 50 m away, by 22° at 100 m and by 8° at 300 m." in page


def test_a_course_without_a_pair_has_no_such_part(desk, open_class):
    ((mia, _),) = cast.join(open_class, "Mia")
    cast.send(open_class, mia, ("1", "044"))

    assert (
        "Where you stand matters"
        not in desk.get(f"/classes/{open_class.pk}/debrief/alone/").content.decode()
    )
