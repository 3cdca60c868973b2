"""The project itself as an app: commands that use all other apps."""

from importlib import import_module

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import Tags, register

from config.private_files import check_private_files, make_private


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one where a broker is configured, so that tasks find it.

        Files that others could read are made private, and `check --deploy` warns of those that could not be.
        """
        if settings.CELERY_BROKER_URL:
            import_module("config.celery")
        make_private()
        register(check_private_files, Tags.security, deploy=True)
