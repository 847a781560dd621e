"""Who runs a class besides its owner, who shares sites, and who did what."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.running import roles
from . import promised
from .codes import new_invitation_code
from .course_class import CourseClass

ROLE_CHOICES = [(role, translation.gettext_lazy(vocabulary.ROLES[role])) for role in roles.GIVEN]


class Invitation(models.Model):
    """A link or code that gives a role in one class until it expires; whoever has it may use it."""

    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="invitations"
    )
    code = models.CharField(max_length=12, unique=True, default=new_invitation_code)
    role = models.CharField(_("Role"), max_length=14, choices=ROLE_CHOICES, default=roles.HELPER)
    sees_answers = models.BooleanField(_("A helper may see the answers"), default=False)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=roles.GIVEN), name="invitation_to_a_role_that_is_given"
            ),
            models.CheckConstraint(
                condition=Q(sees_answers=False) | Q(role=roles.HELPER),
                name="invitation_shows_answers_to_helpers_alone",
            ),
            promised.in_order("invitation", "made_at", "expires_at"),
            promised.in_order("invitation", "made_at", "withdrawn_at"),
        ]

    def __str__(self):
        return f"{self.role} {self.course_class_id}"

    def holds(self, now):
        """Whether it can be used."""
        return self.withdrawn_at is None and now < self.expires_at


class Staff(models.Model):
    """Somebody with a role in a class: an account, or a name on a phone that holds a secret of
    which only the digest is kept here.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="staff")
    role = models.CharField(max_length=14, choices=ROLE_CHOICES)
    sees_answers = models.BooleanField(default=False)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="roles"
    )
    name = models.CharField(max_length=40)
    secret_digest = models.CharField(max_length=64, blank=True)
    since = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(null=True, blank=True)  # a phone's last use, about

    class Meta:
        ordering = ["name", "pk"]
        verbose_name_plural = "staff"
        constraints = [
            models.UniqueConstraint(
                "course_class",
                "user",
                condition=Q(user__isnull=False),
                name="staff_account_once_in_a_class",
            ),
            models.CheckConstraint(
                condition=Q(user__isnull=False, secret_digest="")
                | (Q(user=None) & ~Q(secret_digest="")),
                name="staff_with_an_account_or_a_phone",
            ),
            models.CheckConstraint(condition=Q(role__in=roles.GIVEN), name="staff_role_is_given"),
            *promised.filled("staff", "name"),
            promised.in_order("staff", "since", "ended_at"),
        ]

    def __str__(self):
        return self.name


class TrailEntry(models.Model):
    """One act that changed what others see: who, when, what, and how it was before and after. Rows
    are never changed.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="trail")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    by_name = models.CharField(max_length=150)
    verb = models.CharField(max_length=20)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name_plural = "trail entries"
        constraints = [
            *promised.filled("trail_entry", "verb"),
        ]

    def __str__(self):
        return f"{self.verb} {self.at:%Y-%m-%d %H:%M}"
