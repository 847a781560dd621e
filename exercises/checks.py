"""System checks for what is unsafe, each with an id and a hint."""

from django.conf import settings
from django.core import checks
from django.core.exceptions import ImproperlyConfigured
from django.utils import timezone

from .domain.earth import magnetics


@checks.register(checks.Tags.security, deploy=True)
def secret_key_is_set(app_configs, **kwargs):
    """E001: sessions are signed with the secret key."""
    try:
        missing = not settings.SECRET_KEY
    except ImproperlyConfigured:  # Django's own word for an empty one
        missing = True
    return (
        [
            checks.Error(
                "No secret key is set.",
                hint="Set NAVCLASS_SECRET_KEY to 50 random characters, and keep it.",
                id="navclass.E001",
            )
        ]
        if missing
        else []
    )


@checks.register(checks.Tags.security, deploy=True)
def hosts_are_set(app_configs, **kwargs):
    """E002: without host names the server answers nobody."""
    if settings.ALLOWED_HOSTS:
        return []
    return [
        checks.Error(
            "No host name is set.",
            hint="Set NAVCLASS_HOSTS to the names that people type, separated by commas.",
            id="navclass.E002",
        )
    ]


@checks.register(checks.Tags.security, deploy=True)
def hotspot_is_meant(app_configs, **kwargs):
    """W001: plain http is for a field laptop only."""
    if not settings.HOTSPOT:
        return []
    return [
        checks.Warning(
            "NAVCLASS_HOTSPOT is on: plain http, any host name, cookies that can be read on the "
            "network.",
            hint="Right for a field laptop's own hotspot. On the internet, unset it and use https.",
            id="navclass.W001",
        )
    ]


@checks.register(checks.Tags.security, deploy=True)
def debug_is_off(app_configs, **kwargs):
    """W002: debug pages show settings to everybody."""
    if not settings.DEBUG:
        return []
    return [
        checks.Warning(
            "NAVCLASS_DEBUG is on: errors show the program's inside.",
            hint="Unset NAVCLASS_DEBUG.",
            id="navclass.W002",
        )
    ]


@checks.register()
def model_lasts(app_configs, **kwargs):
    """W003: without a model of the day no class can be opened. Said whatever command is run, from a
    year before.
    """
    ending = magnetics.ending(timezone.localdate())
    if ending is None:
        return []
    days = f"{ending.days_left} day{'' if ending.days_left == 1 else 's'}"
    when = f"ended on {ending.day}" if ending.is_over else f"ends on {ending.day}, in {days}"
    return [
        checks.Warning(
            f"The World Magnetic Model in use {when}.",
            hint="Bring the program up to date; how the next model gets into it stands in "
            "DEVELOPERS.md, “Every five years”. Classes that were held go on.",
            id="navclass.W003",
        )
    ]
