"""The check's buttons and the proposal at the desk."""

import itertools
import re

import pytest

from exercises.models import Course, Hazard, ObservedBearing
from tests import cast


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


def was(course, number):
    return course.tasks.select_related("station", "target").get(number=number).fingerprint()


def press(desk, course, verb, number=None, **fields):
    more = {"task": number, "was": was(course, number)} if number else {}
    return desk.post(f"/courses/{course.pk}/change/", {"verb": verb, **more, **fields}, follow=True)


def buttons(page):
    """The buttons of the check as (words, fields)."""
    forms = re.findall(
        r'<form method="post" action="/courses/\d+/change/">(.*?)</form>', page, re.DOTALL
    )
    return [
        (
            re.search(r"<button[^>]*>(.*?)</button>", form)[1],
            dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)),
        )
        for form in forms
    ]


def test_a_button_of_the_check_does_what_it_says(desk, course):
    course.tasks.filter(number=1).update(full_credit_deg=1, part_credit_deg=2)
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    assert "Full credit within 1° is tighter than the answer&#x27;s own uncertainty" in page
    words, fields = next(one for one in buttons(page) if one[1]["verb"] == "widen")

    answer = desk.post(f"/courses/{course.pk}/change/", fields, follow=True)

    task = course.tasks.get(number=1)
    assert words == f"Widen to {task.full_credit_deg:g}°, {task.part_credit_deg:g}°"
    assert "is tighter than" not in answer.content.decode()
    assert f"Task 1: full credit within {task.full_credit_deg:g}°" in answer.content.decode()


def test_every_button_of_the_check_can_be_pressed(desk, course):
    course.tasks.filter(number=1).update(full_credit_deg=1, part_credit_deg=2)
    offered = buttons(desk.get(f"/courses/{course.pk}/").content.decode())
    assert {fields["verb"] for _, fields in offered} >= {"widen", "drop"}

    for _, fields in offered:
        assert desk.post(f"/courses/{course.pk}/change/", fields).status_code == 302


def test_a_task_is_dropped_once_though_the_button_is_pressed_twice(desk, course):
    fields = {"verb": "drop", "task": 1, "was": was(course, 1)}
    desk.post(f"/courses/{course.pk}/change/", fields)
    answer = desk.post(f"/courses/{course.pk}/change/", fields, follow=True)

    assert course.tasks.count() == 2
    assert "changed meanwhile" in answer.content.decode()


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"verb": "explode"},
        {"verb": "widen", "task": "1"},
        {"verb": "retarget", "task": "1"},
        {"verb": "drop"},
        {"verb": "reorder"},
        {"verb": "reorder", "order": "1 1 1"},
        {"verb": "reorder", "order": "x y z"},
        {"verb": "reorder", "order": "\u00b2"},
        {"verb": "widen", "task": "1", "full_credit_deg": "9", "part_credit_deg": "3"},
        {"verb": "widen", "task": "1", "full_credit_deg": "nan", "part_credit_deg": "nan"},
        {"verb": "drop", "task": "99"},
        {"verb": "retarget", "task": "1", "target": "<b>"},
    ],
)
def test_a_change_that_is_none_changes_nothing(desk, course, fields):
    before = list(course.tasks.values())

    answer = desk.post(
        f"/courses/{course.pk}/change/", {"was": was(course, 1), **fields}, follow=True
    )

    assert answer.status_code == 200
    assert list(course.tasks.values()) == before


def test_the_course_page_shows_chances_measures_and_what_tasks_show(desk, course):
    page = desk.get(f"/courses/{course.pk}/?people=12").content.decode()

    assert all(
        words in page
        for words in (
            "The course as a whole",
            "Widest gap on the dial",
            "Walk: A → B → A, 400 m as the crow flies and 0 m up, 5 min by Naismith",
            "Declination left out",
            "Look alike",
            "survey 0.1°",
        )
    )


@pytest.mark.parametrize("tasks", [3, 30])
def test_a_course_is_checked_in_a_fixed_number_of_queries(
    desk, course, django_assert_num_queries, tasks
):
    first = course.tasks.get(number=1)
    for number in range(4, tasks + 1):
        first.pk, first.number = None, number
        first.save()

    with django_assert_num_queries(18):
        desk.get(f"/courses/{course.pk}/")


def propose(desk, course, query="number=3&kind=sight&north=mixed&preset=usual"):
    return desk.get(f"/courses/{course.pk}/propose/?{query}")


def test_before_anything_is_asked_a_form_is_shown(desk, course):
    answer = desk.get(f"/courses/{course.pk}/propose/")

    assert answer.context["picks"] == []
    assert "How many tasks" in answer.content.decode()


def test_a_proposal_explains_its_picks(desk, course):
    answer = propose(desk, course)

    assert len(answer.context["picks"]) == 3
    assert "The nearest other answer is" in answer.content.decode()
    assert course.tasks.count() == 3  # nothing is stored by looking


