"""Whether a product keeps the cooling rule in force, said on pages below the package that computes it."""

from typing import Any

from django import template

from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times, first_broken
from catalog.records.errors import CannotPrice

register = template.Library()


@register.inclusion_tag("catalog/cooling/note.html")
def cooling_note(code: str, pk: int) -> dict[str, Any]:
    """Write a note where a product breaks the rule or never gets cold; nothing where it keeps it, or is not judged."""
    try:
        book = book_current()
    except CannotPrice:
        return {}
    found = cold_times([code], book).get(code)
    return {"broken": first_broken(found.times) if found else None, "pk": pk}
