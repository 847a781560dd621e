import csv
import io
import json
import re

import pytest
from django.test import Client

from exercises.models import Key, Person
from exercises.usecases.debrief import debrief
from exercises.usecases.open_class import close_class, release_feedback
from tests import cast
from tests.cast import send


@pytest.fixture
def read(open_class):
    return cast.six_read(open_class)


def address(course_class, query):
    return f"/classes/{course_class.pk}/key/correct/?{query}"


def test_a_preview_says_whose_credit_changes_and_changes_nothing(desk, read):
    page = desk.get(address(read, "what=station&of=A&degrees=12.4&error=1")).content.decode()

    assert "Move the answers at station A by +12.4°?" in page
    assert page.count("1: 0 → 1") == 6
    assert Key.objects.count() == 1


@pytest.mark.parametrize("number", [3, 30])
def test_the_page_for_an_instructor_alone_costs_the_same_queries_for_three_and_for_thirty(
    desk, open_class, number, django_assert_num_queries
):
    people = [person for person, _ in cast.join(open_class, *(f"P{n}" for n in range(number)))]
    for person in people:
        send(open_class, person, ("1", "244"), ("3", "125"))
    for again, person in zip(people[1::3], people[::3], strict=True):  # who sent under two names
        Person.objects.filter(pk=again.pk).update(same_as=person)
    page = f"/classes/{open_class.pk}/debrief/alone/"
    desk.get(page)  # what is found is kept now

    with django_assert_num_queries(9):
        desk.get(page)


def test_a_correction_is_adopted_with_its_reason_and_taken_back(desk, read):
    desk.post(
        address(read, "what=station&of=A&degrees=12.4&error=1"),
        {"reason": "steel gate", "version": "2"},
    )
    assert "steel gate" in desk.get(f"/classes/{read.pk}/debrief/alone/").content.decode()
    assert desk.get(address(read, "what=back&of=1")).content.decode().count("1: 1 → 0") == 6
    desk.post(address(read, "what=back&of=1"), {"reason": "no gate", "version": "3"})

    assert list(Key.objects.values_list("version", "reason")) == [
        (3, "no gate"),
        (2, "steel gate"),
        (1, "opened"),
    ]


def test_a_correction_that_changes_nothing_is_refused(desk, read):
    page = desk.post(
        address(read, "what=back&of=1"), {"reason": "why not", "version": "2"}
    ).content.decode()

    assert "This changes nothing in the key." in page
    assert Key.objects.count() == 1


def test_a_version_that_is_made_up_is_refused(desk, read):
    page = desk.post(
        address(read, "what=drop&of=1"), {"reason": "gate", "version": "30000"}
    ).content.decode()

    assert "changed meanwhile" in page
    assert Key.objects.count() == 1


def test_a_dropped_task_is_no_longer_asked_and_a_late_answer_to_it_says_so(desk, open_class, mia):
    desk.post(address(open_class, "what=drop&of=1"), {"reason": "gate", "version": "2"})
    phone = cast.speaks_for(Client(), open_class, mia.joined)
    told = phone.post(
        f"/c/{open_class.code}/readings/",
        json.dumps({"readings": [cast.reading(mia)]}),
        content_type="application/json",
    ).json()

    assert [
        task["label"] for task in phone.get(f"/c/{open_class.code}/state/").json()["tasks"]
    ] == ["2", "3"]
    assert told["readings"][0]["message"] == "Kept, but task 1 does not count any more."
    assert "does not count" in desk.get(f"/classes/{open_class.pk}/key/").content.decode()


def test_a_phone_that_knows_all_there_is_is_told_nothing_again(phone, open_class, mia):
    stamp = phone.get(f"/c/{open_class.code}/state/").json()["stamp"]
    before = phone.get(f"/c/{open_class.code}/state/?have={stamp}").status_code
    send(open_class, mia, ("1", "044"))

    assert (before, phone.get(f"/c/{open_class.code}/state/?have={stamp}").status_code) == (
        204,
        200,
    )


def test_another_compass_counts_from_the_next_reading_on(phone, open_class, mia):
    send(open_class, mia, ("1", "044"))
    phone.post(
        f"/c/{open_class.code}/compass/", {"compass": "b2", "graduation": "5", "is_set": "yes"}
    )
    send(open_class, type(mia).objects.get(), ("3", "125"))

    assert list(
        open_class.readings.order_by("pk").values_list("compass_number", "compass_graduation_deg")
    ) == [("7", 2.0), ("B2", 5.0)]


def test_results_keep_what_does_not_count_and_say_so(desk, open_class, mia):
    send(open_class, mia, ("1", "044"), ("1", "050"), ("2", "nothing"))

    rows = list(
        csv.DictReader(
            io.StringIO(
                desk.get(f"/classes/{open_class.pk}/results.csv").content.decode("utf-8-sig")
            )
        )
    )

    assert [(row["answer_as_given"], row["counts"], row["key_version"]) for row in rows] == [
        ("044", "yes", "1"),
        ("050", "no", "1"),
        ("nothing", "no", "1"),
    ]


def test_a_correction_without_a_reason_changes_nothing_and_says_so(desk, read):
    page = desk.post(
        address(read, "what=drop&of=1"), {"reason": "", "version": "2"}
    ).content.decode()

    assert 'role="alert"' in page
    assert Key.objects.count() == 1


