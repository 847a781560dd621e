"""What two people do at the same moment: who comes second is told so, whatever it was."""

import logging

from django.core.exceptions import ObjectDoesNotExist
from django.db import IntegrityError, OperationalError
from django.http import JsonResponse
from django.shortcuts import render

from ..languages import tell

log = logging.getLogger("django.request")


class ChangedMeanwhile:
    """A middleware, the last resort behind what use cases say of it more exactly. A promise of the
    database that the second of two requests would break, and a row that went while it was looked
    at, answer 409 to a page; a script is told 503, on which phones keep what they send and send it
    again. Nothing of the request was stored. It is logged as any fault, for it may be one.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        """Go on."""
        return self.get_response(request)

    def process_exception(self, request, error):
        """An answer for these, and nothing for others."""
        if not isinstance(error, IntegrityError | ObjectDoesNotExist | OperationalError):
            return None
        log.error("Changed meanwhile: %s", request.path, exc_info=error)
        if request.content_type == "application/json":
            message = tell("This was changed by somebody else at this moment. Try again.")
            return JsonResponse({"message": message}, status=503)
        return render(request, "exercises/meanwhile.html", status=409)
