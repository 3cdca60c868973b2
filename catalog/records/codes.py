"""Codes made from names."""

from collections.abc import Iterable

from django.utils.text import slugify

CODE_LENGTH = 80


def free_code(name: str, taken: Iterable[str], *, otherwise: str) -> str:
    """Return a code made from a name that nobody has yet."""
    base = slugify(name)[: CODE_LENGTH - 8] or otherwise
    used, code, number = set(taken), base, 2
    while code in used:
        code, number = f"{base}-{number}", number + 1
    return code
