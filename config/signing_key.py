"""Whatever serves pages or signs links starts only with a signing key, and says how to make one."""

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from config.env import SIGNING_KEY


def require_signing_key() -> None:
    """Raise ImproperlyConfigured when there is no signing key.

    Without this the pages would start, look well, and answer every visitor with an error.
    """
    try:
        settings.SECRET_KEY  # noqa: B018 - Django refuses to read an empty one
    except ImproperlyConfigured as empty:
        raise ImproperlyConfigured(
            "There is no signing key. Make one with "
            f"(umask 077; mkdir -p {settings.VAR_DIR}; openssl rand -base64 48 > {settings.VAR_DIR}/{SIGNING_KEY}), "
            "or set COLDSET_SECRET_KEY or COLDSET_SECRET_KEY_FILE."
        ) from empty
