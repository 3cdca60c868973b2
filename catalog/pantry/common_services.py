"""Adding ingredients that are ticked in the list of common ones, with a first price each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.pantry.common import Common
from catalog.pantry.models import Ingredient, Part
from catalog.pantry.services import PackPrice, pack_prices_set, supplier_get_or_add
from catalog.records.codes import free_code
from catalog.records.rows import next_position


@dataclass(frozen=True, slots=True)
class Ticked:
    """A common ingredient and its first pack; without a size there is no price yet."""

    common: Common
    size: str = ""
    price: Decimal | None = None


@transaction.atomic(durable=True)
def common_add(*, ticked: Sequence[Ticked], country: str, supplier: str, starts: date) -> list[Ingredient]:
    """Add ingredients, with prices from a day on; what the kitchen has by that name already is not added again.

    Return the ones that were added, in the order of the list.
    """
    known = {name.casefold() for name in Ingredient.objects.values_list("name", flat=True)}
    new = [one for one in ticked if one.common.name(country).casefold() not in known]
    position = next_position(Ingredient)
    added: list[Ingredient] = []
    for at, one in enumerate(new):
        columns = one.common.columns(country)
        code = free_code(Ingredient, columns["name"], otherwise="item")
        ingredient = Ingredient.objects.create(code=code, position=position + at, **columns)
        rows = one.common.part_rows()
        Part.objects.bulk_create(Part(ingredient=ingredient, position=at, **row) for at, row in enumerate(rows))
        added.append(ingredient)
    prices = [
        PackPrice(ingredient.pk, one.size, one.price)
        for ingredient, one in zip(added, new, strict=True)
        if one.price is not None
    ]
    pack_prices_set(prices=prices, starts=starts, supplier=supplier_get_or_add(supplier))
    catalog_changed()
    return added
