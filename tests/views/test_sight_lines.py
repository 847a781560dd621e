"""What a station sees: ticked in a form, within a reach, taken away where tasks ask for it, put
back.
"""

import re

import pytest

from exercises.domain.planning.sights import sights
from exercises.models import Point, Site, Task, Visible
from exercises.presenting import sight_lines
from tests import cast


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def seen(site, code="A"):
    rows = Visible.objects.filter(station__site=site, station__code=code)
    return sorted(rows.values_list("target__code", flat=True))


def address(site, code="A"):
    return f"/sites/{site.pk}/points/{code}/lines/"


def store(desk, site, sees, was, code="A", **more):
    return desk.post(address(site, code), {"sees": sees, "was": " ".join(was), **more})


def ticked(answer):
    return sorted(row["code"] for row in answer.context["rows"] if row["is_ticked"])


def test_the_form_shows_what_is_noted_with_bearing_and_length(desk, site):
    answer = desk.get(address(site))

    assert ticked(answer) == ["T1", "T2", "T3"]
    assert [row["code"] for row in answer.context["rows"]] == ["T3", "T2", "T1"]
    # 300 m at 070 true from a metre north of there; the declination is the model's
    assert re.fullmatch(r"070° true, 0\d\d° magnetic, 300 m", answer.context["rows"][2]["line"])


def test_a_point_that_has_only_a_code_is_not_named_twice(desk, site):
    site.points.filter(code="A").update(name="A")

    page = " ".join(desk.get(address(site)).content.decode().split())

    assert "<h1> What A sees </h1>" in page
    assert str(site.points.get(code="A")) == "A"


def test_lines_are_added_and_taken_away_in_one_request(desk, site):
    store(desk, site, ["T1"], ["T1", "T2", "T3"])
    assert seen(site) == ["T1"]

    answer = store(desk, site, ["T2", "T3"], ["T1"])

    assert seen(site) == ["T2", "T3"]
    assert answer["Location"] == f"/sites/{site.pk}/?station=A#lines"
    page = desk.get(answer["Location"]).content.decode()
    assert "A sees T2, T3 now, and T1 no longer." in page


def test_the_same_request_twice_is_as_once(desk, site):
    for _ in range(2):
        store(desk, site, ["T1"], ["T1", "T2", "T3"])
        store(desk, site, ["T1", "T2"], ["T1"])

    assert seen(site) == ["T1", "T2"]


def test_a_line_that_somebody_noted_meanwhile_stays(desk, site):
    store(desk, site, [], ["T3"])
    store(desk, site, ["T1", "T2", "T3"], ["T1", "T2"])  # of a page from before
    store(desk, site, ["T1"], ["T1", "T2"])  # of a page from before T3

    assert seen(site) == ["T1", "T3"]


def test_what_was_stored_is_put_back_and_that_too(desk, site):
    answer = store(desk, site, ["T1"], ["T1", "T2", "T3"])
    for expected in (["T1", "T2", "T3"], ["T1"]):
        form = re.search(
            r'<form class="notice lines-changed no-print".*?</form>',
            desk.get(answer["Location"]).content.decode(),
            re.DOTALL,
        )[0]
        assert "Put it back" in form
        answer = desk.post(
            re.search('action="(.*?)"', form)[1],
            {
                "was": re.search('name="was" value="(.*?)"', form)[1],
                "sees": re.findall('name="sees" value="(.*?)"', form),
            },
        )

        assert seen(site) == expected


def test_what_is_no_longer_so_is_not_offered_to_be_put_back(desk, site):
    answer = store(desk, site, ["T1"], ["T1", "T2", "T3"])
    Visible.objects.create(station=site.points.get(code="A"), target=site.points.get(code="T2"))

    assert desk.get(answer["Location"]).context["changed"] is None


def test_a_change_is_said_at_its_own_station_and_site_only(desk, ines, site):
    store(desk, site, ["T1"], ["T1", "T2", "T3"])
    other = cast.site_of(ines, "Other ground")  # where it is just so
    Visible.objects.filter(station__site=other, target__code__in=["T2", "T3"]).delete()

    assert desk.get(f"/sites/{site.pk}/").context["changed"] is None
    assert desk.get(f"/sites/{site.pk}/?station=B").context["changed"] is None
    assert desk.get(f"/sites/{other.pk}/?station=A").context["changed"] is None
    assert desk.get(f"/sites/{site.pk}/?station=A").context["changed"]["taken"] == ["T2", "T3"]


