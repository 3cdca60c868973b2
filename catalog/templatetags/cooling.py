"""Whether a product keeps the cooling rule in force, said on pages below the package that computes it."""

from collections.abc import Iterable
from typing import Any

from django import template

from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import hot_and_open
from catalog.cooling.caution_presenters import band_words
from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import cold_times, first_broken, products_unsaid
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.time_used import USED_UP
from catalog.products.models import Fill
from catalog.recipes.perishables import product_room_safe, recipe_room_safe
from catalog.recipes.selectors import RecipeRow
from catalog.records.errors import CannotPrice

register = template.Library()
register.simple_tag(band_words)


@register.filter
def in_it(fills: Iterable[Fill], cycle: CoolingCycle) -> list[Fill]:
    """Return the fills of a product that are in it while it cools: what goes in later is not."""
    return [fill for fill in fills if fill.recipe.code in cycle.recipes]


@register.inclusion_tag("catalog/cooling/note.html")
def cooling_note(code: str, pk: int) -> dict[str, Any]:
    """Write a note where a product breaks the rule, may never get cold, or is made hot without a word on how warm."""
    try:
        book = book_current()
    except CannotPrice:
        return {}
    found, unsaid = cold_times([code], book).get(code), products_unsaid([code], book).get(code)
    broken = first_broken(found.times) if found else None
    return {"broken": broken, "unsaid": missing_sentence(unsaid) if unsaid else "", "pk": pk}


@register.inclusion_tag("catalog/cooling/recipe_note.html")
def recipe_cooling_note(code: str, pk: int, *, edits: bool) -> dict[str, Any]:
    """Write a caution where what a hot recipe's cooling is judged by is not entered, or it stands out for too long.

    ``edits`` adds a link to the page on which all of it is answered at once.
    """
    try:
        book = book_current()
        missing = hot_and_open(code, book) if any(one.code == code for one in book.recipes) else None
    except CannotPrice:
        return {}
    if missing is None:
        return {}
    used_up = missing.reason.code in USED_UP
    return {"sentence": missing_sentence(missing), "used_up": used_up, "pk": pk, "edits": edits}


@register.simple_tag
def cooling_asked(rows: Iterable[RecipeRow]) -> list[tuple[RecipeRow, str]]:
    """Return each recipe of a list with what is missing of its cooling, in a sentence; empty where nothing is."""
    try:
        book = book_current()
    except CannotPrice:
        return [(row, "") for row in rows]
    known = {recipe.code for recipe in book.recipes}
    found = ((row, hot_and_open(row.recipe.code, book) if row.recipe.code in known else None) for row in rows)
    return [(row, missing_sentence(missing) if missing else "") for row, missing in found]


@register.simple_tag
def is_room_safe(kind: str, code: str) -> bool:
    """Return whether a recipe, or all that fills a product (``kind``), counts as safe at room temperature."""
    try:
        book = book_current()
    except CannotPrice:
        return False
    return product_room_safe(code, book) if kind == "product" else recipe_room_safe(code, book)


@register.simple_tag
def cools(code: str) -> bool:
    """Return whether a product's cooling is computed, as a whole or part by part."""
    try:
        book = book_current()
    except CannotPrice:
        return False
    found = cold_times([code], book).get(code)
    return found is not None and not found.assumed
