"""A whole export as a file, and a database that knows nothing of it."""

import io

from django.contrib.auth import get_user_model

from exercises.exchange.whole import archive
from exercises.models import CourseClass, HandedId
from exercises.usecases.handing_on import give
from exercises.usecases.handing_on.kinds import KINDS
from tests import cast


def exported(owner, *, site=None, with_names=True, now=cast.LATER):
    return give.document(owner=owner, site=site, with_names=with_names, now=now)


def through_a_file(document):
    return archive.read(io.BytesIO(archive.written(document)))


def emptied():
    """As another server's database: no account, no row."""
    with cast.unheld():
        CourseClass.objects.all().delete()
        for kind in reversed(KINDS):
            kind.model._base_manager.all().delete()
        HandedId.objects.all().delete()
        get_user_model().objects.all().delete()
