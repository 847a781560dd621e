"""A laptop without a network may find its clock set back: what was begun can be ended all the same,
at no earlier moment than it began.
"""

import datetime

from exercises.usecases import (
    give_roles,
    hand_out,
    open_class as usecase,
    purge_names,
    run_rotation,
)
from exercises.usecases.trail import Account
from tests import cast, kits, rotated

SET_BACK = cast.NOW - datetime.timedelta(days=400)


def invited(course_class):
    return give_roles.invite(
        course_class=course_class,
        role="helper",
        sees_answers=False,
        days=1,
        by=Account(course_class.owner),
        now=cast.NOW,
    )


def test_a_class_is_closed_and_its_feedback_released(open_class):
    usecase.close_class(course_class=open_class, now=SET_BACK)
    usecase.release_feedback(course_class=open_class, now=SET_BACK)

    open_class.refresh_from_db()
    assert (open_class.state, open_class.closed_at, open_class.released_at) == (
        "closed",
        cast.NOW,
        cast.NOW,
    )


def test_a_class_is_closed_when_its_clock_says_it_is(open_class):
    usecase.close_class(course_class=open_class, now=cast.LATER)

    open_class.refresh_from_db()
    assert open_class.closed_at == cast.LATER


def test_a_compass_comes_back(open_class, ines):
    kits.takes(open_class, kits.kit_of(ines, "1"))
    kits.give(open_class, "1", group_name="Fern")

    hand_out.take_back(course_class=open_class, number="1", now=SET_BACK)

    assert open_class.issues.get().returned_at == cast.NOW


def test_a_rotation_ends(open_class, ines):
    row = rotated.started(open_class)

    run_rotation.end(rotation=row, by=Account(ines), now=SET_BACK)

    row.refresh_from_db()
    assert row.ended_at == cast.NOW


def test_an_invitation_and_a_role_end(open_class, ines, karl):
    given = invited(open_class)
    staff = give_roles.take_as_account(invitation=given, user=karl, now=cast.NOW)

    give_roles.withdraw(invitation=given, by=Account(ines), now=SET_BACK)
    give_roles.end_role(staff=staff, by=Account(ines), now=SET_BACK)

    given.refresh_from_db()
    staff.refresh_from_db()
    assert (given.withdrawn_at, staff.ended_at) == (cast.NOW, cast.NOW)


def test_names_go_with_helpers_and_invitations(open_class, ines):
    given = invited(open_class)
    staff, _ = give_roles.take_by_name(invitation=given, name="Pim", now=cast.NOW)
    cast.close(open_class)

    purge_names.purge_by_hand(course_class=open_class, by=Account(ines), now=SET_BACK)

    given.refresh_from_db()
    staff.refresh_from_db()
    assert (given.withdrawn_at, staff.ended_at) == (cast.NOW, cast.NOW)
