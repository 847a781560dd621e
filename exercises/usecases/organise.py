"""Instructors join to share sites, courses and kit, and part again."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.words import say
from ..models import Kit, Member, Organisation, Site
from ..models.codes import new_invitation_code
from . import guard_door


class CannotOrganise(ValueError):
    """Something that an organisation does not allow. The message says why and what to do."""


@transaction.atomic
def found(*, name: str, by: AbstractUser, now: datetime) -> Organisation:
    """A new organisation, which its founder leads."""
    organisation = Organisation.objects.create(name=name)
    Member.objects.create(organisation=organisation, user=by, leads=True, since=now)
    return organisation


def organisation_of(*, code: str, by: AbstractUser, now: datetime) -> Organisation:
    """The organisation of a code as typed. Raises CannotOrganise; wrong codes are counted by
    account. Raises Shut.
    """
    door = f"organisation for {by.pk}"
    named = Organisation.objects.filter(code=code.upper()[:12])
    organisation = guard_door.look(
        door=door, patience=guard_door.CODES, now=now, find=named.first, guess=code[:12]
    )
    if organisation is None:
        raise CannotOrganise(
            say("No organisation has this code. Ask one who leads it for a new link.")
        )
    return organisation


@transaction.atomic
def join(*, organisation: Organisation, user: AbstractUser, now: datetime) -> None:
    """Let an account in. Twice changes nothing."""
    Member.objects.get_or_create(organisation=organisation, user=user, defaults={"since": now})


@transaction.atomic
def new_code(*, organisation: Organisation) -> None:
    """Let the link that was given out hold no longer; members stay."""
    Organisation.objects.filter(pk=organisation.pk).update(code=new_invitation_code())


@transaction.atomic
def leave(*, organisation: Organisation, user: AbstractUser) -> None:
    """Let a member go; the sites and kits that they shared are theirs alone again. Raises
    CannotOrganise for the last one who leads while others are in it.
    """
    members = Member.objects.select_for_update().filter(organisation=organisation)
    others = members.exclude(user=user)
    if others.exists() and not others.filter(leads=True).exists():
        raise CannotOrganise(
            say("Nobody else leads it. Let another member lead it first, then leave.")
        )
    members.filter(user=user).delete()
    for shared in (Site, Kit):
        shared.objects.filter(organisation=organisation, owner=user).update(organisation=None)
    if not others.exists():
        organisation.delete()


def share(*, site: Site, organisation: Organisation | None) -> None:
    """Share a site with an organisation, or with nobody any more."""
    Site.objects.filter(pk=site.pk).update(organisation=organisation)


@transaction.atomic
def let_lead(*, organisation: Organisation, user: AbstractUser) -> None:
    """Let a member lead too."""
    Member.objects.filter(organisation=organisation, user=user).update(leads=True)
