"""The Celery application; used when COLDSET_BROKER_URL names a broker."""

import logging.config
import os
from typing import Any

from celery import Celery
from celery.signals import setup_logging, worker_init
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from config.signing_key import require_signing_key

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("coldset")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@setup_logging.connect
def _log_as_the_service(**_: Any) -> None:
    """Let workers and beat log as the web server does; whoever answers this signal keeps Celery from its own ways."""
    logging.config.dictConfig(settings.LOGGING)


@worker_init.connect
def _sign_links(**_: Any) -> None:
    """Stop a worker without a signing key: mails hold signed links. Celery goes on after any other error."""
    try:
        require_signing_key()
    except ImproperlyConfigured as wrong:
        raise SystemExit(str(wrong)) from wrong
