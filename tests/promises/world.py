"""A world in which there is a row of every table, and a second class and site beside it; and ways
of writing rows past the use cases.
"""

import copy
import uuid
from dataclasses import dataclass, field

from django.db import connection

from exercises.models import (
    AuthenticatorApp,
    CheckItem,
    Compass,
    Course,
    Failures,
    FieldNote,
    Group,
    Hazard,
    Headcount,
    HeadcountMark,
    Issue,
    Key,
    KitEntry,
    Label,
    ObservedBearing,
    PaperEntry,
    Passkey,
    Person,
    Phone,
    Reading,
    RecoveryCode,
    Reply,
    Results,
    SeenTo,
    SentForm,
    Survey,
    TrailEntry,
)
from exercises.usecases import count_heads, give_roles, keep_roster, organise, trail
from exercises.usecases.debrief import debrief
from tests import cast, kits, rotated


@dataclass
class World:
    """Rows by what they are: `rows["reading"]` is of Ines's class, `other["reading"]` of Karl's."""

    rows: dict = field(default_factory=dict)
    other: dict = field(default_factory=dict)

    def put(self, which, /, **values):
        """Change a row where it stands."""
        row = self.rows[which]
        assert type(row)._base_manager.filter(pk=row.pk).update(**values) == 1

    def add(self, which, /, **values):
        """Write a row once more, with other values."""
        row = copy.copy(self.rows[which])
        row.pk = None
        for column, value in {**fresh(row), **values}.items():
            setattr(row, column, value)
        type(row)._base_manager.bulk_create([row])

    def drop(self, name):
        """Delete a row by itself, leaving to others what hangs on it."""
        row = self.rows[name]
        with connection.cursor() as cursor:
            cursor.execute(f'DELETE FROM "{row._meta.db_table}" WHERE id = %s', [row.pk])


def fresh(row):
    """What must differ in a second row, so that nothing but a promise stands in its way."""
    names = {one.name for one in row._meta.concrete_fields}
    return {
        **({"client_id": uuid.uuid4()} if "client_id" in names else {}),
        **({"attempt": row.attempt + 1} if "attempt" in names else {}),
        **({"version": row.version + 1} if "version" in names else {}),
        **({"token": uuid.uuid4().hex} if "token" in names else {}),
    }


def build(ines, karl):
    """The world."""
    world = World()
    of = world.rows
    of["site"] = cast.site_of(ines)
    of["course"] = cast.course_of(of["site"])
    of["class"] = cast.class_of(ines, course=of["course"])
    _ground(of)
    _people(of, ines)
    _field(of, ines, karl)
    of["draft"] = cast.class_of(ines, course=of["course"], is_open=False)
    far = world.other
    far["site"] = cast.site_of(karl, "Another ground")
    far["course"] = cast.course_of(far["site"])
    far["class"] = cast.class_of(karl, course=far["course"])
    far["point"] = far["site"].points.get(code="A")
    ((far["person"], _),) = cast.join(far["class"], "Tom")
    far["group"] = Group.objects.create(course_class=far["class"], name="g1")
    cast.send(far["class"], far["person"], ("1", "044"))
    far["reading"], far["compass"] = far["person"].readings.get(), far["person"].compass
    far["kit_compass"] = kits.kit_of(karl, "1").compasses.get()
    return world


def _ground(of):
    site = of["site"]
    of["point"], of["target"] = site.points.get(code="A"), site.points.get(code="T1")
    of["visible"] = of["point"].sees.get(target=of["target"])
    of["task"] = of["course"].tasks.get(number=1)
    of["sister course"] = Course.objects.create(site=site, name="Another round")
    of["hazard"] = Hazard.objects.create(
        site=site, kind="road", name="Lane", corners=[[-45.13, 170.1], [-45.14, 170.1]]
    )
    of["survey"] = Survey.objects.create(
        point=of["point"],
        method="map",
        latitude=of["point"].latitude,
        longitude=of["point"].longitude,
        major_m=2,
        minor_m=1,
        received_at=cast.NOW,
    )
    of["observed"] = ObservedBearing.objects.create(
        site=site,
        station=of["point"],
        target=of["target"],
        bearing_deg=44,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )


