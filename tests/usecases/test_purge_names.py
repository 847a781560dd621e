"""Names go, and nothing else: after a purge no table holds one, and the readings say the same."""

import datetime
import uuid

import pytest
from django.core.management import call_command
from django.db import connection

from exercises.domain.running.rotation_plain import as_plain, from_plain
from exercises.models import (
    CheckItem,
    CourseClass,
    FieldNote,
    HeadcountMark,
    KitCompass,
    KitEntry,
    Person,
    Reading,
    Results,
    SeenTo,
    TrailEntry,
)
from exercises.usecases import (
    count_heads,
    give_roles,
    keep_roster,
    own_wish,
    prepare_class,
    purge_names,
    purge_running,
    run_class,
    run_rotation,
)
from exercises.usecases.debrief import debrief
from exercises.usecases.join_class import NamesGone, NobodyFound, go_on, join_class, people_of
from exercises.usecases.trail import Account, Named
from tests import cast, kits, rotated

# invented; nothing else in a test's database is called so
PEOPLE = ("Zebulon", "Quillan Quark", "Ysolde", "Xanthe", "Wystan", "Éowenna")
HELPER, MERGED, WISHED = "Bertrude", "Zebby", "Fjolnir"
EVERY_NAME = (*PEOPLE, "Quark", HELPER, MERGED, WISHED)


def everything_stored():
    """All that any table holds, as one text."""
    with connection.cursor() as cursor:
        texts = []
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            texts += [f"{table}: {row}" for row in cursor.fetchall()]
    return "\n".join(texts).casefold()


def names_in(text):
    return [name for name in EVERY_NAME if name.casefold() in text]


@pytest.fixture
def named(ines):
    """A class that has names wherever names can be."""
    course_class = cast.class_of(ines)
    owner = Account(ines)
    people = [person for person, _ in cast.join(course_class, *PEOPLE)]
    answer = cast.answer_of(course_class, "1")
    for place, person in enumerate(people):
        off = 12 if place % 2 else 180
        cast.send(
            course_class,
            person,
            ("1", f"{round(answer.expected_deg + off) % 360:03d}"),
            ("3", "125"),
        )
    _own_compass_and_group(course_class, people)
    invitation = give_roles.invite(
        course_class=course_class,
        role="helper",
        sees_answers=False,
        days=1,
        by=owner,
        now=cast.NOW,
    )
    give_roles.take_by_name(invitation=invitation, name=HELPER, now=cast.NOW)
    _counted_and_ticked(course_class, people)
    _merged_and_typed(course_class, people, owner)
    _told_while_out(course_class)
    return course_class


def _own_compass_and_group(course_class, people):
    join_class(
        course_class=course_class,
        names=[WISHED],
        compass_number="XANTHE",
        graduation_deg=2,
        declination_is_set=False,
        now=cast.NOW,
    )
    cast.send(course_class, Person.objects.get(name=WISHED), ("1", "fjolnir here"), ("3", "100"))
    keep_roster.change_person(person=people[0], name=people[0].name, group="Zebulon's")
    Person.objects.get(name=WISHED).save()


def _counted_and_ticked(course_class, people):
    count = count_heads.begin(
        course_class=course_class, occasion="before", by=Named(HELPER), now=cast.NOW
    )
    sent = [
        {"id": f"0000000{place}-0000-4000-8000-000000000000", "person": person.pk, "here": True}
        for place, person in enumerate(people)
    ]
    count_heads.take_marks(headcount=count, sent=sent, clock=None, by=Named(HELPER), now=cast.NOW)
    prepare_class.set_lines(course_class=course_class, lines=["Ask Ysolde about her knee"])
    prepare_class.tick(item=course_class.checks.get(), is_done=True, by=Named(HELPER), now=cast.NOW)


