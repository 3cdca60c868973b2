"""Secrets of second factors are encrypted with a key made from the signing key: a copy of the database is not enough.

Whoever changes the signing key names the old one in ``SECRET_KEY_FALLBACKS``; without it the secrets cannot be read any
more, and people sign in with a recovery code and set the second factor up anew.
"""

import base64

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.utils.crypto import salted_hmac


def encrypted(secret: str) -> str:
    """Return the secret as it is stored."""
    return _keys().encrypt(secret.encode()).decode()


def decrypted(stored: str) -> str | None:
    """Return the secret, or None if it was encrypted with another signing key."""
    try:
        return _keys().decrypt(stored.encode()).decode()
    except InvalidToken:
        return None


def _keys() -> MultiFernet:
    return MultiFernet([_key(one) for one in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)])


def _key(signing_key: str | bytes) -> Fernet:
    digest = salted_hmac("config.accounts.secrets", "second factor", secret=signing_key, algorithm="sha256").digest()
    return Fernet(base64.urlsafe_b64encode(digest))
