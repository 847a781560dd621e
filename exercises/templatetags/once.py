"""`{% csrf_token %}` with a token for this one form beside it. Built in for all templates
(`TEMPLATES` of the settings), so that no form of the desk can be without.
"""

import secrets

from django import template
from django.template.defaulttags import CsrfTokenNode
from django.utils.html import format_html

register = template.Library()
FIELD = "form_token"


class TokensNode(CsrfTokenNode):
    """Both hidden fields; the one for who is signed in alone, since phones send what has ids."""

    def render(self, context):
        """As text."""
        user = context.get("user")
        if not user or not user.is_authenticated:
            return super().render(context)
        token = format_html(
            '<input type="hidden" name="{}" value="{}">', FIELD, secrets.token_urlsafe(12)
        )
        return super().render(context) + token


@register.tag
def csrf_token(parser, token):
    """Takes the place of Django's."""
    return TokensNode()
