"""A class with a row of every kind, for tests of exports."""

import uuid

from exercises.models import (
    CourseClass,
    FieldNote,
    Hazard,
    KitEntry,
    Label,
    ObservedBearing,
    PaperEntry,
    Reading,
    Reply,
    SeenTo,
)
from exercises.usecases import count_heads, keep_roster, prepare_class, run_rotation, survey_site
from exercises.usecases.trail import Account
from tests import cast, kits, rotated

PEOPLE = ("Zebulon", "Ysolde", "Xanthe")  # invented; nothing else is called so


def full_class(owner):
    """A closed class of three with everything that a class can have."""
    course_class = cast.class_of(owner)
    people = [person for person, _ in cast.join(course_class, *PEOPLE)]
    for place, person in enumerate(people):
        cast.send(course_class, person, ("1", f"{44 + place:03d}"), ("3", "125"), ("1", "046"))
    keep_roster.change_person(person=people[0], name=people[0].name, group="Zebulon's")
    ((second, _),) = cast.join(course_class, "Zebby")
    keep_roster.merge(second=second, first=people[0], by=Account(owner), now=cast.NOW)
    _on_the_ground(course_class)
    _while_out(course_class, people)
    _said(course_class, people[1])
    CourseClass.objects.filter(pk=course_class.pk).update(state="closed", closed_at=cast.LATER)
    course_class.refresh_from_db()
    return course_class


def _on_the_ground(course_class):
    site = course_class.course.site
    points = {point.code: point for point in site.points.all()}
    site.meeting_point, site.safety_bearing_deg = "hut — ‘Ōmarama’", 12.3
    site.save()
    Hazard.objects.create(site=site, kind="water", name="pond", corners=[[-45.14, 170.1]])
    ObservedBearing.objects.create(
        site=site,
        station=points["A"],
        target=points["B"],
        bearing_deg=66.1,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )
    place = points["T2"].as_domain()
    found = survey_site.unsaved(
        place.position,
        place.error,
        "receiver",
        measured_on=cast.DAY,
        by=course_class.owner,
        now=cast.NOW,
    )
    survey_site.add_survey(point=points["T2"], survey=found)


def _while_out(course_class, people):
    by = Account(course_class.owner)
    row = rotated.started(course_class)
    run_rotation.name_helpers(rotation=row, names={"A": "Xanthe"})
    run_rotation.take_marks(
        rotation=row,
        sent=[rotated.mark("here", group="g1", station="A", at=cast.NOW)],
        clock=None,
        by=by,
        now=cast.NOW,
    )
    common = {
        "course_class": course_class,
        "by": "Xanthe",
        "at": cast.NOW,
        "received_at": cast.NOW,
    }
    FieldNote.objects.create(client_id=uuid.uuid4(), words="Ysolde fell at B", **common)
    SeenTo.objects.create(client_id=uuid.uuid4(), sign="station:A:", **common)
    kits.takes(course_class, kits.kit_of(course_class.owner, "7", "8"))
    kits.give(course_class, "7", person=people[0])
    kits.give(course_class, "8", group_name="Zebulon's")
    KitEntry.objects.create(
        compass=course_class.kit.compasses.get(number="8"),
        at=cast.NOW,
        by_name=by.name,
        event="checked",
        words="sound",
        course_class=course_class,
    )
    count = count_heads.begin(course_class=course_class, occasion="before", by=by, now=cast.NOW)
    ticked = [{"id": str(uuid.uuid4()), "person": people[0].pk, "here": True}]
    count_heads.take_marks(headcount=count, sent=ticked, clock=None, by=by, now=cast.NOW)
    prepare_class.set_lines(course_class=course_class, lines=["Ask Ysolde about her knee"])
    PaperEntry.objects.create(
        person=people[2],
        course_class=course_class,
        task="2",
        hand=1,
        text="300",
        typed_by=course_class.owner,
        typed_at=cast.NOW,
    )


def _said(course_class, person):
    first, last = Reading.objects.filter(person=person, task="1").order_by("pk")
    common = {"course_class": course_class, "received_at": cast.NOW}
    Reply.objects.create(
        client_id=uuid.uuid4(), reading=first, question="needle_end", said="marked", **common
    )
    Label.objects.create(
        client_id=uuid.uuid4(),
        reading=last,
        cause="reversed",
        was_cause="ok",
        was_probability=0.25,
        said_by="instructor",
        by=course_class.owner,
        **common,
    )
