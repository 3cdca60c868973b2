"""Allergens in plain words."""

from collections.abc import Iterable

from catalog.pantry.allergens import allergen_name
from catalog.web.display import joined


def allergen_word(code: str) -> str:
    """Return the plain name of an allergen's code."""
    return allergen_name(str(code))


def allergen_words(codes: Iterable[str] | None) -> str:
    """Write several allergens as part of a sentence."""
    return joined(allergen_word(code) for code in codes or ())
