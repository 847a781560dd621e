"""Names before a class, groups, late comers and early leavers, second names, and people taken
out.
"""

import pytest

from exercises import queries
from exercises.models import Person, Reading, TrailEntry
from exercises.usecases import keep_roster
from exercises.usecases.debrief import debrief
from exercises.usecases.trail import Account
from tests import cast


def paste(desk, course_class, text):
    return desk.post(f"/classes/{course_class.pk}/roster/", {"names": text}, follow=True)


def names(course_class):
    return [
        (person.name, person.group.name if person.group else "")
        for person in course_class.people.listed().select_related("group")
    ]


@pytest.fixture
def doubled(open_class):
    """Mia on her phone, and once more on another, each with a reading of task 1."""
    (mia, _), (again, _) = cast.join(open_class, "Mia", "Mia 2")
    cast.send(open_class, mia, ("1", "044"))
    cast.send(open_class, again, ("1", "225"), ("2", "T3"), now=cast.LATER)
    return mia, again


def merged(open_class, ines, doubled):
    mia, again = doubled
    keep_roster.merge(second=again, first=mia, by=Account(ines), now=cast.LATER)


def test_names_are_pasted_with_their_groups(desk, open_class):
    answer = paste(desk, open_class, "Ana, 1\nBo\t2\n\n  Cy  \n")

    assert names(open_class) == [("Ana", "1"), ("Bo", "2"), ("Cy", "")]
    assert "3 new names." in answer.content.decode()


def test_whoever_joins_under_a_name_of_the_list_is_that_person(desk, client, open_class):
    paste(desk, open_class, "Ana, 1")
    ((person, _),) = cast.join(open_class, "ANA")

    assert names(open_class) == [("Ana", "1")]
    assert (person.group.name, person.joined_at) == ("1", cast.NOW)


def test_a_name_of_the_list_is_joined_once(desk, open_class):
    paste(desk, open_class, "Ana")
    cast.join(open_class, "Ana")

    with pytest.raises(ValueError, match="Somebody in this class is called Ana already"):
        cast.join(open_class, "Ana")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Ana\nana", "Lines 1 and 2 name ana twice."),
        ("Ana\n" + "x" * 31, "Line 2: a name has at most 30 letters."),
        ("Ana, " + "g" * 31, "Line 1: a name has at most 30 letters."),
    ],
)
def test_a_list_that_cannot_be_taken_is_refused_whole_and_stays_typed(desk, open_class, text, said):
    page = paste(desk, open_class, text).content.decode()

    assert said in page
    assert text.split("\n")[-1][:10] in page
    assert names(open_class) == []


def test_everybody_who_is_here_is_shuffled_into_groups(desk, open_class):
    paste(desk, open_class, "\n".join("ABCDEFG"))
    person = open_class.people.get(name="A")
    desk.post(f"/classes/{open_class.pk}/roster/{person.pk}/left/")

    desk.post(f"/classes/{open_class.pk}/roster/shuffle/", {"number": 3})

    sizes = sorted(group.people.count() for group in open_class.groups.all())
    assert (sizes, open_class.people.get(name="A").group) == ([2, 2, 2], None)


@pytest.mark.parametrize("number", ["", "0", "41", "x"])
def test_a_number_of_groups_that_is_none_changes_nothing(desk, open_class, number):
    paste(desk, open_class, "Ana, 1")

    answer = desk.post(f"/classes/{open_class.pk}/roster/shuffle/", {"number": number}, follow=True)

    assert "Give a number of groups from 1 to 40." in answer.content.decode()
    assert names(open_class) == [("Ana", "1")]


def test_a_late_comer_and_an_early_leaver_take_one_press_each(desk, open_class):
    paste(desk, open_class, "Ana")
    person = open_class.people.get()
    address = f"/classes/{open_class.pk}/roster/{person.pk}"

    desk.post(f"{address}/left/")
    left = open_class.people.expected().count()
    desk.post(f"{address}/back/")

    assert (left, open_class.people.expected().count()) == (0, 1)


def test_a_name_is_put_right(desk, open_class):
    paste(desk, open_class, "Anna, 1\nBo, 1")
    person = open_class.people.get(name="Anna")

    desk.post(
        f"/classes/{open_class.pk}/roster/{person.pk}/change/", {"name": " Ana ", "group": "2"}
    )

    assert names(open_class) == [("Ana", "2"), ("Bo", "1")]


def test_a_name_that_somebody_else_has_is_refused(desk, open_class):
    paste(desk, open_class, "Ana\nBo")
    person = open_class.people.get(name="Bo")

    answer = desk.post(
        f"/classes/{open_class.pk}/roster/{person.pk}/change/", {"name": "ANA"}, follow=True
    )

    assert "Somebody else in this class is called ANA." in answer.content.decode()
    assert names(open_class) == [("Ana", ""), ("Bo", "")]


