"""Compasses given out and taken back in a class, and what its readings say to the kit's log."""

import re

import pytest

from exercises.domain.running.kit import Event
from exercises.models import Issue, Person, TrailEntry
from exercises.usecases import keep_roster, run_class
from exercises.usecases.trail import Account
from tests import cast, kits


def text(answer):
    return " ".join(answer.content.decode().split())


@pytest.fixture
def held(open_class, ines):
    """An open class with Mia and Tom, and a kit of three that goes out with it."""
    cast.join(open_class, "Mia", "Tom")
    return kits.takes(open_class, kits.kit_of(ines, "1", "2", "7"))


def who(course_class, name):
    return course_class.people.get(name=name)


def give(desk, held, numbers, **to):
    return desk.post(f"/classes/{held.pk}/kit/give/", {"numbers": numbers, **to}, follow=True)


def back(desk, held, **what):
    return desk.post(f"/classes/{held.pk}/kit/back/", what, follow=True)


def test_a_class_without_a_kit_shows_nothing_of_one(desk, open_class):
    assert "kit/" not in text(desk.get(f"/classes/{open_class.pk}/"))
    assert "kit/" not in text(desk.get(f"/classes/{open_class.pk}/headcount/"))


def test_which_kit_goes_out_is_chosen_and_noted(desk, open_class, ines):
    kit = kits.kit_of(ines, "1")
    address = f"/classes/{open_class.pk}/kit/"
    offered = text(desk.get(address))

    desk.post(f"{address}choose/", {"kit": kit.pk})

    open_class.refresh_from_db()
    assert "Which kit goes out with this class?" in offered
    assert open_class.kit == kit
    noted = TrailEntry.objects.get()
    assert (noted.verb, noted.after) == ("kit", {"name": "Blue box"})


def test_a_kit_of_somebody_else_is_not_there_to_choose(desk, open_class, karl):
    theirs = kits.kit_of(karl, "1")

    answer = desk.post(f"/classes/{open_class.pk}/kit/choose/", {"kit": theirs.pk})

    open_class.refresh_from_db()
    assert (answer.status_code, open_class.kit) == (404, None)


def test_another_kit_waits_until_all_are_back(desk, held, ines):
    other = kits.kit_of(ines, "1", name="Red box")
    kits.give(held, "1", person=who(held, "Mia"))

    answer = desk.post(f"/classes/{held.pk}/kit/choose/", {"kit": other.pk}, follow=True)

    held.refresh_from_db()
    assert "Compasses of the other kit are out (1). Take them back first." in text(answer)
    assert held.kit.name == "Blue box"


def test_each_person_is_offered_the_number_that_they_told_or_the_next(desk, held):
    page = text(desk.get(f"/classes/{held.pk}/kit/"))

    offered = re.findall(r"<strong>(Mia|Tom)</strong>.*?<option selected>(\w+)</option>", page)
    assert offered == [("Mia", "7"), ("Tom", "7")]  # the phone said 7 for both


def test_one_press_gives_and_one_takes_back(desk, held):
    given = give(desk, held, "1", person=who(held, "Mia").pk)
    out = kits.numbers_out(held)
    taken = back(desk, held, number="1")

    assert "1 compass is out" in text(given)
    assert out == [("1", "Mia")]
    assert "1 compass is back." in text(taken)
    assert kits.numbers_out(held) == []
    assert Issue.objects.get().returned_at is not None


def test_given_twice_to_the_same_is_given_once(desk, held):
    for _ in range(2):
        give(desk, held, "1", person=who(held, "Mia").pk)

    assert Issue.objects.count() == 1


def test_a_compass_is_out_only_once_at_a_time(desk, held):
    give(desk, held, "1", person=who(held, "Mia").pk)
    answer = give(desk, held, "1", person=who(held, "Tom").pk)

    assert "Compass 1 is with Mia. Take it back first." in text(answer)
    assert kits.numbers_out(held) == [("1", "Mia")]


def test_a_compass_that_is_out_with_another_class_must_come_back_first(desk, held, ines):
    other = cast.class_of(ines, course=held.course)
    kits.give(kits.takes(other, held.kit), "1", group_name="Owls")

    answer = give(desk, held, "1", person=who(held, "Mia").pk)

    assert "Compass 1 is out with another class." in text(answer)
    assert "Out with other classes: 1." in text(answer)
    assert kits.numbers_out(held) == []


def test_a_group_gets_several_or_none(desk, held):
    keep_roster.change_person(person=who(held, "Tom"), name="Tom", group="Owls")
    kits.write(held.kit, "7", Event.WITHDRAWN)

    refused = give(desk, held, "1, 7", group="Owls")
    none = kits.numbers_out(held)
    give(desk, held, "1-2", group="Owls")

    assert "Compass 7 was withdrawn. Give out another one." in text(refused)
    assert none == []
    assert kits.numbers_out(held) == [("1", "Owls"), ("2", "Owls")]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [("99", "There is no compass 99 in this kit."), ("", "This field is required.")],
)
def test_a_number_that_is_none_is_said(desk, held, numbers, said):
    answer = give(desk, held, numbers, person=who(held, "Mia").pk)

    assert said in text(answer)
    assert not Issue.objects.exists()