def _told_while_out(course_class):
    """A rotation with helpers, whose groups are called after somebody; a note, a sign that was
    seen to, a compass of a kit that was given out and came back bent.
    """
    by = Named(HELPER)
    plan = rotated.planned()
    named = purge_running.renamed(as_plain(plan), {"g1": "Zebulon's", "g2": "Wystan"})
    row = rotated.started(course_class, rotation=from_plain(named))
    run_rotation.name_helpers(rotation=row, names={"A": HELPER, "B": "Quillan Quark"})
    told = rotated.mark("here", group="Wystan", station="A", at=cast.NOW)
    run_rotation.take_marks(rotation=row, sent=[told], clock=None, by=by, now=cast.NOW)
    common = {"course_class": course_class, "by": HELPER, "at": cast.NOW, "received_at": cast.NOW}
    FieldNote.objects.create(client_id=uuid.uuid4(), words="Ysolde fell at B", **common)
    SeenTo.objects.create(client_id=uuid.uuid4(), sign="station:A:", **common)
    kits.takes(course_class, kits.kit_of(course_class.owner, "7", "8"))
    kits.give(course_class, "7", group_name="Zebulon's")
    KitEntry.objects.create(
        compass=KitCompass.objects.get(number="8"),
        at=cast.NOW,
        by_name=HELPER,
        event="checked",
        words="Xanthe sat on it",
        course_class=course_class,
    )


def _merged_and_typed(course_class, people, owner):
    ((second, _),) = cast.join(course_class, MERGED)
    keep_roster.merge(second=second, first=people[0], by=owner, now=cast.NOW)
    key = course_class.keys.get()
    key.pk, key.version, key.reason = None, 2, "Xanthe said so"
    key.save()
    TrailEntry.objects.create(
        course_class=course_class,
        at=cast.NOW,
        by=owner.user,
        by_name=owner.name,
        verb="corrected",
        before={"version": 1},
        after={"version": 2, "reason": "as Wystan found"},
    )
    Reading.objects.bulk_create(
        [
            Reading(
                course_class=course_class,
                person=people[1],
                client_id="00000000-0000-4000-9000-000000000001",
                task="1",
                text="quark says 44",
                problem="NotABearing",
                attempt=7,
                received_at=cast.NOW,
                compass_number="XANTHE",
            )
        ]
    )


def close(course_class):
    CourseClass.objects.filter(pk=course_class.pk).update(state="closed", closed_at=cast.LATER)
    course_class.refresh_from_db()


def found(course_class):
    """What the readings say: credit, cause and probability of each, and of each person."""
    whole = debrief(course_class=course_class, now=cast.LATER)
    return (
        {
            judged.reading.key: (judged.credit, judged.cause, judged.verdict.probability)
            for judged in whole.judged
        },
        {key: person.scatter_deg for key, person in whole.diagnosis.people.items()},
    )


def test_after_a_purge_no_table_holds_a_name(named, ines):
    assert names_in(everything_stored()) == list(EVERY_NAME)  # else this test would tell nothing
    close(named)

    purge_names.purge_by_hand(course_class=named, by=Account(ines), now=cast.LATER)

    assert names_in(everything_stored()) == []


def test_readings_and_what_they_say_stay_the_same(named, ines):
    close(named)
    before, readings = found(named), Reading.objects.count()

    purge_names.purge_by_hand(course_class=named, by=Account(ines), now=cast.LATER)

    Results.objects.all().delete()
    assert Reading.objects.count() == readings
    assert found(named) == before


def test_people_become_numbers_and_their_attendance_stays(named, ines):
    close(named)
    ticked = HeadcountMark.objects.filter(is_here=True).count()

    purge_names.purge_by_hand(course_class=named, by=Account(ines), now=cast.LATER)

    assert list(named.people.order_by("pk").values_list("name", flat=True)) == [
        f"#{number}" for number in range(1, 9)
    ]
    assert HeadcountMark.objects.filter(is_here=True, by="").count() == ticked
    assert CheckItem.objects.get().words == "Ask — about her knee"


def test_no_code_and_no_phone_opens_a_purged_class(ines):
    course_class = cast.class_of(ines)
    ((person, secret),) = cast.join(course_class, "Zebulon")
    code = person.personal_code
    close(course_class)
    purge_names.purge_by_hand(course_class=course_class, by=Account(ines), now=cast.LATER)

    assert people_of(course_class, [f"{person.pk}:{secret}"]) == []
    for typed in (code, Person.objects.get().personal_code):
        with pytest.raises(NobodyFound):
            go_on(
                course_class=course_class,
                personal_code=typed,
                address="192.0.2.1",
                now=cast.LATER,
            )


