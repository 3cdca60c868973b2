"""Whether a product keeps the cooling rule in force, said on pages below the package that computes it."""

from typing import Any

from django import template

from catalog.book.selectors import book_current
from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import cold_times, first_broken, products_unsaid
from catalog.records.errors import CannotPrice

register = template.Library()


@register.inclusion_tag("catalog/cooling/note.html")
def cooling_note(code: str, pk: int) -> dict[str, Any]:
    """Write a note where a product breaks the rule, never gets cold, or is made hot without a word on how warm."""
    try:
        book = book_current()
    except CannotPrice:
        return {}
    found, unsaid = cold_times([code], book).get(code), products_unsaid([code], book).get(code)
    broken = first_broken(found.times) if found else None
    return {"broken": broken, "unsaid": missing_sentence(unsaid) if unsaid else "", "pk": pk}
