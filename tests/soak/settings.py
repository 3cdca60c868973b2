"""The service's own settings for the soak: mail to the soak's server, short limits, and the faults it injects.

Shortened, so that a fault is over within seconds: the mail server's timeout, the lanes' limits, the time between two
looks for interrupted work. :mod:`tests.soak.faults` shortens what is a constant.
"""

import os

os.environ.setdefault("COLDSET_SECRET_KEY", "only-for-tests-and-never-served-0123456789abcdef")
os.environ.setdefault("COLDSET_HTTPS", "0")
os.environ.setdefault("COLDSET_LOG_LEVEL", "WARNING")

from config.settings import *  # noqa: F403 - the soak runs on the real settings
from config.settings import CELERY_BEAT_SCHEDULE, INSTALLED_APPS, OUTBOX_LANES, PERIODIC_WORK, STORAGES

INSTALLED_APPS = [*INSTALLED_APPS, "tests.soak.faults.FaultsConfig"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # argon2 is slow by design
# Static files are served from where they stand; no collected copy is needed (WhiteNoise warns when it is missing).
STATIC_ROOT = None
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_USE_FINDERS = True

EMAIL_USE_SSL = EMAIL_USE_TLS = False
EMAIL_TIMEOUT = float(os.environ.get("SOAK_MAIL_TIMEOUT", "6"))
_LIMITS = {"mail": int(os.environ.get("SOAK_MAIL_LIMIT", "8"))}
_LIMIT = int(os.environ.get("SOAK_LIMIT", "8"))
OUTBOX_LANES = {name: {**lane, "seconds": _LIMITS.get(name, _LIMIT)} for name, lane in OUTBOX_LANES.items()}
PERIODIC_WORK = {**PERIODIC_WORK, "catalog.outbox.services.outbox_tend": 1}
CELERY_BEAT_SCHEDULE = {
    path: {**entry, "schedule": PERIODIC_WORK[path], "options": {"expires": PERIODIC_WORK[path]}}
    for path, entry in CELERY_BEAT_SCHEDULE.items()
}
