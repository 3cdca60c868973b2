"""What a supplier's price lists call an ingredient, remembered for its next lists; whether it is another article."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from catalog.pantry.free_by import article_changed
from catalog.pantry.models import Ingredient, Pack
from catalog.pantry.other_goods import loses_free
from catalog.pantry.services import ingredient_version
from catalog.price_lists.models import PriceList
from catalog.price_lists.names import same_article, tidy

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Remembered:
    """What was remembered: the new words; and the names of the ingredients whose answers "free" that took back."""

    called: list[str] = field(default_factory=list)
    unchecked: list[str] = field(default_factory=list)


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
    every: dict[int, list[str]] = {}
    for words, pk in new.items():
        every.setdefault(pk, []).append(corrected[words][0])
    unchecked = _taken_back(price_list, every)
    supplier.item_names = {**supplier.item_names, **new}
    supplier.save(update_fields=["item_names"])
    return Remembered(list(new), unchecked)


def _taken_back(price_list: PriceList, words: Mapping[int, list[str]]) -> list[str]:
    """Take back "free" from the ingredients, by key, of which a supplier's ``words`` are of another article.

    Those are others than he used before; or the first, where it was bought from him without any.
    """
    supplier = price_list.supplier
    packs = Pack.objects.filter(supplier=supplier, ingredient__in=words, starts__lt=price_list.starts)
    bought = set(packs.values_list("ingredient", flat=True))
    called: dict[int, list[str]] = {}
    for known, pk in supplier.item_names.items():
        called.setdefault(pk, []).append(known)
    rows = Ingredient.objects.select_for_update().filter(pk__in=words).order_by("pk")
    found = []
    for row in rows:
        known = called.get(row.pk, ())
        # Every name is asked: each may take another answer back.
        if any([_is_changed(row, one, known, bought=row.pk in bought) for one in words[row.pk]]):  # noqa: C419
            row.save(update_fields=["allergen_answers", "named_only"])
            found.append(row.name)
    return found


def _is_changed(row: Ingredient, words: str, called: Sequence[str], *, bought: bool) -> bool:
    another = not any(same_article(words, one) for one in called) if called else bought
    return article_changed(row, words, another=another)


#: Answers of ingredients by key, with what was noted of their names.
Answers = dict[int, list[Any]]


def answers_held() -> Answers:
    """Return the answers of every ingredient that another good takes "free" back from."""
    return {one.pk: [one.allergen_answers, one.named_only] for one in Ingredient.objects.all() if loses_free(one)}


def answers_taken(before: Answers) -> list[list[Any]]:
    """Return whose answers are others now, for undoing it: key, name, version since, and both as they were before."""
    now = Ingredient.objects.filter(pk__in=before.keys() - answers_held().keys()).prefetch_related("parts")
    return [[one.pk, one.name, ingredient_version(one), *before[one.pk]] for one in now.order_by("pk")]


def answers_put_back(taken: Iterable[list[Any]], *, but: Collection[int]) -> None:
    """Give ingredients that nobody changed since the answers back that an import took.

    ``but`` are those of which a price of the import stays: what it sells is still another good.
    """
    every = {pk: rest for pk, *rest in taken if pk not in but}
    for row in Ingredient.objects.select_for_update().prefetch_related("parts").filter(pk__in=every):
        _name, version, answers, named_only = every[row.pk]
        if ingredient_version(row) == version:
            row.allergen_answers, row.named_only = answers, named_only
            row.save(update_fields=["allergen_answers", "named_only"])
