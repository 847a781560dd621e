"""Who runs a class with its owner: invitations, roles, and the trail of what was done."""

import segno
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import vocabulary
from ..domain.running.roles import Act
from ..forms.staff import HelperForm, InvitationForm
from ..languages import told
from ..permissions import acting_for, class_of
from ..presenting.trail import trail_text
from ..serving import server
from ..usecases import give_roles
from .acting import acting_here, remember_helper
from .address import address_of

LATEST_ACTS = 200


@require_http_methods(["GET", "POST"])
@login_required
def helpers(request, pk):
    """Who has a role in a class, and links that give one."""
    acting = acting_for(request.user, pk, Act.ROLES)
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        wanted = form.cleaned_data
        give_roles.invite(
            course_class=acting.course_class,
            role=wanted["role"],
            sees_answers=wanted["sees_answers"],
            days=wanted["days"],
            by=acting,
            now=timezone.now(),
        )
        return redirect("helpers", pk)
    invitations = [
        (invitation, _link(request, invitation))
        for invitation in acting.course_class.invitations.filter(withdrawn_at=None)
        if invitation.holds(timezone.now())
    ]
    return render(
        request,
        "exercises/desk/helpers.html",
        {
            "class": acting.course_class,
            "form": form,
            "invitations": [(invitation, link, _picture(link)) for invitation, link in invitations],
            "staff": acting.course_class.staff.filter(ended_at=None),
        },
    )


def _link(request, invitation):
    """The address of an invitation as other devices reach it."""
    host = server.host_for_phones(request.get_host(), server.address_on_the_network())
    return f"{request.scheme}://{host}{reverse('invitation', args=[invitation.code])}"


def _picture(link):
    """A link as a picture that a phone reads."""
    return mark_safe(
        segno.make_qr(link).svg_inline(svgclass="qr", lineclass="qr-dark", omitsize=True, border=4)
    )


@require_POST
@login_required
def invitation_withdraw(request, pk, row):
    """Let a link hold no longer."""
    acting = acting_for(request.user, pk, Act.ROLES)
    invitation = get_object_or_404(acting.course_class.invitations, pk=row)
    give_roles.withdraw(invitation=invitation, by=acting, now=timezone.now())
    return redirect("helpers", pk)


@require_POST
@login_required
def role_end(request, pk, row):
    """End somebody's role at once."""
    acting = acting_for(request.user, pk, Act.ROLES)
    staff = get_object_or_404(acting.course_class.staff, pk=row)
    give_roles.end_role(staff=staff, by=acting, now=timezone.now())
    return redirect("helpers", pk)


@require_http_methods(["GET", "POST"])
@never_cache
def invitation(request, code):
    """Take a role: with the account that is signed in, or by a name on this phone."""
    now = timezone.now()
    try:
        found = give_roles.invitation_of(code=code, address=address_of(request), now=now)
        if request.method == "POST" and request.user.is_authenticated:
            give_roles.take_as_account(invitation=found, user=request.user, now=now)
            return redirect("live", found.course_class_id)
        here = acting_here(request, found.course_class_id)
        if here and not request.user.is_authenticated:
            return redirect("live", found.course_class_id)
        form = HelperForm(request.POST or None)
        if request.method == "POST" and form.is_valid():
            staff, secret = give_roles.take_by_name(
                invitation=found, name=form.cleaned_data["name"], now=now
            )
            return remember_helper(redirect("live", found.course_class_id), staff, secret)
    except give_roles.NoInvitation as error:
        return render(
            request, "exercises/station/invitation.html", {"trouble": told(error)}, status=404
        )
    return render(
        request,
        "exercises/station/invitation.html",
        {
            "class": found.course_class,
            "role": told(vocabulary.ROLES[found.role]),
            "invitation": found,
            "form": form,
        },
    )


@require_safe
@login_required
def class_trail(request, pk):
    """What was done in a class, latest first."""
    course_class = class_of(request.user, pk)
    entries = course_class.trail.all()[:LATEST_ACTS]
    return render(
        request,
        "exercises/desk/trail.html",
        {"class": course_class, "acts": trail_text(entries)},
    )
