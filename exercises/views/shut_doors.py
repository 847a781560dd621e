"""Who must wait is told how long, wherever it happens."""

from django.shortcuts import render

from ..languages import told
from ..serving.hashing import TRY_AGAIN_S, Busy
from ..usecases.guard_door import Shut


class WhoMustWait:
    """A middleware: a door that is shut answers 429, a server that is busy with passwords 503; both
    say when to come again (RFC 9110, Retry-After; RFC 6585, 429).
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        """Go on."""
        return self.get_response(request)

    def process_exception(self, request, error):
        """A page for these two, and nothing for others."""
        if isinstance(error, Shut):
            return _wait(request, 429, error.seconds, {"sentence": told(error)})
        if isinstance(error, Busy):
            return _wait(request, 503, TRY_AGAIN_S, {"is_busy": True})
        return None


def _wait(request, status, seconds, told_so):
    response = render(request, "exercises/wait.html", told_so, status=status)
    response.headers["Retry-After"] = str(seconds)
    return response
