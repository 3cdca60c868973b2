"""The Celery application; used when COLDSET_BROKER_URL names a broker."""

import logging.config
import os
from typing import Any

from celery import Celery
from celery.signals import setup_logging
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("coldset")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@setup_logging.connect
def _log_as_the_service(**_: Any) -> None:
    """Let workers and beat log as the web server does; whoever answers this signal keeps Celery from its own ways."""
    logging.config.dictConfig(settings.LOGGING)
