"""Who may see or do what: one function a question. A stranger is told that nothing is there."""

from django.http import Http404

from .domain.tasks import telling
from .models import CourseClass, Site


def site_of(user, pk):
    """A site of this instructor. Raises Http404 for anybody else's."""
    return _own(Site.objects, user, pk)


def class_of(user, pk):
    """A class of this instructor, with its course and site. Raises Http404 for anybody else's."""
    return _own(CourseClass.objects.select_related("course__site"), user, pk)


def _own(rows, user, pk):
    row = rows.filter(pk=pk, owner=user).first()
    if row is None:
        raise Http404("There is nothing at this address for you.")
    return row


def may_see_sheets(course_class, answers):
    """Whether participants may see their whole sheet."""
    return telling.may_see_sheets(
        answers, course_class.telling(), is_closed=course_class.state == CourseClass.State.CLOSED
    )
