"""The project itself as an app: commands that use all other apps."""

from importlib import import_module

from django.apps import AppConfig
from django.conf import settings


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one where a broker is configured, so that tasks find it."""
        if settings.CELERY_BROKER_URL:
            import_module("config.celery")
