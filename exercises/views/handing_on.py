"""A whole site, or all that an instructor has, as a file; and such a file taken in."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ..exchange.whole import archive
from ..forms.handing_on import ExportForm, ImportForm
from ..languages import tell, told
from ..permissions import site_of
from ..serving.answering import LARGEST_REQUEST
from ..usecases.handing_on import give, take
from .downloads import download
from .prints import MADE


def _export(request, site):
    """Say what goes along, then the file."""
    form = ExportForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        now = timezone.now()
        document = give.document(
            owner=request.user, site=site, with_names=form.cleaned_data["with_names"], now=now
        )
        answer = download(
            archive.written(document), "application/zip", f"navclass-export-{now:%Y-%m-%d}.zip"
        )
        answer.set_cookie(
            MADE, "yes", max_age=60, secure=settings.SESSION_COOKIE_SECURE, samesite="Lax"
        )
        return answer
    return render(request, "exercises/account/export.html", {"form": form, "site": site})


@require_http_methods(["GET", "POST"])
@login_required
def account_export(request):
    """All that the account has."""
    return _export(request, None)


@require_http_methods(["GET", "POST"])
@login_required
def site_export(request, pk):
    """One site, with the account's own classes on it."""
    return _export(request, site_of(request.user, pk))


@require_http_methods(["GET", "POST"])
@login_required
def account_import(request):
    """Take a file in: all of it, or nothing."""
    is_sent = request.method == "POST"
    form = ImportForm(request.POST, request.FILES) if is_sent else ImportForm()
    if form.is_valid():
        try:
            taken = take.take(document=archive.read(form.cleaned_data["file"]), owner=request.user)
        except archive.NotExport as error:
            form.add_error("file", told(error))
        else:
            messages.success(request, _taken_text(taken))
            return redirect("sites")
    return render(
        request,
        "exercises/account/import.html",
        {"form": form, "largest_mb": LARGEST_REQUEST // 1_000_000},
    )


def _taken_text(taken):
    return tell(
        "Taken in: sites {sites}, classes {classes}, people {people}, readings {readings}. Rows "
        "that were here already: {here}.",
        sites=taken.new.get("site", 0),
        classes=taken.new.get("class", 0),
        people=taken.new.get("person", 0),
        readings=taken.new.get("reading", 0),
        here=taken.here,
    )
