import pytest
from django.db import IntegrityError

from exercises import queries
from exercises.models import CourseClass, Key, Person, Point, Site, Task
from exercises.usecases import (
    join_class,
    load_demo,
    mend_course,
    open_class as usecase,
    plan_course,
)
from exercises.usecases.debrief import debrief
from exercises.usecases.join_class import NameTaken
from exercises.usecases.open_class import release_feedback
from exercises.usecases.take_readings import take_readings
from tests import cast, demonstration


def test_opening_freezes_the_key_with_all_it_came_from(open_class):
    key = Key.objects.get()

    assert (open_class.state, key.version, key.reason) == ("open", 1, "opened")
    assert [answer.task for answer in key.as_domain()] == ["1", "2", "3"]
    assert key.points["A"]["mark"] == "peg at the gate"
    assert key.as_domain()[0].declination_model == "WMM2025"


def test_a_point_that_moves_later_does_not_move_the_key(open_class):
    before = queries.current_key(open_class).as_domain()
    Point.objects.filter(code="T1").update(latitude=-45.2)

    assert queries.current_key(open_class).as_domain() == before


def test_a_class_without_tasks_is_not_opened_and_says_why(ines):
    course = cast.course_of(cast.site_of(ines))
    course.tasks.all().delete()
    made = cast.class_of(ines, is_open=False, course=course)

    with pytest.raises(usecase.NotReady, match="no tasks"):
        usecase.open_class(course_class=made, by=ines, now=cast.NOW)

    made.refresh_from_db()
    assert (made.state, Key.objects.count()) == ("draft", 0)


def test_a_date_outside_the_model_names_the_task(ines):
    made = cast.class_of(ines, is_open=False)
    CourseClass.objects.update(date="2031-04-02", names_until="2031-07-01")

    with pytest.raises(usecase.NotReady, match="Task 1: No declination for 2031-04-02"):
        usecase.open_class(course_class=made, by=ines, now=cast.NOW)


def test_a_class_is_opened_once(open_class, ines):
    with pytest.raises(usecase.NotReady, match="open already"):
        usecase.open_class(course_class=open_class, by=ines, now=cast.LATER)
    assert Key.objects.count() == 1


def test_closing_and_releasing_twice_keeps_the_first_time(open_class):
    for now in (cast.NOW, cast.LATER):
        usecase.close_class(course_class=open_class, now=now)
        usecase.release_feedback(course_class=open_class, now=now)

    open_class.refresh_from_db()
    assert (open_class.state, open_class.closed_at, open_class.released_at) == (
        "closed",
        cast.NOW,
        cast.NOW,
    )


def test_a_draft_has_no_feedback_to_release(ines):
    made = cast.class_of(ines, is_open=False)

    usecase.release_feedback(course_class=made, now=cast.NOW)

    made.refresh_from_db()
    assert made.released_at is None


def test_a_name_that_is_taken_is_refused_whatever_its_case_and_nobody_is_added(open_class, mia):
    with pytest.raises(join_class.NameTaken, match="MIA"):
        cast.join(open_class, "Tom", "MIA")
    assert [person.name for person in Person.objects.all()] == ["Mia"]


def test_only_the_right_secret_speaks_for_a_person(open_class, mia):
    ((person, secret),) = mia.joined

    assert join_class.people_of(open_class, [f"{person.pk}:{secret}"]) == [person]
    assert (
        join_class.people_of(
            open_class, [f"{person.pk}:guess", "x", "9:", ":", f"{10**30}:a", "²:x"]
        )
        == []
    )


def test_the_secret_itself_is_not_kept(open_class, mia):
    ((person, secret),) = mia.joined

    assert secret not in person.phones.get().secret_digest


def test_tasks_change_places_and_close_gaps(ines):
    course = cast.course_of(cast.site_of(ines))

    mend_course.move_task(course=course, number=3, was=course.fingerprint(), by=-1)
    assert list(course.tasks.values_list("number", "kind")) == [
        (1, "sight"),
        (2, "convert"),
        (3, "follow"),
    ]
    plan_course.remove_task(task=course.tasks.get(number=1))
    assert list(course.tasks.values_list("number", "kind")) == [(1, "convert"), (2, "follow")]
    mend_course.move_task(course=course, number=1, was=course.fingerprint(), by=-1)
    assert list(course.tasks.values_list("number", "kind")) == [(1, "convert"), (2, "follow")]


