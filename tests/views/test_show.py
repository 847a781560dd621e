"""The screens for the class, and the instructor's own page beside them."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from exercises.models import CourseClass, Person, Results
from exercises.usecases.debrief import debrief
from exercises.usecases.load_demo import BENT_STATION, NAMES
from tests import cast, demonstration
from tests.cast import send

HELD = ("Winter introduction", "Spring introduction", "Spring, with map and paces")


@pytest.fixture
def demo(client, db):
    client.force_login(demonstration.load().owner)
    return client


def shown(client, name):
    held = CourseClass.objects.get(name=name)
    return client.get(f"/classes/{held.pk}/debrief/").content.decode()


def ids(page):
    return re.findall(r'<section\s+class="screen[^"]*"\s+id="([^"]+)"', page)


def words(page):
    return re.sub(r"\s+", " ", re.sub("<[^>]*>", " ", page))


@pytest.mark.parametrize("name", HELD)
def test_no_screen_has_the_name_of_a_person(demo, name):
    page = shown(demo, name)
    people = set(Person.objects.filter(course_class__name=name).values_list("name", flat=True))

    assert people <= set(NAMES)
    assert len(people) >= 14
    assert [name for name in people if re.search(rf"\b{re.escape(name)}\b", page)] == []
    assert "demo" not in words(page)  # the account that is signed in


def test_a_name_would_be_found_where_it_stands(demo):
    held = CourseClass.objects.get(name=HELD[1])
    page = demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode()

    assert {name for name in NAMES if re.search(rf"\b{name}\b", page)} == set(NAMES)


def test_the_names_of_who_did_something_strange_are_on_no_screen(desk, open_class):
    # Identical unusual answers with one compass: on the instructor's page these name people.
    answers = {answer.task: answer for answer in open_class.keys.get().as_domain()}
    names = ["Zebulon", "Xanthe", "Quintus", "Ottilie"]
    for person, _ in cast.join(open_class, *names):
        wrong = f"{round(answers['1'].expected_deg + 180) % 360:03d}"
        send(open_class, person, ("1", wrong), ("2", "T1"), ("3", "280"))

    page = desk.get(f"/classes/{open_class.pk}/debrief/").content.decode()

    alone = desk.get(f"/classes/{open_class.pk}/debrief/alone/").content.decode()

    assert "Its needle points the wrong way." in page
    assert "Reversed" not in page
    assert [name for name in names if name in page] == []
    assert [name for name in names if name in alone] == names


@pytest.mark.parametrize(
    ("name", "before_tasks", "tasks"),
    [
        (HELD[0], ["what", "ground-1", "compasses", *(f"lesson-{n}" for n in range(1, 6))], 12),
        (HELD[1], ["what", "ground-1", "compasses", "lesson-1", "lesson-2"], 12),
        (HELD[2], ["what", "compasses", "lesson-1"], 7),
    ],
)
def test_what_happened_comes_first_then_the_ground_then_lessons_then_tasks(
    demo, name, before_tasks, tasks
):
    assert ids(shown(demo, name)) == [*before_tasks, *(f"task-{n}" for n in range(1, tasks + 1))]


def test_two_peoples_habit_is_told_to_these_alone(demo):
    held = CourseClass.objects.get(name=HELD[1])
    alone = words(demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode())

    assert "eclination left out" not in shown(demo, HELD[1])
    told = alone[alone.index("Tell these people") :]
    assert re.search(r"Niamh Declination left out : \d+ readings, a habit", told)
    assert re.search(r"Ylva Declination left out : \d+ readings, a habit", told)


def test_who_has_the_classes_mistake_as_a_habit_is_told_alone_as_well(demo):
    held = CourseClass.objects.get(name=HELD[0])
    alone = words(demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode())

    told = alone[alone.index("Tell these people") : alone.index("Every mistake")]
    assert "Reversed" in shown(demo, HELD[0])
    assert re.findall(r"(\w+) Reversed : \d+ readings?, a habit", told) == [
        "Jutta",
        "Lotte",
        "Mateo",
    ]


def test_the_first_screen_adds_up_as_it_is_shown(demo):
    for name in HELD:
        page = shown(demo, name)
        text = words(page[: page.index('id="compasses"')])
        full, part, none = (
            int(re.search(rf"(\d+) {credit} credit", text)[1]) for credit in ("full", "part", "no")
        )
        missed, taught, nobodys, single, unclear = map(
            int,
            re.search(
                r"(\d+) readings missed full credit: (\d+) to teach from, (\d+) nobody’s fault, "
                r"(\d+) single slips, (\d+) unclear",
                text,
            ).groups(),
        )
        bars = re.findall(r"<title>[^<]*: (\d+) readings?( of \d+ people)?</title>", page)
        lessons = re.findall(
            r'id="lesson-\d+".*?(\d+) readings? of \d+ (?:person|people)', page, re.S
        )
        on_first = [int(number) for number, people in bars if people]

        assert full + part + none == int(re.search(r"sent (\d+) readings", text)[1])
        assert part + none == missed == taught + nobodys + single + unclear
        assert sum(map(int, lessons)) == taught
        assert on_first == [int(number) for number in lessons[:3]]
        assert sum(int(number) for number, people in bars if not people) == nobodys


def test_a_fault_of_the_ground_is_said_not_to_be_the_classes(demo):
    page = shown(demo, HELD[1])
    ground = page[page.index('id="ground-1"') : page.index('id="compasses"')]

    assert "Station C: Sheep yards" in ground
    assert "18 of 23 readings here missed full credit, 13 of them for this alone." in ground
    assert "Not your mistake." in ground


def test_a_fault_that_spoilt_no_reading_is_the_instructors_alone(demo):
    held = CourseClass.objects.get(name=HELD[0])
    demo.get(f"/classes/{held.pk}/debrief/alone/")
    kept = Results.objects.get(course_class=held)
    kept.found["stations"]["E"] |= {"degrees": 4.0, "fault_probability": 0.9}
    kept.save()

    alone = demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode()
    assert re.findall("<h3>Station (.)", alone) == ["C", "E"]
    assert re.findall("<h2[^>]*>Station (.):", shown(demo, HELD[0])) == ["C"]


@pytest.mark.parametrize("name", HELD[:2])
def test_only_the_station_that_the_demonstration_bends_is_called_bent(demo, name):
    held = CourseClass.objects.get(name=name)
    alone = demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode()

    assert re.findall("<h3>Station (.)", alone) == [BENT_STATION]


def test_a_compass_that_is_off_is_told_by_its_number(demo):
    page = words(shown(demo, HELD[1]))

    assert (
        "Compass 5 : It reads about 8° too little. It spoilt 12 readings, whoever held it." in page
    )


def test_a_class_without_readings_says_so(desk, open_class):
    page = desk.get(f"/classes/{open_class.pk}/debrief/").content.decode()

    assert "No readings yet" in page
    assert ids(page) == []


def test_every_screen_has_a_heading_that_takes_the_focus(demo):
    page = shown(demo, HELD[1])

    for one in ids(page):
        assert re.search(rf'<h[12] id="{one}-title" tabindex="-1">\S', page)
        assert f'aria-labelledby="{one}-title"' in page


def test_the_screens_cost_the_same_queries_for_three_people_and_for_thirty(desk, open_class):
    address = f"/classes/{open_class.pk}/debrief/"

    def cost():
        desk.get(address)  # what is found is kept now
        with CaptureQueriesContext(connection) as queries:
            desk.get(address)
        return len(queries)

    for person, _ in cast.join(open_class, "Mia", "Tom", "Nele"):
        send(open_class, person, ("1", "244"), ("3", "125"))
    few = cost()
    for person, _ in cast.join(open_class, *(f"P{number}" for number in range(27))):
        send(open_class, person, ("1", "244"), ("3", "125"))

    assert (few, cost()) == (9, 9)


def test_what_a_dropped_task_is_stands_on_the_first_screen(desk, open_class):
    desk.post(
        f"/classes/{open_class.pk}/key/correct/?what=drop&of=1", {"reason": "gate", "version": "2"}
    )
    ((mia, _),) = cast.join(open_class, "Mia")
    send(open_class, mia, ("3", "125"))

    page = desk.get(f"/classes/{open_class.pk}/debrief/").content.decode()

    assert "Dropped from the key: task 1." in page


def test_nothing_of_the_numbers_is_lost_to_the_instructor(demo):
    held = CourseClass.objects.get(name=HELD[1])
    page = demo.get(f"/classes/{held.pk}/debrief/alone/").content.decode()
    whole = debrief(course_class=held, now=cast.NOW)

    assert page.count('class="cell-line"') == len(whole.judged)
    assert page.count('class="dots"') == len(whole.answers)
    for heading in ("Every mistake, the dearest first", "Everybody by name", "Each task"):
        assert f"<summary>{heading}</summary>" in page


def test_what_is_taught_further_on_is_named_on_the_first_screen(demo):
    page = shown(demo, HELD[0])
    text = words(page[: page.index('id="ground-1"')])

    assert "And further on: another target and near, but outside the tolerance." in text
