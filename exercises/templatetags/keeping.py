"""How long backups still hold what is deleted, said wherever something is deleted."""

from django import template

from ..keeping import routine

register = template.Library()


@register.simple_tag
def backup_days():
    """For how many days, by the rule of thinning."""
    return routine.hold_days()


@register.inclusion_tag("exercises/parts/backups_hold.html")
def backups_hold():
    """The sentence."""
    return {"days": routine.hold_days()}