def test_readings_under_a_second_name_are_one_persons(ines, open_class, doubled):
    before = list(Reading.objects.values_list("pk", "person", "attempt"))
    merged(open_class, ines, doubled)
    key = queries.current_key(open_class)

    counted = queries.readings_that_count(open_class, key.counted())

    # the first attempt counts where the answer is told at once
    assert [(row.whose.name, row.task, row.text) for row in counted] == [
        ("Mia", "1", "044"),
        ("Mia", "2", "T3"),
    ]
    assert list(Reading.objects.values_list("pk", "person", "attempt")) == before
    whole = debrief(course_class=open_class, now=cast.LATER)
    assert [person.name for person in whole.people.values()] == ["Mia"]


def test_a_second_name_can_be_a_person_again(ines, open_class, doubled):
    merged(open_class, ines, doubled)
    again = Person.objects.get(pk=doubled[1].pk)

    keep_roster.unmerge(second=again, by=Account(ines), now=cast.LATER)

    key = queries.current_key(open_class)
    counted = queries.readings_that_count(open_class, key.counted())
    assert sorted((row.whose.name, row.text) for row in counted) == [
        ("Mia", "044"),
        ("Mia 2", "225"),
        ("Mia 2", "T3"),
    ]
    assert list(TrailEntry.objects.values_list("verb", flat=True)) == ["unmerged", "merged"]


def test_a_phone_of_a_second_name_goes_on_as_the_first(client, ines, open_class):
    joined = cast.join(open_class, "Mia", "Mia 2")
    (mia, _), (again, _) = joined
    cast.speaks_for(client, open_class, joined[1:])
    keep_roster.merge(second=again, first=mia, by=Account(ines), now=cast.LATER)

    sent = client.post(
        f"/c/{open_class.code}/readings/",
        {"readings": [cast.reading(again)]},  # kept before, under the old name
        content_type="application/json",
    ).json()

    assert [outcome["status"] for outcome in sent["readings"]] == ["stored"]
    assert Reading.objects.get().person == mia
    state = client.get(f"/c/{open_class.code}/state/").json()
    assert [person["name"] for person in state["people"]] == ["Mia"]


def test_a_reading_sent_again_after_a_merge_is_the_same_one(client, ines, open_class):
    joined = cast.join(open_class, "Mia", "Mia 2")
    (mia, _), (again, _) = joined
    cast.speaks_for(client, open_class, joined[1:])
    sent, statuses = cast.reading(again), []
    for _ in range(2):
        answer = client.post(
            f"/c/{open_class.code}/readings/", {"readings": [sent]}, content_type="application/json"
        )
        statuses += [outcome["status"] for outcome in answer.json()["readings"]]
        again.refresh_from_db()
        if not again.same_as_id:
            keep_roster.merge(second=again, first=mia, by=Account(ines), now=cast.LATER)

    assert (statuses, Reading.objects.count()) == (["stored", "again"], 1)


def test_nobody_is_merged_twice_or_with_themselves(ines, open_class, doubled):
    mia, again = doubled
    merged(open_class, ines, doubled)
    ((tom, _),) = cast.join(open_class, "Tom")

    for second, first in ((again, tom), (tom, again), (mia, tom), (tom, tom)):
        with pytest.raises(keep_roster.CannotChange, match="cannot be merged"):
            keep_roster.merge(second=second, first=first, by=Account(ines), now=cast.LATER)


def test_somebody_taken_out_leaves_readings_that_are_nobodys(desk, open_class, doubled):
    mia, _ = doubled

    desk.post(f"/classes/{open_class.pk}/roster/{mia.pk}/out/", {"keep": "yes"})

    mia.refresh_from_db()
    assert (mia.name, mia.phones.count(), Reading.objects.of([mia]).count()) == (
        f"— {mia.pk}",
        0,
        1,
    )
    assert "Mia" not in [name for name, _ in names(open_class)]


def test_somebody_purged_leaves_nothing(desk, ines, open_class, doubled):
    mia, _ = doubled
    merged(open_class, ines, doubled)

    desk.post(f"/classes/{open_class.pk}/roster/{mia.pk}/out/", {"purge": "yes"})

    assert (Person.objects.count(), Reading.objects.count()) == (0, 0)


def test_what_goes_with_somebody_is_said_before_they_are_taken_out(desk, open_class, doubled):
    page = desk.get(f"/classes/{open_class.pk}/roster/{doubled[1].pk}/out/").content.decode()

    assert "2 readings came from them." in " ".join(page.split())
    assert Person.objects.count() == 2


def test_a_list_of_thirty_costs_as_many_queries_as_one_of_one(
    desk, open_class, django_assert_num_queries
):
    for number, more in ((10, "Ana, 1"), (10, "\n".join(f"P{place}, 2" for place in range(30)))):
        paste(desk, open_class, more)
        with django_assert_num_queries(number):
            desk.get(f"/classes/{open_class.pk}/roster/")
