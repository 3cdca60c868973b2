"""Read typed environment variables; a malformed one stops start-up with a message that says the fix."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from django.core.exceptions import ImproperlyConfigured

_WORDS = {
    "1": True,
    "true": True,
    "yes": True,
    "on": True,
    "0": False,
    "false": False,
    "no": False,
    "off": False,
}


def text(name: str, default: str = "") -> str:
    """Return the variable's text without surrounding space."""
    return os.environ.get(name, default).strip()


def flag(name: str, *, default: bool) -> bool:
    """Return a boolean variable.

    Raises ImproperlyConfigured when the text is neither.
    """
    value = text(name).lower()
    if not value:
        return default
    if value not in _WORDS:
        raise ImproperlyConfigured(f"{name} is {value!r}: set it to 1 or 0.")
    return _WORDS[value]


def number(name: str, default: int, *, least: int = 0) -> int:
    """Return a whole-number variable.

    Raises ImproperlyConfigured when it is not a whole number, or less than the least.
    """
    value = text(name)
    if not value:
        return default
    if not value.isascii() or not value.isdigit() or int(value) < least:
        raise ImproperlyConfigured(f"{name} is {value!r}: set it to a whole number{f' from {least} on' * bool(least)}.")
    return int(value)


def address(name: str, schemes: Sequence[str], default: str = "") -> str:
    """Return an address such as ``redis://host/0``.

    Raises ImproperlyConfigured, without the address (it may hold a password), when its scheme or host is missing.
    """
    value = text(name) or default
    if not value:
        return value
    scheme, _, rest = value.partition("://")
    if scheme not in schemes or not rest.strip("/"):
        raise ImproperlyConfigured(
            f"{name} is no address: begin it with {' or '.join(f'{one}://' for one in schemes)}."
        )
    return value


def hosts(name: str, default: str) -> list[str]:
    """Return host names.

    Raises ImproperlyConfigured when one is an address: it would match no request.
    """
    found = words(name, default)
    for word in found:
        if "/" in word:
            raise ImproperlyConfigured(f"{name} has {word!r}: write the name alone, such as kitchen.example.")
    return found


def choice(name: str, choices: Sequence[str], *, default: str) -> str:
    """Return one of the choices.

    Raises ImproperlyConfigured when it is none of them.
    """
    value = text(name).lower() or default
    if value not in choices:
        raise ImproperlyConfigured(f"{name} is {value!r}: set it to {' or '.join(choices)}.")
    return value


def words(name: str, default: str = "") -> list[str]:
    """Return a comma-separated variable as a list."""
    return [word.strip() for word in text(name, default).split(",") if word.strip()]


def numbers(name: str, keys: Sequence[str]) -> dict[str, int]:
    """Return a variable such as ``outbox=60,inquiry=365`` as whole numbers by key.

    Raises ImproperlyConfigured for another key or anything but a whole number.
    """
    found = {}
    for word in words(name):
        key, _, value = word.partition("=")
        if key not in keys or not (value.isascii() and value.isdigit()):
            raise ImproperlyConfigured(f"{name} has {word!r}: write one of {', '.join(keys)} as key=days.")
        found[key] = int(value)
    return found


#: Secrets by the file in the service's folder that holds each, where its variable does not: the one list of them.
SIGNING_KEY: Final = "secret-key"
SMTP_PASSWORD: Final = "smtp-password"  # noqa: S105 - the name of a file
BACKUP_KEY: Final = "backup-key"
SECRETS: Final = {
    SIGNING_KEY: "COLDSET_SECRET_KEY",
    SMTP_PASSWORD: "COLDSET_SMTP_PASSWORD",
    BACKUP_KEY: "COLDSET_BACKUP_KEY",
}


def secret_file(file_name: str, folder: Path) -> Path:
    """Return the file one of the secrets is read from where its variable is not set."""
    return _file(SECRETS[file_name], folder / file_name)


def _file(name: str, fallback_file: Path) -> Path:
    return Path(text(f"{name}_FILE") or fallback_file)


def secret_of(file_name: str, folder: Path) -> str:
    """Return one of the secrets; nothing when it is set nowhere. Raises as :func:`secret`."""
    return secret(SECRETS[file_name], folder / file_name)


def secret(name: str, fallback_file: Path) -> str:
    """Return a secret from the variable, or from the file named by NAME_FILE, or from the fallback file.

    Raises ImproperlyConfigured when the file is there and cannot be read. A restore may still have to make it.
    """
    if text(name):
        return text(name)
    path = _file(name, fallback_file)
    try:
        return path.read_text().strip() if path.is_file() else ""
    except OSError as problem:
        raise ImproperlyConfigured(
            f"{path} cannot be read ({problem.strerror}): {name}_FILE has to name a file that this user may read."
        ) from problem
