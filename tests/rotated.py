"""A class with a rotation: stations A and B, groups g1 with Mia and g2 with Tom."""

import uuid

from exercises.domain.running.rotation import plain
from exercises.models import Group
from exercises.usecases import run_rotation
from exercises.usecases.trail import Account
from tests import cast
from tests.rotations import problem_of


def grouped(course_class, names=("Mia", "Tom")):
    """A group for each name, g1, g2; the people as (person, secret) by name."""
    joined = cast.join(course_class, *names)
    for place, (person, _) in enumerate(joined, 1):
        person.group, _ = Group.objects.get_or_create(course_class=course_class, name=f"g{place}")
        person.save()
    return {person.name: (person, secret) for person, secret in joined}


def planned(groups=2, places=("A", "B")):
    """g1 at A 0 to 4 and at B 5 to 9, g2 the other way round: 50 m are a minute's walk."""
    ground = {code: (50.0 * place, 0.0) for place, code in enumerate(places)}
    return plain(problem_of(ground, groups))


def kept(course_class, starts_at=cast.NOW, rotation=None):
    """A rotation that is kept, and not started."""
    return run_rotation.keep(
        course_class=course_class,
        planned=rotation or planned(),
        starts_at=starts_at,
        by=Account(course_class.owner),
        now=cast.NOW,
    )


def started(course_class, starts_at=cast.NOW, rotation=None):
    """A rotation that runs since a moment."""
    row = kept(course_class, starts_at, rotation)
    run_rotation.start(
        rotation=row, starts_at=starts_at, by=Account(course_class.owner), now=starts_at
    )
    row.refresh_from_db()
    return row


def mark(what, *, number=None, group=None, station=None, at=None, **more):
    """A mark as a helper's page sends it."""
    about = {"round": number} if group is None else {"group": group, "station": station}
    moment = {"marked_at": at.isoformat()} if at else {}
    return {"id": str(uuid.uuid4()), "what": what, **about, **moment, **more}
