"""The Celery application; used when COLDSET_BROKER_URL names a broker."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("coldset")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
