"""The project itself as an app: commands that use all other apps."""

from importlib import import_module

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one, so that a task sent from a request finds the broker."""
        import_module("config.celery")
