"""What a supplier's price lists call an ingredient, remembered for its next lists; whether it is another article."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from catalog.pantry.free_by import article_changed
from catalog.pantry.models import Ingredient, Pack
from catalog.pantry.services import ingredient_version
from catalog.price_lists.models import PriceList
from catalog.price_lists.names import tidy

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Remembered:
    """What was remembered: the new words; and the ingredients whose answers of "free" that took back, for undoing it.

    Of each of these its key, its name, its version since, and its answers with what was noted of its name before.
    """

    called: list[str] = field(default_factory=list)
    answers: list[list[Any]] = field(default_factory=list)


def names_remember(price_list: PriceList, done: Mapping[int, Row]) -> Remembered:
    """Remember what the supplier calls the ingredients of corrected rows.

    ``done`` are rows by their numbers in the file. A price that stays as it is names its ingredient as well as one that
    changes. What the supplier called otherwise before is another article: its label was not read. It has no transaction
    of its own.
    """
    corrected = {
        tidy(line["was"]): (line["was"], done[line["row"]])
        for line in price_list.lines
        if line["row"] in done and line.get("was", "").strip()
    }
    new = {words: row["ingredient"] for words, (_, row) in corrected.items() if words != tidy(row["name"])}
    new = {words: pk for words, pk in new.items() if price_list.supplier.item_names.get(words) != pk}
    if not new:
        return Remembered()
    supplier = price_list.supplier
    answers = _taken_back(price_list, {pk: corrected[words][0] for words, pk in new.items()})
    supplier.item_names = {**supplier.item_names, **new}
    supplier.save(update_fields=["item_names"])
    return Remembered(list(new), answers)


def _taken_back(price_list: PriceList, words: Mapping[int, str]) -> list[list[Any]]:
    """Take back "free" from the ingredients, by key, that a supplier calls by other ``words`` than before."""
    supplier = price_list.supplier
    packs = Pack.objects.filter(supplier=supplier, ingredient__in=words, starts__lt=price_list.starts)
    bought = {*packs.values_list("ingredient", flat=True), *supplier.item_names.values()}
    rows = Ingredient.objects.select_for_update().prefetch_related("parts").filter(pk__in=words).order_by("pk")
    found = []
    for row in rows:
        before = [row.allergen_answers, row.named_only]
        if article_changed(row, words[row.pk], another=row.pk in bought):
            row.save(update_fields=["allergen_answers", "named_only"])
            found.append([row.pk, row.name, ingredient_version(row), *before])
    return found


def answers_put_back(taken: Iterable[list[Any]]) -> None:
    """Give ingredients that nobody changed since the answers back that an import took."""
    every = {pk: rest for pk, *rest in taken}
    for row in Ingredient.objects.select_for_update().prefetch_related("parts").filter(pk__in=every):
        _name, version, answers, named_only = every[row.pk]
        if ingredient_version(row) == version:
            row.allergen_answers, row.named_only = answers, named_only
            row.save(update_fields=["allergen_answers", "named_only"])
