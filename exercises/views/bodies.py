"""What a request is made of: text in UTF-8, and JSON where a script sends it."""

import codecs
import json

from django.http import HttpResponse


class NotOurs(ValueError):
    """What was sent is no JSON, or not of the form that was asked for."""


def only_utf_8(get_response):
    """Middleware: text in another charset is refused before anything reads it. Our own pages send
    none; Django would decode addresses and forms with whatever a request says.
    """

    def answered(request):
        if request.encoding and codecs.lookup(request.encoding).name != "utf-8":
            plain = "text/plain; charset=utf-8"
            return HttpResponse("Send text in UTF-8.", status=415, content_type=plain)
        return get_response(request)

    return answered


def json_of(request):
    """The object that a script sent. Raises NotOurs for what is none, or came as something else
    than JSON.
    """
    if request.content_type != "application/json":
        raise NotOurs
    try:
        sent = json.loads(request.body)
    except (ValueError, RecursionError) as error:
        raise NotOurs from error
    if not isinstance(sent, dict):
        raise NotOurs
    return sent
