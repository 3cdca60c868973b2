"""The service's settings for tests: a fixed key, plain HTTP, mail kept in memory, a database file of its own."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("COLDSET_SECRET_KEY", "only-for-tests-and-never-served-0123456789abcdef")
os.environ.setdefault("COLDSET_HTTPS", "0")
os.environ.setdefault("COLDSET_HOSTS", "localhost,127.0.0.1,testserver")

from config.settings import *  # noqa: F403 - the tests run on the real settings
from config.settings import DATABASES, STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # argon2 is slow by design
# Outbox work runs in the test's process; the tests of the broker start processes with the broker's address.
CELERY_BROKER_URL = ""
# Static files are served from where they stand; no collected copy is needed (WhiteNoise warns when it is missing).
STATIC_ROOT = None
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_USE_FINDERS = True

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, as in service: in memory all threads would share one connection and never lock each other out.
    DATABASES["default"]["TEST"] = {"NAME": Path(tempfile.gettempdir()) / f"coldset-test-{os.getpid()}.sqlite3"}
    # Tests need no durability: the process that reads is the one that wrote.
    DATABASES["default"]["OPTIONS"]["init_command"] += "; PRAGMA synchronous=OFF"
