"""Pages for what is not there."""

from django.shortcuts import render


def not_found(request, exception=None):
    """A 404 that says what to do."""
    return render(request, "exercises/not_found.html", status=404)
