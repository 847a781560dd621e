"""The rotation at the desk: by the clock, with who stands where and what does not fit."""

import re

import pytest

from exercises.models import Group
from tests import cast

ASKED = {"begin": "10:00", "minutes": "90", "helpers": "1"}


@pytest.fixture
def grouped(ines):
    """A class on stations A and B with two groups of two."""
    course = cast.course_of(cast.site_of(ines))
    made = cast.class_of(ines, course=course)
    people = cast.join(made, "Ana", "Bo", "Cy", "Dee")
    for name, members in (("Red", people[:2]), ("Blue", people[2:])):
        group = Group.objects.create(course_class=made, name=name)
        for person, _ in members:
            person.group = group
            person.save()
    return made


def page(desk, made, **changes):
    answer = desk.get(f"/classes/{made.pk}/rotation/", {**ASKED, **changes})
    return " ".join(answer.content.decode().split())


def table(text):
    rows = re.findall(r'<th scope="row">(\w+)</th>(.*?)</tr>', text)
    return {group: re.findall(r"<strong>(\w+)</strong>", cells) for group, cells in rows}


def test_each_group_is_at_each_station_once_and_never_two_at_one(desk, grouped):
    rows = table(page(desk, grouped))

    assert {group: sorted(at) for group, at in rows.items()} == {
        "Blue": ["A", "B"],
        "Red": ["A", "B"],
    }
    assert all(red != blue for red, blue in zip(rows["Red"], rows["Blue"], strict=True))


def test_rounds_stand_by_the_clock(desk, grouped):
    text = page(desk, grouped, begin="13:30")

    assert re.findall(r'<th scope="col">(\d\d:\d\d)–\d\d:\d\d</th>', text)[0] == "13:30"
    assert re.search(r"All are through at 1[34]:\d\d\.", text)


def test_the_same_address_gives_the_same_rotation(desk, grouped):
    assert table(page(desk, grouped)) == table(page(desk, grouped))


def test_what_there_is_no_time_for_is_said(desk, grouped):
    text = page(desk, grouped, minutes="12")

    assert re.search(r"left out: there is no time for (it|them)|does not get to", text)


def test_too_little_time_is_said_in_words(desk, grouped):
    assert "minutes are too few for a single round" in page(desk, grouped, minutes="1")


def test_without_groups_the_way_to_them_is_shown(desk, open_class):
    text = page(desk, open_class)

    assert "There are no groups yet." in text
    assert f'href="/classes/{open_class.pk}/roster/"' in text


def test_a_road_between_the_stations_is_crossed_only_where_somebody_keeps_it(desk, grouped):
    # across the straight way from A to B, far beyond both ends
    grouped.course.site.hazards.create(
        kind="road", name="the lane", corners=[[-45.10, 170.1013], [-45.16, 170.1013]]
    )
    refused = page(desk, grouped)
    kept = page(desk, grouped, kept="the lane", helpers="4")

    assert "There is no way from" in refused
    assert "keep the crossing" in kept


@pytest.mark.parametrize("changes", [{"begin": "x"}, {"minutes": "0"}, {"helpers": "-1"}])
def test_what_cannot_be_is_said_at_its_field(desk, grouped, changes):
    text = page(desk, grouped, **changes)

    assert (table(text), 'aria-invalid="true"' in text) == ({}, True)