def test_a_proposal_never_says_that_full_credit_is_certain(desk, course):
    page = propose(desk, course).content.decode()

    assert "Perfect technique earns full credit &gt;99% of the time." in page
    assert "100%" not in page


def tarn_before(course, target):
    """Water right before a target of the course's site, across the line from the middle."""
    point = course.site.points.get(code=target)
    side = 0.0003
    return Hazard.objects.create(
        site=course.site,
        kind="water",
        name="The tarn",
        is_area=True,
        corners=[
            [point.latitude + north * side, point.longitude + east * side]
            for north, east in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ],
    )


def test_lines_into_a_danger_are_not_proposed_and_the_page_says_how_many(desk, course):
    course.tasks.all().delete()
    tarn_before(course, "T1")

    answer = propose(desk, course, "number=6&kind=follow&north=true&preset=usual")

    picks = answer.context["picks"]
    assert "T1" not in {pick["target"] for pick in picks}
    assert {pick["target"] for pick in picks} == {"T2", "T3"}
    page = " ".join(answer.content.decode().split())
    assert (
        "No more than 4 lines are left that are safe. 2 lines were left out: who walks along them"
        in page
    )


def test_a_line_into_a_danger_that_is_kept_is_shown_as_one(desk, course):
    course.tasks.all().delete()
    tarn_before(course, "T1")

    answer = propose(
        desk, course, "number=3&kind=follow&north=true&preset=usual&keep=A%3ET1%3Etrue"
    )

    assert [pick["target"] for pick in answer.context["picks"] if pick["is_danger"]] == ["T1"]
    page = answer.content.decode()
    assert '<strong class="danger">Danger.</strong>' in page
    assert "The line itself leads into “The tarn” (Water)" in page


def test_a_danger_comes_first_in_the_check(desk, course):
    tarn_before(course, "T3")  # task 2 follows a bearing there
    course.tasks.filter(number=1).update(full_credit_deg=1)

    page = desk.get(f"/courses/{course.pk}/").content.decode()

    check = page[page.index("What the check found") :]
    assert check.index("Task 2:") < check.index("Danger.") < check.index("leads into “The tarn”")
    assert check.index("Danger.") < check.index("Task 1:")


def test_a_band_is_narrowed_as_the_check_offers(desk, course):
    answer = press(desk, course, "narrow", 1, full_credit_deg="4.5", part_credit_deg="8.5")

    task = course.tasks.get(number=1)
    assert (task.full_credit_deg, task.part_credit_deg) == (4.5, 8.5)
    assert "Task 1: full credit within 4.5°, part credit within 8.5°." in answer.content.decode()


def test_a_station_that_was_found_at_fault_is_named_in_the_check_and_not_proposed(desk, course):
    points = {point.code: point for point in course.site.points.all()}
    ground = course.site.as_domain()
    # the same compass is sound at B, so that it is not the compass
    for station, target in itertools.product("AB", ("T1", "T2", "T3")):
        line = ground.sight_line(station, target)
        ObservedBearing.objects.create(
            site=course.site,
            station=points[station],
            target=points[target],
            bearing_deg=(line.bearing_deg - 25.6 + (12.0 if station == "A" else 0.0)) % 360.0,
            north="magnetic",
            compass="1",
            observed_at=cast.NOW,
            received_at=cast.NOW,
        )

    page = desk.get(f"/courses/{course.pk}/").content.decode()
    course.tasks.all().delete()
    picks = propose(desk, course, "number=2&kind=sight&north=true&preset=usual").context["picks"]

    assert "At station A the needle is off by" in page
    assert {pick["station"] for pick in picks} == {"B"}


def test_a_pick_is_refused_and_taken_back(desk, course):
    first = propose(desk, course).context["picks"][0]
    answer = desk.get(f"/courses/{course.pk}/propose/{first['refuse']}")
    assert (first["station"], first["target"]) not in [
        (pick["station"], pick["target"]) for pick in answer.context["picks"]
    ]

    ((_, back),) = answer.context["refused"]
    assert first["line"] in [
        pick["line"] for pick in desk.get(f"/courses/{course.pk}/propose/{back}").context["picks"]
    ]


def test_a_pick_that_is_kept_stays_when_another_is_refused(desk, course):
    kept, other, *_ = propose(desk, course).context["picks"]
    answer = desk.get(f"/courses/{course.pk}/propose/{kept['keep']}")
    refuse = next(
        pick["refuse"] for pick in answer.context["picks"] if pick["line"] == other["line"]
    )

    lines = {
        pick["line"]: pick["kept"]
        for pick in desk.get(f"/courses/{course.pk}/propose/{refuse}").context["picks"]
    }
    assert lines[kept["line"]] is True
    assert other["line"] not in lines