def test_a_line_that_tasks_ask_for_is_not_taken_before_they_are_named(desk, site):
    course = cast.course_of(site)  # its first task is A → T1

    answer = store(desk, site, ["T2"], ["T1", "T2", "T3"])

    assert seen(site) == ["T1", "T2", "T3"]
    page = " ".join(answer.content.decode().split())
    assert "Nothing is stored yet: tasks ask for lines that would go." in page
    assert f'A → T1: <a href="/courses/{course.pk}/#task1">task 1 of Short round</a>' in page
    assert "A → T3" not in page
    assert ticked(answer) == ["T2"]  # nothing that was ticked is lost


def test_who_is_sure_takes_it_all_the_same_and_the_task_stays_and_complains(desk, site):
    course = cast.course_of(site)

    store(desk, site, ["T2"], ["T1", "T2", "T3"], sure="yes")

    assert seen(site) == ["T2"]
    assert course.tasks.count() == 3
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    assert "T1 is not noted as seen from A; 1 target is." in page


def test_putting_back_asks_too_and_shows_all_that_is_noted(desk, site):
    store(desk, site, ["T2", "T3"], ["T1", "T2", "T3"])
    store(desk, site, ["T1"], ["T2"])  # T1 for T2, as the button that puts back sends it
    course = cast.course_of(site)

    answer = store(desk, site, ["T2"], ["T1"])

    assert (ticked(answer), answer.context["was"]) == (["T2", "T3"], ["T3", "T1"])
    assert answer.context["in_use"] == {"T1": [course.tasks.get(number=1)]}
    assert seen(site) == ["T1", "T3"]


def test_a_line_beside_those_that_tasks_ask_for_goes_without_a_question(desk, site):
    cast.course_of(site)

    store(desk, site, ["T1", "T2"], ["T1", "T2", "T3"])

    assert seen(site) == ["T1", "T2"]


def test_a_task_of_another_site_stands_in_nobodys_way(desk, ines, site):
    cast.course_of(cast.site_of(ines, "Other ground"))

    store(desk, site, [], ["T1", "T2", "T3"])

    assert seen(site) == []


def test_the_list_names_the_tasks_at_each_line(desk, site):
    course = cast.course_of(site)
    points = {point.code: point for point in site.points.all()}
    Task.objects.create(
        course=course,
        number=4,
        kind="fix",
        station=points["A"],
        target=points["T2"],
        second=points["T3"],
        north="true",
    )

    rows = desk.get(address(site)).context["rows"]

    assert {row["code"]: [task.number for task in row["tasks"]] for row in rows} == {
        "T1": [1],
        "T2": [4],
        "T3": [4],
    }


def test_a_reach_ticks_what_is_near_and_keeps_what_is_noted(desk, site):
    store(desk, site, ["T1"], ["T1", "T2", "T3"])

    answer = desk.get(address(site), {"within": "225"})  # T3 is 220 m off, T2 260, T1 300

    assert ticked(answer) == ["T1", "T3"]
    assert seen(site) == ["T1"]  # nothing is stored by looking


def test_a_station_without_a_line_is_offered_what_the_others_see(desk, site):
    Visible.objects.filter(station__code="B").exclude(target__code="T3").delete()
    Visible.objects.filter(station__code="A").delete()
    # B sees T3 only, 406 m off by the law of cosines, so that 450 m are offered

    answer = desk.get(address(site))

    assert answer.context["reach"]["within"].value() == 450
    assert ticked(answer) == ["T1", "T2", "T3"]
    assert "No line is noted yet. What is near is ticked" in answer.content.decode()
    assert seen(site) == []


def test_where_nothing_is_near_no_tick_is_spoken_of(desk, site):
    store(desk, site, [], ["T1", "T2", "T3"])

    page = desk.get(address(site), {"within": "100"}).content.decode()

    assert "What is near is ticked" not in page
    assert "Tick what is seen from the mark, then save." in page


