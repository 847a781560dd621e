"""What the program is, at the foot of the desk."""

from django import template
from django.conf import settings

register = template.Library()


@register.simple_tag
def version():
    """Its version."""
    return settings.VERSION
