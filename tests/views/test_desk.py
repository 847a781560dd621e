import pytest

from exercises.models import Course, CourseClass, Point, Site, Task
from tests import cast

POINT = {
    "code": "T9",
    "name": "the mast",
    "latitude": "-45.131",
    "longitude": "170.101",
    "elevation_m": "400",
    "accuracy_m": "1",
    "method": "receiver",
    "mark": "",
    "is_target": "on",
}


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def test_a_site_is_made(desk):
    desk.post(
        "/sites/new/",
        {
            "name": "Tarn",
            "place": "44.7, -63.9",
            "grid_epsg": "",
            "cautions": "Mind the tide.",
            "keep": "yes",
        },
    )

    assert Site.objects.get().cautions == "Mind the tide."


@pytest.mark.parametrize(
    "changes",
    [
        {"place": "95, -63.9"},
        {"place": "nan, -63.9"},
        {"place": ""},
        {"place": "44.7, abc"},
        {"place": "85, -63.9"},  # no UTM there
        {"grid_epsg": "3857"},
        {"grid_epsg": "4326"},
        {"grid_epsg": "2193"},
        {"grid_epsg": "2263"},
        {"place": "23.9, 121", "grid_epsg": "3828"},  # a datum that none can turn
        {"grid_epsg": "99999999999"},
        {"name": "x" * 81},
        {"name": ""},
    ],
)
def test_a_site_that_cannot_be_is_refused_and_stays_typed(desk, changes):
    answer = desk.post(
        "/sites/new/",
        {
            "name": "Tarn",
            "place": "44.7, -63.9",
            "grid_epsg": "",
            "cautions": "typed",
            "keep": "yes",
            **changes,
        },
    )

    assert (answer.status_code, Site.objects.count()) == (200, 0)
    assert b"typed" in answer.content


def test_two_sites_of_one_name_are_refused_in_words(desk, site):
    answer = desk.post("/sites/new/", {"name": site.name, "place": "-45, 170", "keep": "yes"})

    assert b"You have a site of that name already." in answer.content


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        pytest.param({"code": "T1"}, "point of that code already", id="code twice"),
        pytest.param({"code": "t1"}, "point of that code already", id="code twice, small letters"),
        pytest.param({"code": "T 9"}, "capital letters or digits", id="space in code"),
        pytest.param({"latitude": "45.131"}, "South is negative", id="hemisphere"),
        pytest.param({"longitude": "-170.101"}, "West is negative", id="other hemisphere"),
        pytest.param({"latitude": "-45.9"}, "km from Test ground", id="far away"),
        pytest.param({"latitude": "95"}, "less than or equal to 90", id="off the Earth"),
        pytest.param({"latitude": "nan"}, "is not a latitude", id="no number"),
        pytest.param(
            {"longitude": "170 06.0 S"}, "belongs to the other one", id="letter of the other axis"
        ),
        pytest.param({"is_target": ""}, "a point is a station, a target, or both", id="neither"),
        pytest.param({"accuracy_m": "0"}, "greater than or equal to 0.001", id="accuracy"),
    ],
)
def test_a_point_that_cannot_be_is_refused_in_words_and_nothing_changes(desk, site, changes, words):
    answer = desk.post(f"/sites/{site.pk}/points/new/", {**POINT, **changes})

    assert words in answer.content.decode()
    assert (Point.objects.count(), "the mast" in answer.content.decode()) == (5, True)


def test_exchanged_latitude_and_longitude_are_noticed(desk, ines):
    site = Site.objects.create(owner=ines, name="Cove", latitude=44.5, longitude=-63.9)

    answer = desk.post(
        f"/sites/{site.pk}/points/new/", {**POINT, "latitude": "-63.9", "longitude": "44.5"}
    )

    assert "latitude and longitude exchanged" in answer.content.decode()


def test_a_point_that_a_task_uses_is_not_deleted_and_says_why(desk, ines, site):
    cast.course_of(site)

    answer = desk.post(f"/sites/{site.pk}/points/T1/delete/", follow=True)

    assert b"is used by a task" in answer.content
    assert Point.objects.filter(code="T1").exists()


