"""What a course can show, on its page at the desk."""

import re

import pytest

from tests import cast


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


def section(desk, course, query=""):
    """The part of the course's page that says what it can show."""
    return desk.get(f"/courses/{course.pk}/shows/{query}").content.decode()


def test_the_course_page_says_what_the_course_can_show(desk, course):
    shown = section(desk, course)

    assert 'value="12"' in shown
    assert "With 12 people who read every task once" in shown
    assert re.search(r"Reversed</th>\s*<td>[a-z ]+</td>\s*<td class=\"number\">\d+%", shown)
    assert re.search(r'row">A</th>\s*<td class="number">\d+\.\d°</td>', shown)


def test_the_address_says_for_how_many_people(desk, course):
    many, two = section(desk, course, "?people=60"), section(desk, course, "?people=2")

    def least(shown):
        return re.search(r'row">A</th>\s*<td class="number">(\S+)</td>', shown)[1]

    assert float(least(many)[:-1]) < float(least(section(desk, course))[:-1])
    assert least(two) == "none"
    assert "fewer than three people" in two


@pytest.mark.parametrize("people", ["0", "101", "-3", "x", "", "1e3", "\u00b2"])
def test_a_number_of_people_that_is_none_is_refused_in_words(desk, course, people):
    shown = section(desk, course, f"?people={people}")

    assert 'role="alert"' in shown
    assert "With 12 people" in shown


def test_the_task_that_would_add_most_is_added_by_its_button(desk, course):
    shown = section(desk, course)
    fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', shown))
    station, target, north = fields["take"].replace("&gt;", ">").split(">")
    assert f"sight {station} → {target}, asked in {north}" in shown

    for _ in range(2):  # pressed twice
        desk.post(
            f"/courses/{course.pk}/propose/take/", fields | {"take": f"{station}>{target}>{north}"}
        )

    added = course.tasks.select_related("station", "target").filter(number__gt=3)
    assert [(one.kind, one.station.code, one.target.code, one.north) for one in added] == [
        ("sight", station, target, north)
    ]


def test_a_course_without_tasks_says_nothing_of_what_it_can_show(desk, course):
    course.tasks.all().delete()

    assert "What this course can show" not in desk.get(f"/courses/{course.pk}/").content.decode()


def test_a_course_of_sums_alone_has_no_stations(desk, course):
    course.tasks.exclude(kind="convert").delete()

    shown = section(desk, course)

    assert "Smallest bias" not in shown
    assert "Declination left out" in shown


def test_a_page_that_is_loaded_again_says_the_same(desk, course):
    def tables(shown):
        return re.findall(r"<table.*?</table>", shown, re.DOTALL)

    assert tables(section(desk, course)) == tables(section(desk, course))
