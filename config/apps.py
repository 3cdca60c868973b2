"""The project itself as an app: commands that use all other apps."""

import logging
import sys
from importlib import import_module

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import Tags, register

from config.logs import log_uncaught
from config.private_files import check_private_files, make_private
from config.site_check import check_environment, check_site_url


class ConfigConfig(AppConfig):
    """The app of the project's own commands."""

    name = "config"

    def ready(self) -> None:
        """Make the Celery application the current one where a broker is configured, so that tasks find it.

        Files that others could read are made private, and `check --deploy` warns of those that could not be, and of
        links in mails that lead nowhere.

        Where lines are JSON, Python's own warnings are lines like all others, and so is the error that ends a program,
        unless somebody sits at its terminal.
        """
        logging.captureWarnings(settings.LOG_FORMAT == "json")
        if settings.LOG_FORMAT == "json" and not sys.stderr.isatty():
            sys.excepthook = log_uncaught
        if settings.CELERY_BROKER_URL:
            import_module("config.celery")
        make_private()
        register(check_private_files, Tags.security, deploy=True)
        register(check_site_url, Tags.security, deploy=True)
        register(check_environment, Tags.security, deploy=True)