def test_what_stands_behind_a_rise_is_left_unticked_and_says_why(desk, site):
    Visible.objects.all().delete()
    place = cast.destination(cast.Position(-45.13, 170.10), 70, 150)
    Point.objects.create(
        site=site,
        code="K",
        name="knoll",
        latitude=place.latitude_deg,
        longitude=place.longitude_deg,
        elevation_m=420,
    )

    answer = desk.get(address(site), {"within": "1000"})

    assert ticked(answer) == ["K", "T2", "T3"]
    assert re.search(
        r"By the heights, the ground at K rises 19\.\d m over the line\.", answer.content.decode()
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("9", "greater than or equal to 10."),
        ("20001", "less than or equal to 20000"),
        ("far", "Enter a number."),
        ("", "This field is required."),
        ("nan", "Enter a number."),
    ],
)
def test_a_reach_that_is_none_is_refused_in_words_and_ticks_nothing_new(desk, site, typed, said):
    store(desk, site, ["T1"], ["T1", "T2", "T3"])

    answer = desk.get(address(site), {"within": typed})

    assert said in answer.content.decode()
    assert ticked(answer) == ["T1"]


def test_a_reach_may_be_typed_with_a_comma(desk, site):
    store(desk, site, [], ["T1", "T2", "T3"])

    assert ticked(desk.get(address(site), {"within": "259,5"})) == ["T3"]


def test_names_of_no_target_change_nothing(desk, site):
    store(desk, site, ["\x00", "NOPE", "A", "B", "T1", "T2", "T3"], ["T1", "T2", "T3", "\x00", "Q"])

    assert seen(site) == ["T1", "T2", "T3"]


def test_a_target_that_nobody_stands_on_leads_to_its_form_and_says_what_is_wanted(desk, site):
    answer = desk.get(address(site, "T1"), follow=True)

    assert answer.redirect_chain == [(f"/sites/{site.pk}/points/T1/", 302)]
    assert "Say first where to stand: T1 has no mark." in answer.content.decode()


def test_a_station_without_a_line_says_so_on_the_map_in_its_legend_and_in_the_lists(desk, site):
    store(desk, site, [], ["T1", "T2", "T3"])

    answer = desk.get(f"/sites/{site.pk}/")

    page = " ".join(answer.content.decode().split())
    shown = {
        point["code"]: (point["sign"], point["note"]) for point in answer.context["map"]["points"]
    }
    assert shown["A"] == ("station_unlined", "no line")
    assert shown["B"] == ("station", "")
    assert shown["T1"] == ("target", "")
    assert ">A, no line</text>" in page  # on the plan without a script, and in print
    assert "no line: a station that sees no target yet" in page
    assert f'No line noted from:</b> <a href="{address(site)}">A</a> </p>' in page
    assert f'href="{address(site)}" data-lines-of="A" aria-label="What A sees" ' in page
    assert '<span class="no-line-word">no line</span>' in page


def test_where_every_station_has_a_line_nothing_of_it_is_said(desk, site):
    page = desk.get(f"/sites/{site.pk}/").content.decode()

    assert "no line" not in page
    assert "No line" not in page


def test_the_next_station_without_a_line_is_offered_after_one_is_stored(desk, site):
    store(desk, site, [], ["T1", "T2", "T3"], code="B")
    answer = store(desk, site, ["T1"], ["T1", "T2", "T3"])

    page = " ".join(desk.get(answer["Location"]).content.decode().split())

    assert f'href="{address(site, "B")}"> Next: what B sees </a>' in page


def test_a_new_station_is_asked_what_it_sees_and_a_new_target_is_not(desk, site):
    fields = {
        "name": "the mast",
        "latitude": "-45.131",
        "longitude": "170.101",
        "elevation_m": "400",
        "accuracy_m": "1",
        "method": "map",
        "is_target": "on",
    }

    station = desk.post(f"/sites/{site.pk}/points/new/", {**fields, "code": "S", "mark": "peg"})
    target = desk.post(f"/sites/{site.pk}/points/new/", {**fields, "code": "T9", "mark": ""})

    assert station["Location"] == address(site, "S")
    assert target["Location"] == f"/sites/{site.pk}/"


def test_a_changed_name_of_a_station_leaves_its_lines_alone(desk, site):
    # 2026-11-27: its form stored the ticks anew, and an old page took lines away unseen.
    page = desk.get(f"/sites/{site.pk}/points/A/").content.decode()
    sent = dict(re.findall(r'<input type="(?:text|hidden)" name="([\w-]+)" value="([^"]*)"', page))

    answer = desk.post(
        f"/sites/{site.pk}/points/A/", {**sent, "name": "the gate", "method": "receiver"}
    )

    assert answer["Location"] == f"/sites/{site.pk}/"
    assert site.points.get(code="A").name == "the gate"
    assert seen(site) == ["T1", "T2", "T3"]