@pytest.mark.parametrize("place", [0, 1, 2])
def test_another_line_changes_its_own_row_alone(desk, course, place):
    course.tasks.all().delete()
    before = propose(desk, course).context["picks"]
    address = before[place]["refuse"]

    after = desk.get(f"/courses/{course.pk}/propose/{address}").context["picks"]

    changed = [
        number
        for number, (one, other) in enumerate(zip(before, after, strict=True))
        if one["line"] != other["line"]
    ]
    assert changed == [place]
    assert [pick["kept"] for pick in after] == [False, False, False]
    assert address.endswith(f"#{before[place]['part']}")


def test_a_standing_line_that_leads_into_a_danger_by_now_does_not_stay(desk, course):
    course.tasks.all().delete()
    asked = "number=3&kind=follow&north=true&preset=usual&standing=A%3ET1%3Etrue"
    standing = propose(desk, course, asked).context["picks"]
    assert standing[0]["line"] == "A>T1>true"
    tarn_before(course, "T1")

    picks = propose(desk, course, asked).context["picks"]

    assert len(picks) == 3
    assert "T1" not in {pick["target"] for pick in picks}


def take(desk, course, *lines):
    return desk.post(
        f"/courses/{course.pk}/propose/take/",
        {"number": 3, "kind": "sight", "north": "mixed", "preset": "usual", "take": lines},
        follow=True,
    )


def test_a_proposal_is_taken_into_the_course_once(desk, course):
    for _ in range(2):
        take(desk, course, "B>T1>true", "B>T2>magnetic")

    assert list(
        course.tasks.filter(number__gt=3).values_list(
            "number", "station__code", "target__code", "north"
        )
    ) == [(4, "B", "T1", "true"), (5, "B", "T2", "magnetic")]


@pytest.mark.parametrize("line", ["A>ZZ>true", "A>A>true", "T1>T2>true"])
def test_a_line_that_is_not_there_takes_nothing(desk, course, line):
    answer = take(desk, course, "B>T1>true", line)

    assert course.tasks.count() == 3
    assert "is not on this site any more" in answer.content.decode()


@pytest.mark.parametrize(
    "query",
    [
        "number=0&kind=sight&north=mixed&preset=usual",
        "number=999&kind=sight&north=mixed&preset=usual",
        "number=3&kind=convert&north=mixed&preset=usual",
        "number=3&kind=map&north=mixed&preset=usual",
        "number=3&kind=map&north=magnetic&preset=usual",
        "number=3&kind=sight&north=up&preset=usual",
        "number=3&kind=sight&north=mixed&preset=x",
        "number=x",
    ],
)
def test_a_proposal_that_cannot_be_is_refused_in_words(desk, course, query):
    answer = propose(desk, course, query)

    assert (answer.status_code, answer.context["picks"]) == (200, [])
    assert answer.context["form"].errors


@pytest.mark.parametrize(
    "query",
    [
        "keep=x",
        "keep=A>T1",
        "keep=A>T1>up",
        "refuse=>>>",
        "keep=ZZ>T1>true",
        "refuse=A>T1>true&" * 300,
    ],
)
def test_lines_in_the_address_that_are_none_are_passed_over(desk, course, query):
    assert (
        len(
            propose(desk, course, f"number=3&kind=sight&north=mixed&preset=usual&{query}").context[
                "picks"
            ]
        )
        == 3
    )


@pytest.mark.parametrize("kind", ["back", "map"])
def test_lines_to_turn_round_or_to_measure_on_the_map_are_proposed_too(desk, course, kind):
    picks = propose(desk, course, f"number=2&kind={kind}&north=grid&preset=paper").context["picks"]
    desk.post(
        f"/courses/{course.pk}/propose/take/",
        {
            "number": 2,
            "kind": kind,
            "north": "grid",
            "preset": "paper",
            "take": [pick["line"] for pick in picks],
        },
    )

    assert (
        list(course.tasks.filter(kind=kind).values_list("north", "given_deg"))
        == [("grid", None)] * 2
    )


def test_a_line_in_a_north_that_its_kind_is_not_asked_in_takes_nothing(desk, course):
    answer = desk.post(
        f"/courses/{course.pk}/propose/take/",
        {"number": 3, "kind": "map", "north": "grid", "preset": "usual", "take": ["A>T1>magnetic"]},
        follow=True,
    )

    assert course.tasks.count() == 3
    assert "“Measure on the map” is not asked in degrees magnetic." in answer.content.decode()


def test_a_site_without_stations_says_what_is_missing(desk, ines):
    site = cast.site_of(ines)
    site.points.update(mark="", is_target=True)
    course = Course.objects.create(site=site, name="Round")

    assert "No station sees a target here." in propose(desk, course).content.decode()