def test_the_database_refuses_a_station_that_is_its_own_target(ines):
    course = cast.course_of(cast.site_of(ines))
    point = course.site.points.get(code="A")

    with pytest.raises(IntegrityError):
        Task.objects.create(course=course, number=9, station=point, target=point)


@pytest.mark.parametrize(
    ("feedback", "counts"), [("at_once", "044"), ("second_try", "044"), ("released", "050")]
)
def test_the_first_attempt_counts_where_answers_are_told_at_once_else_the_last(
    ines, feedback, counts
):
    made = cast.class_of(ines, feedback=feedback)
    ((person, _),) = cast.join(made, "Mia")
    answers = made.keys.get().as_domain()
    take_readings(
        course_class=made,
        people=[person],
        sent=[cast.reading(person), cast.reading(person, text="050")],
        answers=answers,
        now=cast.NOW,
    )

    assert [one.reading.text for one in debrief(course_class=made, now=cast.LATER).judged] == [
        counts
    ]


def test_a_wider_band_earns_a_person_credit(open_class, mia):
    answers = open_class.keys.get().as_domain()
    text = f"{(round(answers[0].expected_deg) + 14) % 360:03d}"
    take_readings(
        course_class=open_class,
        people=[mia],
        sent=[cast.reading(mia, text=text)],
        answers=answers,
        now=cast.NOW,
    )
    before = debrief(course_class=open_class, now=cast.LATER).judged[0].credit
    Person.objects.update(wider_band_deg=15)

    assert (before, debrief(course_class=open_class, now=cast.LATER).judged[0].credit) == (
        0.0,
        1.0,
    )


@pytest.mark.django_db
def test_the_demonstration_is_loaded_once():
    first = load_demo.load_demo(now=cast.NOW)
    again = load_demo.load_demo(now=cast.LATER)

    assert first == again
    assert (first.state, CourseClass.objects.count()) == ("open", 4)


@pytest.mark.django_db
def test_the_demonstration_is_as_large_as_it_says():
    demonstration.load()
    held = CourseClass.objects.get(name="Spring introduction")

    assert held.people.count() == 24
    assert held.keys.get().as_domain()[0].norths.declination_deg > 10
    assert held.course.tasks.count() == 12
    assert held.course.site.points.exclude(mark="").count() == 8
    assert held.readings.filter(problem="").count() == held.readings.count() > 250
    lengths = [answer.distance_m for answer in held.keys.get().as_domain() if answer.target]
    assert min(lengths) >= 60
    assert max(lengths) <= 400


@pytest.mark.django_db
def test_the_second_site_has_declination_of_the_other_sign():
    demonstration.load()
    signs = {
        site.name: site.as_domain().north_of(site.position(), cast.DAY)[0].declination_deg > 0
        for site in Site.objects.all()
    }

    assert sorted(signs.values()) == [False, True]


@pytest.mark.parametrize("name", ["MÏA", "Ｍïa", "mi\u0308a"])
def test_a_name_is_taken_in_any_script_and_width(open_class, name):
    # 2026-11-25: SQLite's own lower() knows ASCII letters alone.
    cast.join(open_class, "Mïa")

    with pytest.raises(NameTaken):
        cast.join(open_class, name)


def test_an_attempt_after_the_release_counts_only_where_there_is_no_other(ines):
    # 2026-11-25: the answer, copied after the release, counted as the last attempt.
    made = cast.class_of(ines, feedback="released")
    ((mia, _), (nele, _)) = cast.join(made, "Mia", "Nele")
    answers = made.keys.get().as_domain()

    def send(person, text, now):
        take_readings(
            course_class=made,
            people=[person],
            sent=[cast.reading(person, text=text)],
            answers=answers,
            now=now,
        )

    send(mia, "010", cast.NOW)
    send(mia, "020", cast.NOW)
    release_feedback(course_class=made, now=cast.LATER)
    made.refresh_from_db()
    for person in (mia, nele):
        send(person, "044", cast.LATER)
        send(person, "045", cast.LATER)

    assert [
        (reading.person.name, reading.text)
        for reading in queries.counting(
            made, made.readings.select_related("person"), made.keys.get().counted()
        )
    ] == [("Mia", "020"), ("Nele", "044")]
