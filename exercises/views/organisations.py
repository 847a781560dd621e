"""Organisations: who shares sites, courses and kit with whom."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from ..forms.staff import OrganisationForm
from ..languages import told
from ..serving import server
from ..usecases import organise


@require_http_methods(["GET", "POST"])
@login_required
def organisations(request):
    """Those that this instructor is in, with their members; and a new one."""
    form = OrganisationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        organise.found(name=form.cleaned_data["name"], by=request.user, now=timezone.now())
        return redirect("organisations")
    host = server.host_for_phones(request.get_host(), server.address_on_the_network())
    own = request.user.memberships.select_related("organisation").prefetch_related(
        "organisation__memberships__user", "organisation__sites"
    )
    return render(
        request,
        "exercises/desk/organisations.html",
        {
            "form": form,
            "unshared": request.user.sites.kept().filter(organisation=None),
            "memberships": [
                (
                    one,
                    f"{request.scheme}://{host}"
                    f"{reverse('organisation_join', args=[one.organisation.code])}",
                )
                for one in own
            ],
        },
    )


@require_http_methods(["GET", "POST"])
@login_required
def organisation_join(request, code):
    """Join with the account that is signed in."""
    now = timezone.now()
    try:
        organisation = organise.organisation_of(code=code, by=request.user, now=now)
    except organise.CannotOrganise as error:
        messages.error(request, told(error))
        return redirect("organisations")
    if request.method == "POST":
        organise.join(organisation=organisation, user=request.user, now=now)
        return redirect("organisations")
    return render(request, "exercises/desk/organisation_join.html", {"organisation": organisation})


@require_POST
@login_required
def site_share(request, pk):
    """Share a site of one's own with an organisation that one is in, or with nobody any more."""
    site = get_object_or_404(request.user.sites.kept(), pk=pk)
    wanted = request.POST.get("organisation", "")
    is_number = wanted.isdecimal() and len(wanted) < 19  # as many figures as a key may have
    organisation = get_object_or_404(request.user.organisations, pk=wanted) if is_number else None
    organise.share(site=site, organisation=organisation)
    return redirect("organisations")


@require_POST
@login_required
def organisation_change(request, pk, verb):
    """Leave; or, for who leads it, a new code, letting another lead, letting another go."""
    membership = get_object_or_404(
        request.user.memberships.select_related("organisation"), organisation=pk
    )
    organisation = membership.organisation
    if verb != "leave" and not membership.leads:
        raise Http404("There is nothing at this address for you.")
    try:
        if verb == "leave":
            organise.leave(organisation=organisation, user=request.user)
        elif verb == "code":
            organise.new_code(organisation=organisation)
        else:
            other = get_object_or_404(
                organisation.members, pk=request.POST.get("user", "").strip()[:12] or 0
            )
            change = organise.let_lead if verb == "lead" else organise.leave
            change(organisation=organisation, user=other)
    except organise.CannotOrganise as error:
        messages.error(request, told(error))
    return redirect("organisations")