def test_a_task_is_added_with_a_tolerance_by_name(desk, site):
    course = Course.objects.create(site=site, name="Round")
    point = {point.code: point.pk for point in site.points.all()}

    desk.post(
        f"/courses/{course.pk}/",
        {
            "kind": "sight",
            "station": point["A"],
            "target": point["T1"],
            "north": "grid",
            "preset": "beginner",
        },
    )

    task = Task.objects.get()
    assert (task.number, task.full_credit_deg, task.part_credit_deg) == (1, 10, 20)


@pytest.mark.parametrize(
    "changes",
    [
        {"target": ""},
        {"kind": "guess"},
        {"station": "0"},
        {"preset": "", "full_credit_deg": ""},
        {"preset": "", "full_credit_deg": "9", "part_credit_deg": "3"},
        {"kind": "convert", "given_deg": ""},
        {"kind": "convert", "given_deg": "10", "given_north": "grid"},
        {"kind": "follow", "given_deg": "400"},
        {"kind": "map", "north": "magnetic"},
    ],
)
def test_a_task_that_cannot_be_is_refused(desk, site, changes):
    course = Course.objects.create(site=site, name="Round")
    point = {point.code: point.pk for point in site.points.all()}
    answer = desk.post(
        f"/courses/{course.pk}/",
        {
            "kind": "sight",
            "station": point["A"],
            "target": point["T1"],
            "north": "grid",
            "preset": "usual",
            **changes,
        },
    )

    assert (answer.status_code, Task.objects.count()) == (200, 0)
    assert b'role="alert"' in answer.content


def test_a_station_that_is_its_own_target_is_refused_in_words(desk, site):
    site.points.filter(code="A").update(is_target=True)
    course = Course.objects.create(site=site, name="Round")
    own = site.points.get(code="A").pk

    answer = desk.post(
        f"/courses/{course.pk}/",
        {"kind": "sight", "station": own, "target": own, "north": "grid", "preset": "usual"},
    )

    assert b"A station cannot be its own target" in answer.content


@pytest.mark.parametrize(
    "address",
    [
        "/classes/999999999999999999999999/",
        "/sites/0/",
        "/courses/1/tasks/99999999999999999999999/up/",
        "/classes/1/people/99999999999999999999999/band/",
        "/sites/1/points/%00/",
        "/c/%F0%9F%98%80/",
        "/c/" + "A" * 5000 + "/join/",
    ],
)
def test_an_address_that_leads_nowhere_is_a_404_and_no_more(desk, open_class, address):
    answer = desk.post(address) if address.endswith(("up/", "band/")) else desk.get(address)

    assert answer.status_code == 404


def test_a_code_that_is_taken_leaves_the_page_about_the_point_it_was(desk, site):
    # 2026-11-25: the heading and the button to delete were about the other point.
    answer = desk.post(
        f"/sites/{site.pk}/points/A/",
        {
            "code": "B",
            "name": "x",
            "latitude": "-45.13",
            "longitude": "170.10",
            "elevation_m": "1",
            "accuracy_m": "1",
            "method": "map",
            "mark": "peg",
        },
    )

    content = answer.content.decode()
    assert "<h1>Point A</h1>" in content
    assert f"/sites/{site.pk}/points/A/delete/" in content


def test_tolerances_that_are_typed_overrule_the_one_by_name(desk, site):
    # 2026-11-25: the preselected name won, and nothing was said.
    course = cast.course_of(site)
    point = {point.code: point.pk for point in site.points.all()}

    desk.post(
        f"/courses/{course.pk}/",
        {
            "kind": "sight",
            "station": point["A"],
            "target": point["T1"],
            "north": "true",
            "preset": "usual",
            "full_credit_deg": "7",
            "part_credit_deg": "9",
        },
    )

    task = course.tasks.last()
    assert (task.full_credit_deg, task.part_credit_deg) == (7, 9)


