"""Read typed environment variables; a malformed one stops start-up with a message that says the fix."""

import os
from collections.abc import Sequence
from pathlib import Path

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


def number(name: str, default: int) -> int:
    """Return a whole-number variable.

    Raises ImproperlyConfigured when it is not a whole number.
    """
    value = text(name)
    if not value:
        return default
    if not value.isascii() or not value.isdigit():
        raise ImproperlyConfigured(f"{name} is {value!r}: set it to a whole number.")
    return int(value)


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


def secret(name: str, fallback_file: Path) -> str:
    """Return a secret from the variable, or from the file named by NAME_FILE, or from the fallback file."""
    if text(name):
        return text(name)
    path = Path(text(f"{name}_FILE") or fallback_file)
    return path.read_text().strip() if path.is_file() else ""
