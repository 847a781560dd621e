"""Give somebody a role in a class, for as long as it is wanted."""

from __future__ import annotations

import hmac
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.running import roles
from ..domain.words import say
from ..models import CourseClass, Invitation, Staff
from . import guard_door, trail
from .clocks import not_before
from .hold_sessions import NOTED_EVERY
from .join_class import digest


class NoInvitation(ValueError):
    """A code that gives no role, or no longer."""


@transaction.atomic
def invite(
    *,
    course_class: CourseClass,
    role: str,
    sees_answers: bool,
    days: int,
    by: trail.By,
    now: datetime,
) -> Invitation:
    """A new invitation, which holds for some days. Answers are for a helper to see or not; the
    other roles say it themselves.
    """
    invitation = Invitation.objects.create(
        course_class=course_class,
        role=role,
        sees_answers=sees_answers and role == roles.HELPER,
        made_at=now,
        expires_at=now + timedelta(days=days),
    )
    trail.note(course_class=course_class, by=by, now=now, verb="invited", after=_given(invitation))
    return invitation


@transaction.atomic
def withdraw(*, invitation: Invitation, by: trail.By, now: datetime) -> None:
    """Let an invitation hold no longer; who used it keeps the role. Twice changes nothing."""
    changed = Invitation.objects.filter(pk=invitation.pk, withdrawn_at=None).update(
        withdrawn_at=not_before("made_at", now)
    )
    if changed:
        trail.note(
            course_class=invitation.course_class,
            by=by,
            now=now,
            verb="withdrew",
            before=_given(invitation),
        )


def invitation_of(*, code: str, address: str, now: datetime) -> Invitation:
    """The invitation of a code as typed or scanned. Raises NoInvitation; wrong codes are counted by
    the address that they come from. Raises Shut.
    """
    door = f"invitation from {address}"
    named = Invitation.objects.select_related(
        "course_class__course__site", "course_class__owner"
    ).filter(code="".join(filter(str.isalnum, code)).upper()[:12])
    invitation = guard_door.look(
        door=door, patience=guard_door.CODES, now=now, find=named.first, guess=code[:12]
    )
    if invitation is None:
        raise NoInvitation(say("No invitation has this code. Check it with who gave it to you."))
    if not invitation.holds(now):
        raise NoInvitation(say("This invitation does not hold any more. Ask for a new one."))
    return invitation


@transaction.atomic
def take_as_account(*, invitation: Invitation, user: AbstractUser, now: datetime) -> Staff:
    """Give an account the role. Who has one in this class already gets this one instead; the
    owner's own cannot be changed. Raises NoInvitation.
    """
    if invitation.course_class.owner_id == user.pk:
        raise NoInvitation(say("This is your own class: you may do everything in it already."))
    staff, _ = Staff.objects.update_or_create(
        course_class=invitation.course_class,
        user=user,
        defaults={
            "role": invitation.role,
            "sees_answers": invitation.sees_answers,
            "name": user.get_username()[:40],
            "since": now,
            "ended_at": None,
        },
    )
    trail.note(
        course_class=invitation.course_class,
        by=trail.Account(user),
        now=now,
        verb="took",
        after=_given(invitation),
    )
    return staff


@transaction.atomic
def take_by_name(*, invitation: Invitation, name: str, now: datetime) -> tuple[Staff, str]:
    """Give a name on a phone the role; returns the row and the secret, which is given out once,
    here. Raises NoInvitation for the role of a co-instructor, which wants an account.
    """
    if invitation.role == roles.CO_INSTRUCTOR:
        raise NoInvitation(
            say("A co-instructor needs an account. Sign in first, then open this link again.")
        )
    secret = secrets.token_urlsafe(18)
    staff = Staff.objects.create(
        course_class=invitation.course_class,
        role=invitation.role,
        sees_answers=invitation.sees_answers,
        name=name,
        secret_digest=digest(secret),
        since=now,
    )
    trail.note(
        course_class=invitation.course_class,
        by=trail.Named(name),
        now=now,
        verb="took",
        after=_given(invitation),
    )
    return staff, secret


@transaction.atomic
def end_role(*, staff: Staff, by: trail.By, now: datetime) -> None:
    """Let somebody's role end at once, on every phone. Twice changes nothing."""
    if Staff.objects.filter(pk=staff.pk, ended_at=None).update(ended_at=not_before("since", now)):
        trail.note(
            course_class=staff.course_class,
            by=by,
            now=now,
            verb="ended",
            before={"name": staff.name, "role": staff.role},
        )


def staff_by_secret(
    course_class: CourseClass, token: str, *, longest: timedelta, idle: timedelta, now: datetime
) -> Staff | None:
    """Who holds a role by a phone's token (key and secret), or None; nobody does longer than some
    time, or once they have not used it for some time. Its use is noted every few minutes.
    """
    key, _, secret = token.partition(":")
    if not key.isdecimal() or len(key) > 17:
        return None
    staff = Staff.objects.filter(
        course_class=course_class, pk=int(key), user=None, ended_at=None
    ).first()
    if staff is None or not hmac.compare_digest(staff.secret_digest, digest(secret)):
        return None
    used = staff.used_at or staff.since
    if now - staff.since >= longest or now - used >= idle:
        return None
    if now - used >= NOTED_EVERY:
        Staff.objects.filter(pk=staff.pk).update(used_at=now)
    return staff


def _given(invitation: Invitation) -> dict[str, object]:
    """What an invitation gives, for the trail."""
    return {"role": invitation.role, "sees_answers": invitation.sees_answers}
