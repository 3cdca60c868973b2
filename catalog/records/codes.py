"""Codes made from names."""

from collections.abc import Iterable

from django.db import models
from django.utils.text import slugify

CODE_LENGTH = 80


def free_code(model: type[models.Model], name: str, *, otherwise: str, reserved: Iterable[str] = ()) -> str:
    """Return a code made from a name that no row has yet; ``otherwise`` where the name has no letters."""
    return free_codes(model, [name], otherwise=otherwise, reserved=reserved)[0]


def free_codes(
    model: type[models.Model], names: Iterable[str], *, otherwise: str, reserved: Iterable[str] = ()
) -> list[str]:
    """Return a code for each of several names, all different; one query."""
    used = {*reserved, *model._default_manager.values_list("code", flat=True)}
    codes = []
    for name in names:
        base = slugify(name)[: CODE_LENGTH - 8] or otherwise
        code, number = base, 2
        while code in used:
            code, number = f"{base}-{number}", number + 1
        used.add(code)
        codes.append(code)
    return codes
