"""Who may see or do what: one function a question. A stranger is told that nothing is there."""

from dataclasses import dataclass

from django.contrib.auth.models import AbstractUser
from django.http import Http404

from .domain.running import roles
from .domain.running.roles import Act
from .domain.tasks import telling
from .models import CourseClass, Kit, Site


@dataclass(frozen=True)
class Acting:
    """Somebody with a role in a class, and what they are called; `user` is None of who has no
    account.
    """

    course_class: CourseClass
    role: str
    name: str
    user: AbstractUser | None = None
    sees_answers: bool = False

    def may(self, act):
        """Whether they may do something here."""
        return roles.may(self.role, act, sees_answers=self.sees_answers)


def site_of(user, pk):
    """A site of this instructor, or one that is shared with them. Raises Http404 for another."""
    site = Site.objects.usable_by(user).filter(pk=pk).first()
    if site is None:
        raise _nothing_here()
    return site


def kit_of(user, pk):
    """A kit of this instructor, or one that is shared with them. Raises Http404 for another."""
    kit = Kit.objects.usable_by(user).filter(pk=pk).first()
    if kit is None:
        raise _nothing_here()
    return kit


def acting_in(user, pk):
    """An account as it acts in a class, which has its course and site along; None where the
    account has no role in it.
    """
    course_class = CourseClass.objects.kept().select_related("course__site").filter(pk=pk).first()
    if course_class is None or not user.is_authenticated:
        return None
    if course_class.owner_id == user.pk:
        return Acting(course_class, roles.OWNER, user.get_username(), user)
    staff = course_class.staff.filter(user=user, ended_at=None).first()
    return staff and as_acting(staff, course_class)


def as_acting(staff, course_class):
    """A row of staff as it acts."""
    return Acting(course_class, staff.role, staff.name, staff.user, staff.sees_answers)


def class_of(user, pk, act=Act.RUN):
    """A class in which this account may do something, with its course and site. Raises Http404
    where it may not.
    """
    return acting_for(user, pk, act).course_class


def acting_for(user, pk, act):
    """An account as it acts that may do something in a class. Raises Http404."""
    acting = acting_in(user, pk)
    if acting is None or not acting.may(act):
        raise _nothing_here()
    return acting


def _nothing_here():
    return Http404("There is nothing at this address for you.")


def may_see_sheets(course_class, answers):
    """Whether participants may see their whole sheet."""
    return telling.may_see_sheets(
        answers, course_class.telling(), is_closed=course_class.state == CourseClass.State.CLOSED
    )
