"""What the words of the trade mean."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from ..presenting.glossary.shown import page


@require_safe
def glossary(request):
    """All words, for everybody."""
    return render(request, "exercises/station/glossary.html", page())
