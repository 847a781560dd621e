"""What people read, in their language: sentences of the domain, numbers with the reader's decimal
mark, and the phone's catalogue.
"""

import functools
from pathlib import Path

import polib
from django.utils import formats
from django.utils.translation import get_language, gettext, ngettext

from .domain.earth import angles
from .domain.words import Words, say, say_many

LOCALE = Path(__file__).resolve().parent / "locale"


class _Local(float):
    """A number that is formatted with the reader's decimal mark."""

    def __format__(self, spec):
        return local(super().__format__(spec))


def local(text):
    """A number as text, with the reader's decimal mark."""
    return text.replace(".", formats.get_format("DECIMAL_SEPARATOR"))


def told(words):
    """A sentence, or an error's message, in the reader's language. What is no `Words` stays as it
    is.
    """
    if isinstance(words, Exception):
        words = words.args[0] if words.args else ""
    if isinstance(words, float):
        return _Local(words)
    if not isinstance(words, Words):
        return words
    pattern = (
        gettext(words.pattern)
        if words.number is None
        else ngettext(words.pattern, words.many, words.number)
    )
    return pattern.format(**{name: told(value) for name, value in words.values.items()})


def tell(pattern, /, **values):
    """A sentence in the reader's language."""
    return told(say(pattern, **values))


def tell_many(one, many, number, /, **values):
    """A sentence about some number of things, in the reader's language."""
    return told(say_many(one, many, number, **values))


def tell_signed(error_deg, decimals=0):
    """An error with its sign and the reader's decimal mark."""
    return local(angles.signed(error_deg, decimals))


def phone_catalogue():
    """What the phone's scripts say, English to the reader's language; plurals map to [one, many].
    Empty for English.
    """
    return {} if get_language() == "en" else _phone_catalogue(get_language())


@functools.cache
def _phone_catalogue(language):
    compiled = LOCALE / language / "LC_MESSAGES" / "djangojs.mo"
    return {
        entry.msgid: [text for _, text in sorted(entry.msgstr_plural.items())] or entry.msgstr
        for entry in polib.mofile(str(compiled))
    }
