"""A "?" beside a word: it opens one sentence and a drawing in place, without a script."""

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from ..presenting.glossary import TERMS
from ..presenting.glossary.shown import at_field, on_phones, shown

register = template.Library()


class NoSuchWord(template.TemplateSyntaxError):
    """A template names a word that the glossary has not."""


def _rendered(words, *, is_at_field=False):
    return render_to_string(
        "exercises/parts/help.html", {"words": words, "is_at_field": is_at_field}
    )


@register.simple_tag(name="help")
def words_here(*codes):
    """Words by their codes, one after another. Raises NoSuchWord."""
    for code in codes:
        if code not in TERMS:
            raise NoSuchWord(f"“{code}” is no word of exercises/presenting/glossary.")
    return _rendered([shown(code) for code in codes])


@register.simple_tag
def help_at(field):
    """The word that stands beside a field of a form; nothing beside most."""
    word = at_field(type(field.form).__name__, field.name)
    return _rendered([word], is_at_field=True) if word else SafeString()


@register.inclusion_tag("exercises/parts/phone_help.html")
def phone_help():
    """The words that a phone may need, each kept aside until its task or result is shown."""
    return {"words": on_phones()}
