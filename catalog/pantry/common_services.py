"""Adding ingredients that are ticked in the list of common ones, with a first price each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.pantry.common import Common
from catalog.pantry.models import Ingredient, Part
from catalog.pantry.services import PackPrice, pack_prices_set, supplier_get_or_add
from catalog.records.codes import free_codes
from catalog.records.rows import next_position


@dataclass(frozen=True, slots=True)
class Ticked:
    """A common ingredient and its first pack; without a size there is no price yet."""

    common: Common
    size: str = ""
    price: Decimal | None = None


@dataclass(frozen=True, slots=True)
class NewIngredient:
    """An ingredient to add under a name: with the figures of a common one, or with those given.

    ``base`` where it has none; ``density`` in g/ml, ``grams_each`` in g: either counts before the common one's.
    """

    name: str
    common: Common | None = None
    base: str = Ingredient.Base.GRAM
    density: Decimal | None = None
    grams_each: Decimal | None = None

    def columns(self, country: str) -> dict[str, Any]:
        """Return the ingredient's columns."""
        columns = self.common.columns(country) if self.common else {"base": self.base}
        given = {"density": self.density, "grams_each": self.grams_each}
        return columns | {key: value for key, value in given.items() if value is not None} | {"name": self.name}


def ingredients_add(new: Sequence[NewIngredient], *, country: str) -> list[Ingredient]:
    """Add ingredients with their parts inside the caller's transaction, in few statements."""
    position = next_position(Ingredient)
    codes = free_codes(Ingredient, [one.name for one in new], otherwise="item")
    rows = []
    for at, (one, code) in enumerate(zip(new, codes, strict=True)):
        rows.append(Ingredient(code=code, position=position + at, **one.columns(country)))
    added = Ingredient.objects.bulk_create(rows, batch_size=100)
    Part.objects.bulk_create(
        (
            Part(ingredient=ingredient, position=at, **row)
            for ingredient, one in zip(added, new, strict=True)
            for at, row in enumerate(one.common.part_rows() if one.common else ())
        ),
        batch_size=100,
    )
    return added


@transaction.atomic(durable=True)
def common_add(*, ticked: Sequence[Ticked], country: str, supplier: str, starts: date) -> list[Ingredient]:
    """Add ingredients, with prices from a day on; what the kitchen has by that name already is not added again.

    Return the ones that were added, in the order of the list.
    """
    known = {name.casefold() for name in Ingredient.objects.values_list("name", flat=True)}
    new = [one for one in ticked if one.common.name(country).casefold() not in known]
    added = ingredients_add([NewIngredient(one.common.name(country), one.common) for one in new], country=country)
    prices = [
        PackPrice(ingredient.pk, one.size, one.price)
        for ingredient, one in zip(added, new, strict=True)
        if one.price is not None
    ]
    pack_prices_set(prices=prices, starts=starts, supplier=supplier_get_or_add(supplier))
    catalog_changed()
    return added


@transaction.atomic(durable=True)
def ingredient_add_priced(
    *, new: NewIngredient, country: str, size: str, price: Decimal | None, starts: date
) -> Ingredient:
    """Add one ingredient, with a pack's price from a day on where one is given."""
    (added,) = ingredients_add([new], country=country)
    if price is not None:
        pack_prices_set(prices=[PackPrice(added.pk, size, price)], starts=starts, supplier=None)
    catalog_changed()
    return added
