"""The one application."""

from importlib import import_module

from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    """Registers the system checks, and what listens to signing in."""

    name = "exercises"

    def ready(self):
        """Load what registers by being imported; not before Django is ready, for it asks its
        settings.
        """
        import_module(".checks", __package__)
        import_module(".views.account_sessions", __package__)
