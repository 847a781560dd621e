"""A kit of Ines's with some compasses, for tests."""

from exercises.models import Kit, KitCompass
from exercises.usecases import hand_out, keep_kit
from exercises.usecases.trail import Account
from tests import cast


def kit_of(owner, *numbers, name="Blue box"):
    """A kit with these numbers."""
    kit = Kit.objects.create(owner=owner, name=name)
    KitCompass.objects.bulk_create(KitCompass(kit=kit, number=number) for number in numbers)
    return kit


def write(kit, number, event, *, now=cast.NOW, **more):
    """An entry in the log of one of its compasses."""
    return keep_kit.write(
        compass=kit.compasses.get(number=number),
        event=event,
        by=Account(kit.owner),
        now=now,
        **more,
    )


def takes(course_class, kit):
    """Let a kit go out with a class."""
    hand_out.choose_kit(
        course_class=course_class, kit=kit, by=Account(course_class.owner), now=cast.NOW
    )
    course_class.refresh_from_db()
    return course_class


def give(course_class, *numbers, person=None, group_name=""):
    """Give compasses out."""
    hand_out.give_out(
        course_class=course_class,
        numbers=numbers,
        person=person,
        group_name=group_name,
        by=Account(course_class.owner),
        now=cast.NOW,
    )


def numbers_out(course_class):
    """(number, name or group) of what is out, by number."""
    return sorted(
        (issue.compass.number, issue.person.name if issue.person else issue.group_name)
        for issue in course_class.issues.filter(returned_at=None)
    )