def test_a_person_of_another_class_gets_none(desk, held, ines):
    other = cast.class_of(ines, course=held.course)
    ((stranger, _),) = cast.join(other, "Nia")

    answer = give(desk, held, "1", person=stranger.pk)

    assert answer.status_code == 404
    assert not Issue.objects.exists()


def test_all_come_back_at_once(desk, held):
    give(desk, held, "1", person=who(held, "Mia").pk)
    give(desk, held, "2", person=who(held, "Tom").pk)

    assert "2 compasses are back." in text(back(desk, held))
    assert kits.numbers_out(held) == []


def test_what_is_faulty_or_withdrawn_is_not_offered(desk, held):
    kits.write(held.kit, "1", Event.BUBBLE)
    kits.write(held.kit, "7", Event.WITHDRAWN)

    page = text(desk.get(f"/classes/{held.pk}/kit/"))

    assert re.findall(r"<option[^>]*>(\w+)</option>", page) == ["2", "2"]
    assert '<strong>1</strong> <span class="error">a bubble</span>' in page


def test_the_headcount_and_the_roster_say_how_many_are_out_and_with_whom(desk, held):
    give(desk, held, "2", person=who(held, "Mia").pk)
    desk.post(f"/classes/{held.pk}/headcount/", {"occasion": "after"})
    count = held.headcounts.get()

    assert "1 compass is out" in text(desk.get(f"/classes/{held.pk}/headcount/"))
    assert "1 compass is out" in text(desk.get(f"/classes/{held.pk}/roster/"))
    page = text(desk.get(f"/classes/{held.pk}/headcount/{count.pk}/"))
    assert '<strong>Mia</strong> <span class="dim"></span> <span class="dim">compass 2</span>' in (
        page
    )


def test_what_is_not_back_is_named_before_the_class_closes(desk, held):
    give(desk, held, "2", person=who(held, "Mia").pk)

    page = text(desk.get(f"/classes/{held.pk}/closing/"))

    assert "Compasses that are not back:</strong> 2 (Mia)." in page


def test_a_name_that_is_taken_out_leaves_no_name_at_its_compass(desk, held):
    give(desk, held, "2", person=who(held, "Mia").pk)
    give(desk, held, "1", person=who(held, "Tom").pk)
    keep_roster.take_out(person=who(held, "Mia"), by=Account(held.owner), now=cast.LATER)
    keep_roster.purge(person=who(held, "Tom"), by=Account(held.owner), now=cast.LATER)

    page = text(desk.get(f"/classes/{held.pk}/kit/"))

    assert "2 compasses are out" in page
    assert page.count("somebody who was taken out") == 2


def test_a_compass_given_to_somebody_without_one_is_that_of_their_readings(desk, held):
    pia = Person.objects.create(course_class=held, name="Pia")
    held.kit.compasses.filter(number="2").update(graduation_deg=5)

    give(desk, held, "2", person=pia.pk)

    pia.refresh_from_db()
    assert (pia.compass.number, pia.compass.graduation_deg) == ("2", 5.0)


def test_what_a_phone_told_of_its_compass_stays(desk, held):
    give(desk, held, "2", person=who(held, "Mia").pk)

    assert who(held, "Mia").compass.number == "7"


@pytest.mark.parametrize("number", [1, 30])
def test_a_class_of_any_size_costs_as_many_queries(
    desk, open_class, ines, number, django_assert_num_queries
):
    names = [f"P{place}" for place in range(number)]
    cast.join(open_class, *names)
    kits.takes(open_class, kits.kit_of(ines, *map(str, range(number))))
    for place, name in enumerate(names):
        kits.give(open_class, str(place), person=who(open_class, name))

    with django_assert_num_queries(10):
        desk.get(f"/classes/{open_class.pk}/kit/")


def test_the_key_keeps_what_the_log_said_when_the_class_opened(desk, ines):
    made = cast.class_of(ines, is_open=False)
    kit = kits.kit_of(ines, "7", "8")
    kits.takes(made, kit)
    kits.write(kit, "7", Event.OFF, offset_deg=4.0, error_deg=0.5)
    run_class.change_state(course_class=made, verb="open", by=Account(ines), now=cast.NOW)
    kits.write(kit, "7", Event.REPAIRED)

    known = made.keys.get().known_compasses()

    assert list(known) == ["7"]
    assert (known["7"].offset_deg, known["7"].error_deg) == (4.0, 0.5)
