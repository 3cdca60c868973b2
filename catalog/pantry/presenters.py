"""Allergens in plain words."""

from collections.abc import Iterable

from catalog.pantry.allergens import NOT_NAMED, allergen_name, need_name
from catalog.web.display import joined


def allergen_word(code: str) -> str:
    """Return the plain name of an allergen's code."""
    return allergen_name(str(code))


def allergen_words(codes: Iterable[str] | None) -> str:
    """Write several allergens as part of a sentence; what nobody named comes last, where its comma misleads nobody."""
    return joined(sorted((allergen_word(code) for code in codes or ()), key=lambda name: name in NOT_NAMED.values()))


def need_words(codes: Iterable[str] | None) -> str:
    """Write several needs of guests as part of a sentence."""
    return joined(need_name(str(code)) for code in codes or ())
