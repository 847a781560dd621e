"""For whom a phone speaks: a cookie of each class holds the secrets of its people."""

import re
import secrets

from django.conf import settings
from django.http import Http404
from django.shortcuts import redirect
from django.urls import reverse

from .. import queries
from ..usecases.join_class import people_of, phone_in_class
from ..usecases.who_sends import Sender, who_sends
from .cookie_names import held, host_only
from .typed_codes import found_by

PHONE_KEEPS_DAYS = 30
NAME = re.compile(r"(?:__Host-)?navclass_(\d{1,9})")
DEVICE, DEVICE_NUMBER = "navclass_device", re.compile(r"[\w-]{16}", re.ASCII)


def class_here(request, code):
    """The class of a code in an address. Raises Http404; Shut, where too many were guessed."""
    course_class = found_by(request, code, queries.class_by_code)
    if course_class is None:
        raise Http404("No class has this code.")
    return course_class


def classes_of_phone(request):
    """The keys of the classes that a phone has been in."""
    named = filter(None, map(NAME.fullmatch, request.COOKIES))
    return list(dict.fromkeys(int(match[1]) for match in named))


def _cookie(course_class):
    return f"navclass_{course_class.pk}"


def _tokens(request, course_class):
    return [token for token in held(request, _cookie(course_class)).split("|") if token]


def device_of(request):
    """The number by which a phone is told from another, or a new one. It is its own: nobody is kept
    by it in two classes (`guard_joining.whence`).
    """
    number = held(request, DEVICE)
    return number if DEVICE_NUMBER.fullmatch(number) else secrets.token_urlsafe(12)


def was_here(request, course_class):
    """Whether a phone spoke for somebody in a class once."""
    return bool(_tokens(request, course_class))


def people_here(request, course_class):
    """The people for whom this phone speaks."""
    return people_of(course_class, _tokens(request, course_class))


def phone_here(request, code):
    """The class of a code in an address, and the people for whom this phone speaks in it: what
    comes all the time asks but one question, and a phone that is in the class waits at no door.
    Raises Http404, and Shut.
    """
    here = phone_in_class(code.strip().upper()[:12], _all_tokens(request))
    return here or (class_here(request, code), [])


def sender_here(request, code):
    """The same for a phone that sends readings, or asks what they were worth, with the key by which
    they are judged. Raises Http404, and Shut.
    """
    sender = who_sends(code.strip().upper()[:12], _all_tokens(request))
    if sender:
        return sender
    course_class, people = phone_here(request, code)
    return Sender(course_class, people, queries.current_key(course_class))


def _all_tokens(request):
    """What a phone holds of all its classes: which is meant is asked with them."""
    return [
        token
        for name in request.COOKIES
        if NAME.fullmatch(name)
        for token in request.COOKIES[name].split("|")
    ]


def to_class(request, course_class, joined, *, place="", device=""):
    """Go to the class, or to a place on its page (`#A`), on a phone that speaks for these people
    from now on; `device` is its own number, of one that joined.
    """
    there = redirect(reverse("station", args=[course_class.code]) + place)
    if device:
        _keep(there, DEVICE, device)
    return remember(request, course_class, joined, there)


def remember(request, course_class, joined, response):
    """An answer, with a cookie that speaks for these people of a class ((person, secret) pairs) and
    those before them.
    """
    new = {str(person.pk): secret for person, secret in joined}
    before = [
        token for token in _tokens(request, course_class) if token.partition(":")[0] not in new
    ]
    known = "|".join([*before, *(f"{pk}:{secret}" for pk, secret in new.items())])
    return _keep(response, _cookie(course_class), known)


def _keep(response, name, text):
    """An answer with a cookie that no script reads."""
    response.set_cookie(
        host_only(name),
        text,
        max_age=PHONE_KEEPS_DAYS * 86400,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # not request.is_secure(): a laptop's http and https share their cookies
    return response
