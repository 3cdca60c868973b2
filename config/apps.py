"""The project itself as an app: commands that use all other apps."""

import logging
from importlib import import_module

from django.apps import AppConfig
from django.conf import settings


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one where a broker is configured, so that tasks find it.

        Where lines are JSON, Python's own warnings are lines like all others.
        """
        logging.captureWarnings(settings.LOG_FORMAT == "json")
        if settings.CELERY_BROKER_URL:
            import_module("config.celery")
