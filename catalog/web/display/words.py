"""Words for codes: allergens and status."""

from collections.abc import Iterable
from typing import Any

from catalog.pantry.allergens import allergen_name


def allergen(code: str) -> str:
    """Return the plain name of an allergen's code."""
    return allergen_name(str(code))


def joined(words: Iterable[str]) -> str:
    """Write a list as a sentence does: milk, eggs and tree nuts."""
    names = list(words)
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def allergens(codes: Iterable[str] | None) -> str:
    """Write several allergens as part of a sentence."""
    return joined(allergen(code) for code in codes or ())


def status(document: Any) -> str:
    """Return a document's status in a word."""
    return str(document.get_status_display())
