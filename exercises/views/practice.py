"""Practice at home: a compass to turn on the screen, without a class and without the network."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from ..presenting.practice import trainer


@require_safe
def practice(request):
    """The trainer: one page that holds all its tasks."""
    return render(request, "exercises/station/practice.html", trainer())
