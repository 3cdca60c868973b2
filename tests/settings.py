"""The service's settings for tests: a fixed key, plain HTTP, mail kept in memory."""

import os

os.environ.setdefault("COLDSET_SECRET_KEY", "only-for-tests-and-never-served-0123456789abcdef")
os.environ.setdefault("COLDSET_HTTPS", "0")
os.environ.setdefault("COLDSET_HOSTS", "localhost,127.0.0.1,testserver")

from config.settings import *  # noqa: F403 - the tests run on the real settings

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # argon2 is slow by design
