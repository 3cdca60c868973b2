"""The project itself as an app: commands that use all other apps."""

from importlib import import_module

from django.apps import AppConfig
from django.core.checks import Tags, register


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one, so that a task sent from a request finds the broker.

        Files that others could read are made private, and `check --deploy` warns of those that could not be.
        """
        import_module("config.celery")
        private_files = import_module("config.private_files")  # reads the settings
        private_files.make_private()
        register(private_files.check_private_files, Tags.security, deploy=True)
