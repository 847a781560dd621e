"""The one application."""

from importlib import import_module

from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    """Registers the system checks."""

    name = "exercises"

    def ready(self):
        """Load the checks, which register by being imported; not before Django is ready, for they
        ask its settings.
        """
        import_module(".checks", __package__)