def test_a_preview_that_is_out_of_date_changes_nothing_and_keeps_the_reason(desk, read):
    desk.post(address(read, "what=drop&of=1"), {"reason": "gate", "version": "2"})
    page = desk.post(
        address(read, "what=station&of=A&degrees=5"), {"reason": "truck", "version": "2"}
    ).content.decode()

    assert "changed meanwhile" in page
    assert 'value="truck"' in page
    assert Key.objects.count() == 2


@pytest.mark.parametrize(
    "query",
    [
        "",
        "what=nothing&of=A",
        "what=station&of=ZZ&degrees=4",
        "what=station&of=A",
        "what=line&of=99&degrees=4",
        "what=drop&of=<b>",
        "what=station&of=A&degrees=nan",
        "what=station&of=A&degrees=999",
    ],
)
def test_what_is_no_correction_is_refused_in_words(desk, read, query):
    answer = desk.get(address(read, query))

    assert answer.status_code == 400
    assert b'role="alert"' in answer.content
    assert b"<b>" not in answer.content


def test_a_persons_sheet_says_what_to_practise_on_this_ground(desk, open_class, mia):
    answer = open_class.keys.get().as_domain()[0]
    send(open_class, mia, ("1", f"{round(answer.expected_deg + 180) % 360:03d}"))

    page = desk.get(f"/classes/{open_class.pk}/people/{mia.pk}/").content.decode()

    assert "<strong>Reversed.</strong>" in page
    assert "the A thing (A)" in page
    assert page.count("<svg") == 1


def test_a_sheet_reaches_the_phone_once_it_is_released_and_only_ones_own(ines, client):
    made = cast.class_of(ines, feedback="released")
    mia, tom = cast.join(made, "Mia"), cast.join(made, "Tom")
    for ((person, _),) in (mia, tom):
        send(made, person, ("1", "044"))
    phone = cast.speaks_for(client, made, mia)
    before = phone.get(f"/c/{made.code}/mine/").status_code
    release_feedback(course_class=made, now=cast.LATER)
    page = phone.get(f"/c/{made.code}/mine/").content.decode()

    assert before == 302
    assert "<h2>Mia</h2>" in page
    assert "Tom" not in page


def test_what_is_for_the_instructor_alone_is_not_on_the_page_to_show(desk, open_class):
    for person, _ in cast.join(open_class, "Mia", "Tom"):
        send(open_class, person, ("1", "300"))

    assert b"Mia, Tom" in desk.get(f"/classes/{open_class.pk}/debrief/alone/").content
    assert b"close in time" not in desk.get(f"/classes/{open_class.pk}/debrief/").content


def test_a_site_over_time_has_each_class_with_intervals_and_its_stations_pooled(desk, read):
    close_class(course_class=read, now=cast.LATER)
    debrief(course_class=read, now=cast.LATER)

    page = desk.get(f"/sites/{read.course.site_id}/over-time/").content.decode()

    assert "Saturday" in page
    assert '<th scope="row">A</th>' in page


def test_a_correction_does_not_hide_a_station_from_the_record(desk, read):
    close_class(course_class=read, now=cast.LATER)
    desk.post(
        address(read, "what=station&of=A&degrees=12.4&error=1"),
        {"reason": "steel gate", "version": "2"},
    )
    debrief(course_class=read, now=cast.LATER)

    page = desk.get(f"/sites/{read.course.site_id}/over-time/").content.decode()

    assert '<th scope="row">A</th><td class="number">+12' in page


def test_experience_is_shown_and_can_be_begun_afresh(desk, read):
    close_class(course_class=read, now=cast.LATER)
    debrief(course_class=read, now=cast.LATER)
    before = desk.get("/experience/").content.decode()
    desk.post("/experience/forget/")
    after = desk.get("/experience/").content.decode()
    desk.post("/experience/remember/")

    assert "1 closed class, 6 people, 12 readings" in before
    assert "No closed class of yours counts yet" in after
    assert "1 closed class, 6 people" in desk.get("/experience/").content.decode()


def test_counts_to_share_have_no_names(desk, read):
    close_class(course_class=read, now=cast.LATER)

    rows = list(
        csv.DictReader(io.StringIO(desk.get("/experience/causes.csv").content.decode("utf-8-sig")))
    )

    assert {(row["kind"], row["of_readings"], row["people"]) for row in rows} == {
        ("convert", "6", "6"),
        ("sight", "6", "6"),
    }
    assert set(rows[0]) == {
        "year",
        "kind",
        "north",
        "declination_deg",
        "cause",
        "readings",
        "of_readings",
        "people",
    }


def test_the_shares_of_credit_add_up_to_a_hundred(desk, open_class):
    right = cast.answer_of(open_class, "1").expected_deg
    for place, (person, _) in enumerate(cast.join(open_class, *"abcdefgh")):
        off = {0: 0, 1: 8}.get(place, 90)  # one of eight full, one part, six none
        cast.send(open_class, person, ("1", f"{round(right + off) % 360:03d}"))

    page = desk.get(f"/classes/{open_class.pk}/debrief/alone/").content.decode()

    assert re.findall(r"credit \((\d+)%\)", page) == ["13", "12", "75"]