def test_a_mark_is_not_emptied_while_tasks_ask_for_lines_from_there(desk, site):
    cast.course_of(site)  # its first task is A → T1
    page = desk.get(f"/sites/{site.pk}/points/A/").content.decode()
    sent = dict(re.findall(r'<input type="(?:text|hidden)" name="([\w-]+)" value="([^"]*)"', page))
    sent = {**sent, "mark": "", "is_target": "on", "method": "receiver"}

    answer = desk.post(f"/sites/{site.pk}/points/A/", sent)

    assert "are asked for by task 1 of Short round." in answer.content.decode()
    assert (site.points.get(code="A").mark, seen(site)) == ("peg at the gate", ["T1", "T2", "T3"])


def test_lines_go_with_a_mark_that_no_task_needs(desk, site):
    page = desk.get(f"/sites/{site.pk}/points/A/").content.decode()
    sent = dict(re.findall(r'<input type="(?:text|hidden)" name="([\w-]+)" value="([^"]*)"', page))
    sent = {**sent, "mark": "", "is_target": "on", "method": "receiver"}

    desk.post(f"/sites/{site.pk}/points/A/", sent)

    assert (site.points.get(code="A").mark, seen(site)) == ("", [])


def test_a_line_to_what_cannot_be_sighted_any_more_is_not_taken_away_unseen(desk, site):
    site.points.filter(code="T2").update(is_target=False, mark="peg")
    page = desk.get(address(site)).content.decode()

    store(desk, site, ["T1", "T3"], re.search('name="was" value="(.*?)"', page)[1].split())

    assert seen(site) == ["T1", "T2", "T3"]


def test_a_station_that_sees_nothing_is_not_asked_anew_at_each_change(desk, site):
    store(desk, site, [], ["T1", "T2", "T3"])
    page = desk.get(f"/sites/{site.pk}/points/A/").content.decode()
    sent = dict(re.findall(r'<input type="(?:text|hidden)" name="([\w-]+)" value="([^"]*)"', page))

    answer = desk.post(
        f"/sites/{site.pk}/points/A/", {**sent, "name": "the gate", "method": "receiver"}
    )

    assert answer["Location"] == f"/sites/{site.pk}/"


@pytest.mark.parametrize(
    ("targets", "said"),
    [(["T1", "T2", "T3"], "Sees 3 targets"), (["T1"], "Sees 1 target"), ([], "Sees no target yet")],
)
def test_the_page_of_a_station_leads_to_what_it_sees(desk, site, targets, said):
    store(desk, site, targets, ["T1", "T2", "T3"])

    page = " ".join(desk.get(f"/sites/{site.pk}/points/A/").content.decode().split())

    assert f'<a href="{address(site)}"> {said} </a>' in page


@pytest.mark.parametrize(
    ("added", "taken", "words"),
    [
        (["T1", "T2"], ["T3"], "A sees T1, T2 now, and T3 no longer."),
        (["T1"], [], "A sees T1 now."),
        ([], ["T3"], "A does not see T3 any longer."),
        ([], [], "Nothing changed for A."),
    ],
)
def test_what_was_changed_is_said_in_a_sentence(added, taken, words):
    assert sight_lines.changed_text("A", added, taken) == words


def test_bearings_are_true_alone_where_the_declination_cannot_be_told(ines, site):
    ground = site.as_domain()
    found = sight_lines.rows(ground, "A", sights(ground, "A"), {}, on=cast.DAY.replace(year=2040))

    assert found[2]["line"] == "070° true, 300 m"


@pytest.mark.parametrize("more", [0, 30])
def test_the_page_asks_the_database_as_often_for_many_targets_and_tasks(
    desk, site, more, django_assert_num_queries
):
    course = cast.course_of(site)
    for number in range(more):
        target = Point.objects.create(
            site=site, code=f"M{number}", name="m", latitude=-45.131, longitude=170.1 + number / 1e4
        )
        Task.objects.create(
            course=course,
            number=10 + number,
            station=site.points.get(code="A"),
            target=target,
        )

    with django_assert_num_queries(8):
        desk.get(address(site))


def test_a_site_of_another_instructor_is_not_there(desk, karl, site):
    Site.objects.filter(pk=site.pk).update(owner=karl)

    assert store(desk, site, [], ["T1"]).status_code == 404
    assert seen(site) == ["T1", "T2", "T3"]
