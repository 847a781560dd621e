"""Going on with another phone, and handing readings in by the instructor."""

from datetime import timedelta

import pytest

from exercises.models import Failures, Person, Phone, Reading
from exercises.models.codes import ALPHABET
from exercises.usecases import keep_roster
from exercises.usecases.guard_door import CODES, Shut
from exercises.usecases.join_class import NobodyFound, go_on, people_of
from exercises.usecases.take_readings import take_readings
from exercises.usecases.trail import Account
from tests import cast

HERE, STRANGER = "192.0.2.1", "198.51.100.9"  # for documentation, RFC 5737


def tokens(joined):
    return [f"{person.pk}:{secret}" for person, secret in joined]


def test_everybody_gets_a_personal_code_without_letters_that_are_mistaken(open_class):
    codes = [person.personal_code for person, _ in cast.join(open_class, "Mia", "Tom")]

    assert len(set(codes)) == 2
    assert {len(code) for code in codes} == {6}
    assert set("".join(codes)) <= set(ALPHABET)


@pytest.mark.parametrize("typed", [str.lower, lambda code: f" {code[:3]} {code[3:]} "])
def test_the_personal_code_lets_another_phone_speak_beside_the_first(open_class, mia, typed):
    other = guess(open_class, HERE, code=typed(mia.personal_code))

    assert (
        people_of(open_class, tokens(other)) == people_of(open_class, tokens(mia.joined)) == [mia]
    )
    assert (Person.objects.count(), Phone.objects.count()) == (1, 2)


def test_a_code_of_another_class_opens_nothing(ines, open_class, mia):
    elsewhere = cast.class_of(ines, course=open_class.course)

    with pytest.raises(NobodyFound, match="Nobody in this class has the code"):
        guess(elsewhere, HERE, code=mia.personal_code)


def guess(course_class, address, now=cast.NOW, code="NOBODY"):
    return go_on(course_class=course_class, personal_code=code, address=address, now=now)


def guess_wrong(course_class, address, times):
    for number in range(times):
        with pytest.raises(NobodyFound):
            guess(course_class, address, code=f"NO{number}")


def test_after_many_wrong_codes_their_address_waits_and_no_other(open_class, mia):
    guess_wrong(open_class, STRANGER, CODES.bears)
    with pytest.raises(NobodyFound):
        guess(open_class, STRANGER)  # the first that it waits after

    with pytest.raises(Shut, match="Wait 2 seconds"):
        guess(open_class, STRANGER, code=mia.personal_code)
    assert guess(open_class, HERE, code=mia.personal_code)
    assert guess(open_class, STRANGER, cast.NOW + timedelta(seconds=2), mia.personal_code)


def test_right_codes_are_never_counted(open_class, mia):
    for _ in range(CODES.bears + 1):
        guess(open_class, HERE, code=mia.personal_code)

    assert Failures.objects.count() == 0


def test_a_reading_that_was_handed_in_says_so_and_is_not_doubled_by_the_phone(open_class, mia):
    sent, answers = cast.reading(mia), open_class.keys.get().as_domain()

    handed = take_readings(
        course_class=open_class,
        people=[mia],
        sent=[sent],
        answers=answers,
        now=cast.NOW,
        source=Reading.Source.HANDED,
    )
    again = take_readings(
        course_class=open_class, people=[mia], sent=[sent], answers=answers, now=cast.LATER
    )

    assert [outcome.status for outcome in (*handed, *again)] == ["stored", "again"]
    assert Reading.objects.get().source == "handed"


def test_the_code_of_somebody_who_was_taken_out_opens_nothing(ines, open_class, mia):
    keep_roster.take_out(person=mia, by=Account(ines), now=cast.NOW)

    with pytest.raises(NobodyFound):
        guess(open_class, HERE, code=mia.personal_code)