def _people(of, ines):
    made = of["class"]
    joined = rotated.grouped(made)
    of["person"], of["second"] = joined["Mia"][0], joined["Tom"][0]
    of["group"], of["compass"] = of["person"].group, of["person"].compass
    of["bare"] = Person.objects.create(course_class=made, name="Una")
    Compass.objects.create(course_class=made, number="8")
    of["phone"] = Phone.objects.get(person=of["person"])
    cast.send(made, of["person"], ("1", "044"))
    of["reading"] = Reading.objects.get()
    of["unread"] = _unread(of)
    of["key"] = Key.objects.get()
    of["reply"] = Reply.objects.create(
        course_class=made,
        reading=of["unread"],
        client_id=uuid.uuid4(),
        question="arithmetic",
        received_at=cast.NOW,
    )
    of["label"] = Label.objects.create(
        course_class=made,
        reading=of["reading"],
        client_id=uuid.uuid4(),
        cause="ok",
        was_cause="ok",
        was_probability=0.5,
        said_by="person",
        received_at=cast.NOW,
    )
    of["paper"] = PaperEntry.objects.create(
        course_class=made, person=of["person"], task="1", hand=1, text="044", typed_at=cast.NOW
    )
    debrief(course_class=made, now=cast.LATER)
    of["results"] = Results.objects.get(course_class=made)
    by = trail.Account(ines)
    ((doubled, _),) = cast.join(made, "Mya")
    keep_roster.merge(second=doubled, first=of["person"], by=by, now=cast.NOW)
    of["trail"] = TrailEntry.objects.create(
        course_class=made, at=cast.NOW, by=ines, by_name="ines", verb="corrected"
    )


def _unread(of):
    cast.send(of["class"], of["person"], ("1", "forty"))
    return Reading.objects.get(problem="NotABearing")


def _field(of, ines, karl):
    made, by = of["class"], trail.Account(ines)
    kit = kits.kit_of(ines, "1", "2")
    kits.takes(made, kit)
    kits.give(made, "1", person=of["person"])
    of["kit"], of["kit_compass"] = kit, kit.compasses.get(number="1")
    of["spare"] = kit.compasses.get(number="2")
    of["issue"] = Issue.objects.get()
    of["entry"] = KitEntry.objects.create(
        compass=of["kit_compass"], at=cast.NOW, by_name="ines", event="checked"
    )
    count = count_heads.begin(course_class=made, occasion="before", by=by, now=cast.NOW)
    sent = [{"id": str(uuid.uuid4()), "person": of["person"].pk, "here": True}]
    count_heads.take_marks(headcount=count, sent=sent, clock=None, by=by, now=cast.NOW)
    of["headcount"], of["mark"] = Headcount.objects.get(), HeadcountMark.objects.get()
    of["rotation"] = rotated.started(made)
    of["rotation_mark"] = of["rotation"].marks.create(
        client_id=uuid.uuid4(),
        what="here",
        group="g1",
        station="A",
        by="Niamh",
        marked_at=cast.NOW,
        received_at=cast.NOW,
    )
    said = {"course_class": made, "by": "Niamh", "at": cast.NOW, "received_at": cast.NOW}
    of["seen"] = SeenTo.objects.create(client_id=uuid.uuid4(), sign="station:A:", **said)
    of["note"] = FieldNote.objects.create(client_id=uuid.uuid4(), words="A gate is shut", **said)
    of["check"] = CheckItem.objects.create(course_class=made, number=1, words="First aid box")
    of["app"] = AuthenticatorApp.objects.create(
        user=of["class"].owner, name="Phone", sealed_secret="x", since=cast.NOW, last_step=0
    )
    of["passkey"] = Passkey.objects.create(
        user=of["class"].owner,
        name="Laptop",
        rp_id="class.example",
        credential_id="x",
        user_handle="x",
        public_key="x",
        sign_count=0,
        since=cast.NOW,
    )
    of["recovery"] = RecoveryCode.objects.create(user=of["class"].owner, digest="x")
    of["sent_form"] = SentForm.objects.create(user=karl, digest="a", at=cast.NOW)
    of["failures"] = Failures.objects.create(door="somewhere", last_at=cast.NOW)
    of["invitation"] = give_roles.invite(
        course_class=made, role="helper", sees_answers=False, days=1, by=by, now=cast.NOW
    )
    of["staff"] = give_roles.take_as_account(invitation=of["invitation"], user=karl, now=cast.NOW)
    of["organisation"] = organise.found(name="Wardens", by=karl, now=cast.NOW)
