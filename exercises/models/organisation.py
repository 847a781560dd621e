"""Instructors who share their sites, courses and kit."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from . import promised
from .codes import new_invitation_code


class Organisation(models.Model):
    """Instructors who share what they choose to share. Whoever has its code may join with an
    account; a new code shuts the old one's door.
    """

    name = models.CharField(_("Name"), max_length=80)
    code = models.CharField(max_length=12, unique=True, default=new_invitation_code)
    members = models.ManyToManyField(
        settings.AUTH_USER_MODEL, through="Member", related_name="organisations"
    )

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            *promised.filled("organisation", "name"),
        ]

    def __str__(self):
        return self.name


class Member(models.Model):
    """An account in an organisation. Who leads it lets others in and out."""

    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="memberships"
    )
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships"
    )
    leads = models.BooleanField(default=False)
    since = models.DateTimeField()

    class Meta:
        ordering = ["user__username"]
        constraints = [
            models.UniqueConstraint("organisation", "user", name="member_once_in_an_organisation")
        ]

    def __str__(self):
        return f"{self.user} in {self.organisation}"
