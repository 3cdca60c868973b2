"""Whatever serves pages or signs links starts only with a signing key, and says how to make one."""

import os
import secrets
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from config.env import SIGNING_KEY, secret_file


def require_signing_key() -> None:
    """Raise ImproperlyConfigured when there is no signing key.

    Without this the pages would start, look well, and answer every visitor with an error.
    """
    try:
        settings.SECRET_KEY  # noqa: B018 - Django refuses to read an empty one
    except ImproperlyConfigured as empty:
        raise ImproperlyConfigured(
            "There is no signing key. Make one with manage.py start, or with "
            f"(umask 077; mkdir -p {settings.VAR_DIR}; openssl rand -base64 48 > {settings.VAR_DIR}/{SIGNING_KEY}), "
            "or set COLDSET_SECRET_KEY or COLDSET_SECRET_KEY_FILE."
        ) from empty


def signing_key_make() -> Path | None:
    """Make a key where there is none, readable by its owner alone; return its file, None when there was a key.

    The running process keeps the settings it read: only what is started afterwards has the key.
    """
    try:
        settings.SECRET_KEY  # noqa: B018 - as above
    except ImproperlyConfigured:
        path = secret_file(SIGNING_KEY, settings.VAR_DIR)
        path.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
            file.write(f"{secrets.token_urlsafe(50)}\n")
        return path
    return None