def test_a_purged_class_takes_no_new_names(ines):
    course_class = cast.class_of(ines)
    close(course_class)
    purge_names.purge_by_hand(course_class=course_class, by=Account(ines), now=cast.LATER)
    course_class.refresh_from_db()

    with pytest.raises(NamesGone):
        cast.join(course_class, "Zebulon")
    with pytest.raises(keep_roster.CannotChange, match="names of this class are deleted"):
        keep_roster.take_roster(course_class=course_class, rows=[keep_roster.Row(1, "Zebulon")])
    assert not course_class.people.exists()


def test_names_of_an_open_class_are_not_purged_by_hand(named, ines):
    with pytest.raises(purge_names.CannotPurge, match="Close it first"):
        purge_names.purge_by_hand(course_class=named, by=Account(ines), now=cast.NOW)

    assert names_in(everything_stored()) == list(EVERY_NAME)


# --- the day


@pytest.mark.parametrize(
    ("moment", "state", "purged"),
    [
        # the class is in New Zealand: thirteen hours ahead of UTC in summer
        pytest.param("2027-01-01T10:59:00+00:00", "closed", 0, id="its last minute there"),
        pytest.param("2027-01-01T11:00:00+00:00", "closed", 1, id="the next day there"),
        pytest.param("2027-01-02T12:00:00+00:00", "open", 0, id="open: somebody may be out"),
        pytest.param("2027-01-03T12:00:00+00:00", "open", 1, id="open, and forgotten"),
    ],
)
def test_names_go_when_their_day_is_over_where_the_class_is(ines, moment, state, purged):
    course_class = cast.class_of(ines)
    cast.join(course_class, "Zebulon")
    if state == "closed":
        close(course_class)
    CourseClass.objects.update(names_until=datetime.date(2027, 1, 1))

    number = purge_names.purge_due(now=datetime.datetime.fromisoformat(moment))

    assert number == purged
    assert (Person.objects.get().name == "#1") == bool(purged)


def test_a_class_keeps_names_for_ninety_days_unless_it_says_otherwise(ines):
    assert cast.class_of(ines).names_until == cast.DAY + datetime.timedelta(days=90)


def test_the_operators_command_purges_what_is_due(ines, capsys):
    long_ago = datetime.date(2025, 1, 2)
    course_class = cast.class_of(ines, on=long_ago)
    cast.join(course_class, "Zebulon")
    close(course_class)
    CourseClass.objects.update(names_until=long_ago)

    call_command("purge_names")
    call_command("purge_names")

    assert capsys.readouterr().out.splitlines() == [
        "Names deleted in 1 class.",
        "Names deleted in 0 classes.",
    ]


# --- somebody's own wish


def test_a_wish_is_noted_while_the_class_is_out_and_done_when_it_closes(named, ines):
    person = Person.objects.get(name="Zebulon")

    done = own_wish.wish(person=person, what="name", now=cast.NOW)

    assert (done, Person.objects.get(pk=person.pk).name) == (False, "Zebulon")  # still counted
    run_class.change_state(course_class=named, verb="close", by=Account(ines), now=cast.LATER)
    assert {"Zebulon", MERGED} & set(names_in(everything_stored())) == set()
    assert named.readings.filter(person=person).count() == 2


def test_a_wish_to_delete_all_takes_the_readings_along(named, ines):
    person = Person.objects.get(name="Ysolde")
    own_wish.wish(person=person, what="all", now=cast.NOW)

    run_class.change_state(course_class=named, verb="close", by=Account(ines), now=cast.LATER)

    assert not Person.objects.filter(pk=person.pk).exists()
    assert named.trail.filter(verb="wished_gone", by=None, by_name="—").count() == 1


def test_a_wish_is_taken_back_until_the_class_closes(named, ines):
    person = Person.objects.get(name="Ysolde")
    own_wish.wish(person=person, what="all", now=cast.NOW)

    own_wish.wish(person=person, what="", now=cast.NOW)
    run_class.change_state(course_class=named, verb="close", by=Account(ines), now=cast.LATER)

    assert Person.objects.get(pk=person.pk).name == "Ysolde"


# --- names in texts


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Mia", "—"),
        ("mia's inhaler", "—'s inhaler"),
        ("Miami, damian", "Miami, damian"),
        ("Ask Mia Li; Li too", "Ask —; Li too"),
        ("Ängström+", "—+"),
    ],
)
def test_a_name_in_a_text_goes_as_a_whole_word(text, left):
    assert purge_names.without_names(text, ["Mia Li", "Mia", "Ängström"]) == left
