"""The one application."""
from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    """Registers the system checks."""

    name = "exercises"

    def ready(self):
        from . import checks  # noqa: F401  registers by being imported, once Django is ready
