"""The one application."""

from importlib import import_module

from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    """Registers the system checks, what listens to signing in, and what every migration does."""

    name = "exercises"

    def ready(self):
        """Load what registers by being imported; not before Django is ready, for it asks its
        settings.
        """
        import_module(".checks", __package__)
        import_module(".promises.enforce", __package__).connect(self)
        import_module(".serving.plans", __package__)
        import_module(".serving.private_files", __package__).connect(self)
        import_module(".views.account_sessions", __package__)
