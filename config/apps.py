"""The project itself as an app: commands, template tags and checks that stand above the other apps."""

from importlib import import_module

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Holds what serves every app."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one, so that a task sent from a request finds the broker."""
        import_module("config.celery")
