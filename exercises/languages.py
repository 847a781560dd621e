"""What people read, in their language: sentences of the domain, numbers with the reader's decimal
mark, and the phone's catalogue.
"""

from pathlib import Path

from django.utils import formats
from django.utils.translation import get_language, gettext, ngettext
from django.utils.translation.trans_real import DjangoTranslation

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
    if get_language() == "en":
        return {}
    catalogue = {}
    for key, text in DjangoTranslation(
        get_language(), domain="djangojs", localedirs=[LOCALE]
    )._catalog.items():
        msgid, index = key if isinstance(key, tuple) else (key, None)
        if not msgid:
            continue
        if index is None:
            catalogue[msgid] = text
        else:
            catalogue.setdefault(msgid, {})[index] = text
    return {
        msgid: [text[index] for index in sorted(text)] if isinstance(text, dict) else text
        for msgid, text in catalogue.items()
    }
