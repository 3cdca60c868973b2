"""What is bought where it was not bought before is another good, with a label of its own, under the same name."""

from collections.abc import Iterable

from catalog.pantry.declarations import FREE
from catalog.pantry.free_by import BOUGHT, taken_back
from catalog.pantry.models import Ingredient, Pack, Supplier


class Bought:
    """From whom each ingredient was bought so far; a pack without a supplier is from somebody nobody knows."""

    def __init__(self, ingredients: Iterable[int] | None = None) -> None:
        packs = Pack.objects.order_by("starts", "pk")
        if ingredients is not None:
            packs = packs.filter(ingredient__in=ingredients)
        self._names: dict[int, list[str]] = {}
        for ingredient, supplier in packs.values_list("ingredient", "supplier__name"):
            self._names.setdefault(ingredient, []).append(supplier or "")

    def is_other(self, ingredient: int, supplier: str) -> bool:
        """Return whether something was bought before, and never from this supplier."""
        names = self._names.get(ingredient, [])
        return bool(names) and supplier.casefold() not in {name.casefold() for name in names}

    def before(self, ingredient: int) -> str:
        """Return the name of the supplier that it was bought from last; empty where nobody said."""
        return self._names.get(ingredient, [""])[-1]


def loses_free(ingredient: Ingredient) -> bool:
    """Return whether an ingredient has an answer "free" that another good takes back."""
    return ingredient.touches_food and FREE in ingredient.allergen_answers.values()


def other_goods(ingredients: Iterable[int], bought: Bought) -> list[Ingredient]:
    """Take back "free" from ingredients that are another good now; return those that lost any, inside a transaction."""
    others = list(ingredients)
    lost = [one for one in Ingredient.objects.filter(pk__in=others) if loses_free(one)] if others else []
    for one in lost:
        taken_back(one, BOUGHT, bought.before(one.pk))
    if lost:
        Ingredient.objects.bulk_update(lost, ["allergen_answers", "named_only"], batch_size=100)
    return lost


def others_from(ingredients: Iterable[int], supplier: Supplier | None, bought: Bought) -> list[int]:
    """Return which ingredients were bought before and never from this supplier."""
    name = supplier.name if supplier else ""
    return [one for one in ingredients if bought.is_other(one, name)]
