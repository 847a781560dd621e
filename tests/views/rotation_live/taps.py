"""What helpers tap while a rotation runs, as it is sent and taken in, and where groups are then."""

import datetime

from exercises.presenting.rotation_live import rotation_now
from exercises.usecases import run_rotation
from exercises.usecases.trail import Named
from tests import cast


def after(minutes):
    return cast.NOW + datetime.timedelta(minutes=minutes)


def take(row, *marks, at, by="Pim"):
    return run_rotation.take_marks(
        rotation=row, sent=list(marks), clock=at.isoformat(), by=Named(by), now=at
    )


def post(desk, row, *marks, **more):
    return desk.post(
        f"/classes/{row.course_class_id}/rotation/marks/",
        {"version": row.version, "marks": list(marks), **more},
        content_type="application/json",
    )


def groups(course_class, at):
    return {one["group"]: one for one in rotation_now(course_class, at)["groups"]}
