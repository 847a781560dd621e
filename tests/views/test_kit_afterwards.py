"""What the readings of a class say to the log of its kit, what the next class's key knows of it,
and what a phone is told of a compass that was withdrawn.
"""

import pytest

from exercises.domain.running.kit import Event
from exercises.models import Course, KitEntry, Person, Task
from exercises.usecases import correct_key, run_class
from exercises.usecases.join_class import change_compass
from exercises.usecases.open_class import open_class
from exercises.usecases.trail import Account
from tests import cast, kits

LINES = (("A", "T1"), ("A", "T2"), ("B", "T1"), ("B", "T3"))


def text(answer):
    return " ".join(answer.content.decode().split())


def held_with(owner, kit, too_much_deg=9.0):
    """A class of eight who sight four lines, each with compass 1 or 2, of which the second shows
    too much; closed.
    """
    course = Course.objects.create(site=cast.site_of(owner), name="Four lines")
    point = {point.code: point for point in course.site.points.all()}
    for number, (station, target) in enumerate(LINES, start=1):
        Task.objects.create(
            course=course,
            number=number,
            kind="sight",
            station=point[station],
            target=point[target],
            north="magnetic",
        )
    made = kits.takes(cast.class_of(owner, course=course, is_open=False), kit)
    open_class(course_class=made, by=owner, now=cast.NOW)
    answers = made.keys.get().as_domain()
    for place, name in enumerate("abcdefgh"):
        number = "12"[place % 2]
        ((person, _),) = cast.join(made, name)
        change_compass(
            course_class=made,
            people=[person],
            compass_number=number,
            graduation_deg=2,
            declination_is_set=False,
        )
        person.refresh_from_db()
        off_deg = (too_much_deg if number == "2" else 0.0) + place % 3 - 1
        for answer in answers:
            text = f"{round(answer.expected_deg + off_deg) % 360:03d}"
            cast.send(made, person, (answer.task, text))
    run_class.change_state(course_class=made, verb="close", by=Account(owner), now=cast.LATER)
    return made


@pytest.fixture
def kit(ines):
    return kits.kit_of(ines, "1", "2", "7")


@pytest.fixture
def withdrawn(open_class, kit):
    """A class whose compass 7 was withdrawn."""
    kits.write(kit, "7", Event.WITHDRAWN)
    return kits.takes(open_class, kit)


def joining(client, course_class, number="7", **more):
    return client.post(
        f"/c/{course_class.code}/join/",
        {
            "names": "Nia",
            "compass": number,
            "graduation": "2",
            "is_set": "no",
            "token": "7b0c5a35-5b9e-4f1c-9d0f-0f5e5f6a7b11",
            **more,
        },
    )


def test_a_phone_that_names_a_withdrawn_compass_is_told(client, withdrawn):
    answer = joining(client, withdrawn)

    assert "Compass 7 was withdrawn: ask your instructor for another one" in text(answer)
    assert 'value="Nia"' in text(answer) or ">Nia</textarea>" in text(answer)
    assert not Person.objects.filter(name="Nia").exists()


@pytest.mark.parametrize(("number", "more"), [("2", {}), ("7", {"insisted": "7"}), ("", {})])
def test_another_number_or_the_same_once_more_is_taken(client, withdrawn, number, more):
    joining(client, withdrawn, number, **more)

    compass = Person.objects.get(name="Nia").compass
    assert (compass.number if compass else "") == number


def test_a_withdrawn_compass_is_told_again_after_another_number(client, withdrawn, kit):
    kits.write(kit, "2", Event.WITHDRAWN)

    assert "Compass 2 was withdrawn" in text(joining(client, withdrawn, "2", insisted="7"))


def test_a_phone_that_changes_to_a_withdrawn_compass_is_told(phone, withdrawn, mia):
    change = {"compass": "7", "graduation": "2", "is_set": "no"}
    mia.compass = None
    mia.save()

    answer = phone.post(f"/c/{withdrawn.code}/compass/", change)
    mia.refresh_from_db()
    before = mia.compass
    phone.post(f"/c/{withdrawn.code}/compass/", change | {"insisted": "7"})

    mia.refresh_from_db()
    assert "Compass 7 was withdrawn" in text(answer)
    assert (before, mia.compass.number) == (None, "7")


def test_without_a_kit_no_compass_is_withdrawn(client, open_class, kit):
    kits.write(kit, "7", Event.WITHDRAWN)

    joining(client, open_class)

    assert Person.objects.get(name="Nia").compass.number == "7"


def test_what_a_class_found_is_offered_to_the_log_and_written_once(desk, ines, kit):
    made = held_with(ines, kit)
    address = f"/classes/{made.pk}/debrief/alone/"
    offered = text(desk.get(address))
    nothing = KitEntry.objects.count()
    for _ in range(2):
        desk.post(f"/classes/{made.pk}/kit/said/")

    assert "For the log of Blue box" in offered
    assert "Write it into the kit’s log" in offered
    assert nothing == 0
    entry = KitEntry.objects.get()
    assert (entry.compass.number, entry.event, entry.course_class) == ("2", "off", made)
    assert entry.offset_deg == pytest.approx(9.0, abs=1.5)
    assert "It stands in the log." in text(desk.get(address))


def test_a_class_that_found_nothing_offers_nothing(desk, ines, kit):
    made = held_with(ines, kit, too_much_deg=0.0)

    page = text(desk.get(f"/classes/{made.pk}/debrief/alone/"))
    desk.post(f"/classes/{made.pk}/kit/said/")

    assert "For the log of" not in page
    assert not KitEntry.objects.exists()


def test_a_class_says_of_a_compass_that_it_is_off_no_more(desk, ines, kit):
    kits.write(kit, "2", Event.OFF, offset_deg=9.0, error_deg=0.6)
    made = held_with(ines, kit, too_much_deg=0.0)

    desk.post(f"/classes/{made.pk}/kit/said/")

    assert list(KitEntry.objects.values_list("event", flat=True)) == ["off", "checked"]
    assert "sound" in text(desk.get(f"/kits/{kit.pk}/compasses/2/"))


def test_the_page_of_a_compass_says_what_classes_found(desk, ines, kit):
    made = held_with(ines, kit)
    desk.get(f"/classes/{made.pk}/debrief/alone/")

    page = text(desk.get(f"/kits/{kit.pk}/compasses/2/"))

    assert "What classes found" in page
    assert "Saturday, 3 Oct 2026 <strong>+8" in page or "Saturday, 3 Oct 2026 <strong>+9" in page


def test_what_is_written_is_known_to_the_next_class(desk, ines, kit):
    made = held_with(ines, kit)
    desk.post(f"/classes/{made.pk}/kit/said/")
    after = kits.takes(cast.class_of(ines, course=made.course, is_open=False), kit)

    open_class(course_class=after, by=ines, now=cast.NOW)

    known = after.keys.get().known_compasses()
    assert list(known) == ["2"]
    assert known["2"].offset_deg == pytest.approx(9.0, abs=1.5)
    assert made.keys.get().known_compasses() == {}


def test_a_corrected_key_knows_of_compasses_what_the_first_one_did(desk, ines, kit):
    kits.write(kit, "2", Event.OFF, offset_deg=9.0, error_deg=0.6)
    made = held_with(ines, kit)
    dropped = correct_key.task_dropped(key=made.keys.get(), task="1")

    correct_key.adopt(key=dropped, by=ines, now=cast.LATER, reason="gate")

    first, second = made.keys.order_by("version")
    assert second.compasses == first.compasses != {}
