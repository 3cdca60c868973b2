"""Labels read one after the other: what nobody answered is free where the label says nothing of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.pantry.allergens import NOT_NAMED, asked_of, covered
from catalog.pantry.declarations import CONTAINS, FREE, declared
from catalog.pantry.free_by import (
    ARTICLE,
    BOUGHT,
    FREE_BY,
    FREE_BY_WHO,
    LABEL,
    RENAMED,
    is_known,
    source_missing,
    source_value,
)
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import says_what_is_in_it
from catalog.pantry.models import Ingredient
from catalog.pantry.selectors import recipes_with
from catalog.pantry.services import ingredient_version
from catalog.pantry.single_foods import plainly_packing


@dataclass(frozen=True, slots=True)
class LabelRead:
    """An ingredient as its page showed it; ``off_food`` is packaging that never touches food."""

    pk: int
    version: str
    off_food: bool = False


def open_allergens(ingredient: Ingredient, which: str) -> tuple[str, ...]:
    """Return the allergens of a list that nobody answered for an ingredient; what touches no food is asked nothing."""
    found = declared(
        ingredient.allergens, ingredient.allergen_answers, which, touches=ingredient.touches_food
    ).unchecked_allergens
    asked = set(asked_of(which)) - NOT_NAMED.keys()
    return tuple(code for code in found if code in asked)


def named_open(ingredient: Ingredient, which: str) -> frozenset[str]:
    """Return the open allergens that an ingredient's own name has in it: these are answered on its page alone."""
    held = {*ingredient.allergens}
    named = [covered(code) for code in foods_named(ingredient.name) if not covered(code) & held]
    return frozenset[str]().union(*named) & {*open_allergens(ingredient, which)}


def list_open(ingredient: Ingredient) -> bool:
    """Return whether a name says nothing of what it is, and nobody entered its label's list of ingredients."""
    known = is_known(ingredient.named_only, ingredient.name)
    return ingredient.touches_food and not known and not says_what_is_in_it(ingredient.name)


@transaction.atomic(durable=True)
def labels_read(*, reads: Iterable[LabelRead], which: str, by: str) -> tuple[list[str], list[str]]:
    """Answer "free" for every allergen of a list that is open; return the names answered, and those left as they were.

    Left as it was is what somebody changed since it was shown, packaging that a recipe uses or that is none by its
    name, and what has a name that says nothing: its list of ingredients is entered on its page. Diets stay open: nobody
    reads on a label that there is no gelatin in something. So does what the name has in it. Of what is free by its
    label, and not by its name alone, it is noted that ``by`` read it.
    """
    by_pk = {read.pk: read for read in reads}
    done, left = [], []
    rows = Ingredient.objects.select_for_update().filter(pk__in=by_pk).order_by("pk")
    for row in rows.prefetch_related("parts"):
        read = by_pk[row.pk]
        changed = ingredient_version(row) != read.version
        if changed or (not_packing(row) if read.off_food else list_open(row)):
            left.append(row.name)
            continue
        if read.off_food:
            row.touches_food = False
        else:
            free = [code for code in open_allergens(row, which) if code not in named_open(row, which)]
            row.allergen_answers = {**row.allergen_answers, **dict.fromkeys(free, FREE)}
            row.named_only = _by_label(row, by)
        row.save(update_fields=["touches_food", "allergen_answers", "named_only"])
        done.append(row.name)
    if done:
        catalog_changed()
    return done, left


def not_packing(row: Ingredient) -> bool:
    """Return whether something is not taken for packaging that never touches food without being asked."""
    return bool(recipes_with(row)) or not plainly_packing(row.name)


def _by_label(row: Ingredient, by: str) -> dict[str, str]:
    """Return what is noted of a row's name once its label was read."""
    named = {key: text for key, text in row.named_only.items() if key not in (RENAMED, ARTICLE, BOUGHT)}
    if source_missing(row.name, named.get(FREE_BY, "")):
        named |= {FREE_BY: source_value(LABEL, row.name), FREE_BY_WHO: by}
    return named


def contained_codes(ingredient: Ingredient) -> tuple[str, ...]:
    """Return what an ingredient contains, allergens and what some guests do not eat."""
    diets = (code for code, answer in ingredient.allergen_answers.items() if answer == CONTAINS)
    return tuple(dict.fromkeys((*ingredient.allergens, *diets)))
