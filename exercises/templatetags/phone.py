"""What the phone's pages bring along: their style sheet, their script, and the words of their
script.
"""

from django import template
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import json_script

from ..languages import phone_catalogue
from ..serving import shell

register = template.Library()


@register.simple_tag
def phone_style():
    """The address of the style sheet."""
    return reverse("style", args=[shell.version()])


@register.simple_tag
def phone_script(name):
    """The address of a page's script."""
    return reverse("script", args=[name, shell.version()])


@register.simple_tag
def phone_words():
    """The catalogue of the scripts, where the page is not in English."""
    catalogue = phone_catalogue()
    return json_script(catalogue, "catalogue") if catalogue else ""


@register.simple_tag
def qr_script():
    """The address of the library that draws QR codes."""
    return static(shell.QR)