def test_a_bearing_to_follow_that_leads_elsewhere_names_the_task_and_the_target(desk, ines, site):
    course = cast.course_of(site)
    course.tasks.filter(kind="follow").update(given_deg=100)

    assert "Task 2: The bearing given is" in desk.get(f"/courses/{course.pk}/").content.decode()


def test_when_the_answer_is_told_is_chosen_task_by_task(desk, ines):
    course = cast.course_of(cast.site_of(ines))

    desk.post(
        f"/courses/{course.pk}/policies/", {"task1": "second_try", "task2": "", "task3": "released"}
    )

    assert list(course.tasks.values_list("number", "feedback")) == [
        (1, "second_try"),
        (2, ""),
        (3, "released"),
    ]


@pytest.mark.parametrize(
    "typed", [{"task1": "never"}, {"task1": "<b>"}, {"task3": "at_once", "task1": "x" * 500}]
)
def test_a_policy_that_is_none_changes_nothing_and_is_said(desk, ines, typed):
    course = cast.course_of(cast.site_of(ines))

    page = desk.post(f"/courses/{course.pk}/policies/", typed, follow=True)

    assert list(course.tasks.values_list("feedback", flat=True)) == ["", "", ""]
    assert "Choose one of the listed ways for each task." in page.content.decode()


def test_a_point_whose_height_is_not_known_shows_none_and_says_what_is_assumed(desk, site):
    desk.post(f"/sites/{site.pk}/points/new/", {**POINT, "elevation_m": ""})

    page = " ".join(desk.get(f"/sites/{site.pk}/").content.decode().split())

    assert Point.objects.get(code="T9").elevation_m is None
    assert "The height of 1 point is not known: declination is taken at sea level there." in page
    assert page.count(">400 m</td>") == 5
    assert page.count(">0 m</td>") == 0


def test_a_height_of_zero_is_shown_as_one(desk, site):
    desk.post(f"/sites/{site.pk}/points/new/", {**POINT, "elevation_m": "0"})

    page = " ".join(desk.get(f"/sites/{site.pk}/").content.decode().split())

    assert Point.objects.get(code="T9").elevation_m == 0.0
    assert page.count(">0 m</td>") == 1
    assert "taken at sea level" not in page


def test_a_site_without_points_says_first_what_to_do_and_shows_no_empty_map(desk, ines):
    empty = Site.objects.create(owner=ines, name="Tarn", latitude=-45.13, longitude=170.1)
    page = desk.get(f"/sites/{empty.pk}/").content.decode()

    assert page.index("No point yet.") < page.index("Courses")
    assert [part for part in ("data-map-frame", "map-page.js", "<table") if part in page] == []


def test_a_site_with_a_point_has_its_map_and_table(desk, site):
    page = desk.get(f"/sites/{site.pk}/").content.decode()

    assert [part for part in ("No point yet.", "data-map-frame", "<table") if part in page] == [
        "data-map-frame",
        "<table",
    ]


def test_the_newest_class_stands_first_and_sites_by_name(desk, ines, site):
    course = cast.course_of(site)
    for day in (5, 20, 11):
        CourseClass.objects.create(
            owner=ines,
            course=course,
            name=f"{day}",
            date=f"2026-06-{day:02}",
            names_until=cast.DAY,
            code=f"C{day:05}",
        )
    Site.objects.create(owner=ines, name="Alder", latitude=-45, longitude=170)

    shown = desk.get("/sites/").context

    assert [one.name for one in shown["classes"]] == ["20", "11", "5"]
    assert [one.name for one in shown["sites"]] == ["Alder", "Test ground"]


def test_the_points_of_a_site_stand_as_one_counts(desk, site):
    for code in ("T10", "B0"):
        desk.post(f"/sites/{site.pk}/points/new/", {**POINT, "code": code})

    shown = desk.get(f"/sites/{site.pk}/").context["points"]

    assert [one.code for one in shown] == ["A", "B", "B0", "T1", "T2", "T3", "T10"]
