"""The report of a season: what the classes between two days add up to, as a page and on paper."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from ..forms.season import SeasonForm
from ..presenting.season import season_report, season_text
from ..printing import paper
from ..printing.season import season_sheet
from ..usecases.season import season_of


def _organisation(request):
    """The organisation whose shared sites are asked for, or None for one's own classes. Raises
    Http404 for one that the account is not in.
    """
    asked = request.GET.get("of", "")
    if not asked:
        return None
    is_number = asked.isdecimal() and len(asked) < 10
    organisation = request.user.organisations.filter(pk=asked).first() if is_number else None
    if organisation is None:
        raise Http404("There is nothing at this address for you.")
    return organisation


def _asked(request):
    """The form, and the report of its days; this year's until today where none are asked for."""
    today, organisation = timezone.localdate(), _organisation(request)
    first = {"from": today.replace(month=1, day=1).isoformat(), "to": today.isoformat()}
    asked = {name: request.GET.get(name) or first[name] for name in first}
    form = SeasonForm(asked)
    if not form.is_valid():
        return form, organisation, None
    begin, end = form.cleaned_data["from"], form.cleaned_data["to"]
    found = season_of(
        user=request.user, organisation=organisation, begin=begin, end=end, now=timezone.now()
    )
    whose = organisation.name if organisation else request.user.get_full_name()
    return form, organisation, season_text(found, begin, end, whose or request.user.get_username())


@require_safe
@login_required
def season(request):
    """The report as a page."""
    form, organisation, text = _asked(request)
    return render(
        request,
        "exercises/debrief/season.html",
        {
            "form": form,
            "organisation": organisation,
            "organisations": request.user.organisations.all(),
            "report": text,
            "query": request.GET.urlencode(),
        },
    )


@require_safe
@login_required
def season_pdf(request):
    """The report on one page of A4 or, where asked for, Letter."""
    _, _, text = _asked(request)
    if text is None:
        raise Http404("No such days.")
    name = request.GET.get("paper", "a4")
    sheet = paper.size(name if name in paper.SIZES else "a4")
    answer = HttpResponse(season_sheet(season_report(text), sheet), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="season.pdf"'
    return answer
