"""Importing the rows of a price list that are ready, all of them at once, and undoing all that its imports did."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, Final

from django.db import transaction
from django.db.models import Q

from catalog.book.revision import catalog_changed
from catalog.kitchen.selectors import kitchen
from catalog.pantry.common import common_of
from catalog.pantry.common_services import NewIngredient, ingredients_add
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.pantry.other_goods import Bought, other_goods
from catalog.pantry.selectors import ingredient_users
from catalog.pantry.services import PackPrice, ingredient_version, pack_prices_set
from catalog.price_lists.models import PriceList
from catalog.price_lists.remembered import answers_held, answers_put_back, answers_taken, names_remember
from catalog.price_lists.same_day import Replaced, prices_put_back, prices_replace
from catalog.price_lists.services import compared
from catalog.price_lists.steps import list_changed, list_to_change
from catalog.records.errors import PriceListNotReady
from catalog.records.reasons import Reason, reason_to_json
from catalog.records.uses import protected
from costing.measures.measure import parse_measure

Status = PriceList.Status
#: Most keys that one statement names.
_BATCH: Final = 500
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: prices recorded, ingredients added, names of those that are not checked any more."""

    prices: int
    ingredients: int
    unchecked: tuple[str, ...] = ()


@transaction.atomic(durable=True)
def price_list_import(*, price_list_id: int, by: str, at: datetime, seen: int | None = None) -> Imported:
    """Import every row that is ready and was not imported before; those with problems stay to be corrected.

    Raises
    ------
    PriceListNotReady
        If no row is ready, it is not read yet, was discarded, or was changed since it was shown.
    PackDatesOverlap
        If a price of the same pack was recorded or corrected since the preview; nothing is imported.
    """
    price_list = list_to_change(price_list_id, seen, (Status.READ, Status.APPLIED))
    ready = rows_ready(price_list)
    if not ready:
        raise PriceListNotReady(why=Reason("list_applied" if price_list.status == Status.APPLIED else "no_rows_ready"))
    rows, added = _with_ingredients(ready)
    held = answers_held()
    replacing = [row for row in rows if row.get("replaces")]
    replaced = prices_replace(replacing, price_list.starts)
    prices = [
        PackPrice(row["ingredient"], row["size"], Decimal(row["price"])) for row in rows if not row.get("replaces")
    ]
    if others := {row["ingredient"] for row in rows if row.get("other_good")}:
        other_goods(others, Bought())
    ended = packs_to_end(price_list.supplier, price_list.starts, prices)
    packs = pack_prices_set(prices=prices, starts=price_list.starts, supplier=price_list.supplier)
    done = {row["row"]: {**row, "done": True} for row in rows}
    called = names_remember(price_list, {row["row"]: row for row in price_list.rows if row["ingredient"]} | done)
    before = price_list.made or price_list.undone.get("rest", {})
    list_changed(
        price_list,
        status=Status.APPLIED,
        applied_at=at,
        undone={},
        made=_made(before, packs, ended, added, replaced) | _learned(before, called.called, answers_taken(held)),
        rows=[done.get(row["row"], row) for row in price_list.rows],
        lines=[{**line, "done": True} if line["row"] in done else line for line in price_list.lines],
    )
    catalog_changed()
    return Imported(len(packs) + len(replaced), len(added), tuple(called.unchecked))


def rows_ready(price_list: PriceList) -> list[Row]:
    """Return the rows that an import would write: those that change something and were not imported."""
    if price_list.status == Status.APPLIED and not price_list.made:
        return []
    return [row for row in price_list.rows if row["change"] != "same" and not row.get("done")]


def _with_ingredients(ready: list[Row]) -> tuple[list[Row], list[Ingredient]]:
    """Return the rows with the keys of their ingredients, and those that were added for them."""
    wanted = {row["ingredient"] for row in ready if row["ingredient"]}
    gone = wanted - set(Ingredient.objects.values_list("pk", flat=True))
    for row in ready:
        if row["ingredient"] in gone:
            raise PriceListNotReady(why=Reason("ingredient_gone", {"name": row["name"]}))
    unknown = {row["name"].casefold(): row for row in ready if not row["ingredient"]}
    there = {name.casefold(): pk for pk, name in Ingredient.objects.values_list("pk", "name")} if unknown else {}
    new = [
        NewIngredient(row["name"], common_of(row["name"]), row["base"] or Ingredient.Base.GRAM)
        for name, row in unknown.items()
        if name not in there
    ]
    added = ingredients_add(new, country=kitchen().country) if new else []
    keys = there | {one.name.casefold(): one.pk for one in added}
    return [row if row["ingredient"] else {**row, "ingredient": keys[row["name"].casefold()]} for row in ready], added


def packs_to_end(supplier: Supplier | None, starts: date, prices: Sequence[PackPrice]) -> list[list[Any]]:
    """Return the packs that the new prices end, each with its key and its last day so far."""
    sizes = {(price.ingredient_id, parse_measure(price.size)) for price in prices}
    open_still = Q(ends=None) | Q(ends__gte=starts)
    packs = Pack.objects.filter(open_still, supplier=supplier, starts__lt=starts)
    ended = [pack for pack in packs.order_by("pk") if (pack.ingredient_id, pack.measure) in sizes]
    return [[pack.pk, pack.ends and pack.ends.isoformat()] for pack in ended]


def _made(
    before: Row,
    packs: Sequence[Pack],
    ended: list[list[Any]],
    added: Sequence[Ingredient],
    replaced: Replaced,
) -> Row:
    """Return what all imports of a list made and ended, for undoing it."""
    return {
        "packs": [*before.get("packs", ()), *([pack.pk, str(pack.price)] for pack in packs)],
        "ended": [*before.get("ended", ()), *ended],
        "replaced": [*before.get("replaced", ()), *replaced],
        "ingredients": [
            *before.get("ingredients", ()),
            *([one.pk, ingredient_version(one)] for one in ingredients_with_parts([one.pk for one in added])),
        ],
    }


def _learned(before: Row, called: Sequence[str], answers: Sequence[list[Any]]) -> Row:
    """Return the supplier's words that all imports of a list remembered, and the answers that they took."""
    return {
        "called": [*before.get("called", ()), *called],
        "answers": [*before.get("answers", ()), *answers],
    }


def ingredients_with_parts(keys: Sequence[int]) -> list[Ingredient]:
    rows = Ingredient.objects.prefetch_related("parts")
    return [one for some in _batched(keys) for one in rows.filter(pk__in=some)]


@dataclass(frozen=True, slots=True)
class Undone:
    """What undoing removed, and what it left with the reason."""

    prices: int
    ingredients: int
    left: list[Reason]


@transaction.atomic(durable=True)
def price_list_undo(*, price_list_id: int, by: str, at: datetime, seen: int | None = None) -> Undone:
    """Remove the prices that a list's imports recorded, and the ingredients nothing uses; it can be imported again.

    Prices that they had ended count again. Left are prices that were corrected since, and ingredients that something
    uses, that have other prices or were changed since. Sent quotes keep their prices. What the list itself brought
    before any import stays beside: its supplier, and which columns were chosen. Where something stays because it is
    used, undoing again removes it once nothing uses it any more.

    Raises
    ------
    PriceListNotReady
        If it was not imported, or was changed since it was shown.
    """
    before = PriceList.objects.values_list("undone", flat=True).get(pk=price_list_id)
    price_list = list_to_change(price_list_id, seen, undo_from(before))
    made = price_list.made if price_list.status == Status.APPLIED else before["rest"]
    if not made:
        raise PriceListNotReady(why=Reason("imported_before"))
    _forget_names(price_list)
    back, corrected = prices_put_back(made.get("replaced", ()))
    standing = ingredients_standing(made["ingredients"])
    removed, left = packs_undo(made["packs"], made["ended"], price_list.starts, standing)
    stays = Pack.objects.filter(pk__in=[pk for pk, _ in made["packs"]]).values_list("ingredient", flat=True)
    answers_put_back(made.get("answers", ()), but=set(stays))
    gone, used = ingredients_undo(made["ingredients"])
    left += corrected + used
    undone = {
        "at": at.isoformat(),
        "by": by,
        "prices": removed + back + before.get("prices", 0),
        "ingredients": gone + before.get("ingredients", 0),
        "left": [reason_to_json(reason) for reason in left],
        "beside": [reason_to_json(reason) for reason in _beside(price_list)],
        "rest": undo_rest(made, left),
    }
    price_list.rows = []
    lines = [{**line, "done": False} for line in price_list.lines]
    list_changed(price_list, status=Status.READ, applied_at=None, made={}, undone=undone, **compared(price_list, lines))
    catalog_changed()
    return Undone(removed + back, gone, left)


#: Why something stays for as long as something else needs it.
_NEEDED: Final = frozenset({"ingredient_used", "ingredient_priced", "recipe_used", "record_used", "supplier_used"})


def undo_from(undone: dict[str, Any]) -> tuple[str, ...]:
    """Return the statuses in which an import can be undone: imported, or undone in part with something left to undo."""
    return ("applied", "read") if undone.get("rest") else ("applied",)


def undo_rest(made: dict[str, Any], left: Sequence[Reason]) -> dict[str, Any]:
    """Return what an undo left that undoing again can remove later: what was added, where something needs it now.

    What was changed is put back once; what undoing removed is not there to be removed again.
    """
    needed = any(reason.code in _NEEDED for reason in left)
    return (
        {key: rows for key, rows in made.items() if key not in ("changed", "called", "answers", "replaced")}
        if needed
        else {}
    )


def _beside(price_list: PriceList) -> Iterator[Reason]:
    """Yield what stays of a list that is undone: it was there before anything was imported."""
    words = {"name": price_list.supplier.name}
    if price_list.reading.get("new_supplier"):
        yield Reason("supplier_stays", words)
    if price_list.choice:
        yield Reason("columns_stay", words)


def _forget_names(price_list: PriceList) -> None:
    called, supplier = set(price_list.made.get("called", ())), price_list.supplier
    if called:
        supplier.item_names = {words: pk for words, pk in supplier.item_names.items() if words not in called}
        supplier.save(update_fields=["item_names"])


def ingredients_standing(made: Sequence[Sequence[Any]]) -> frozenset[int]:
    """Return which of the ingredients that imports added stay when these are undone: used, or changed since."""
    versions: dict[int, str] = {pk: version for pk, version in made}  # noqa: C416 - pairs of JSON
    used = protected(Ingredient, versions)
    changed = {one.pk for one in ingredients_with_parts(list(versions)) if ingredient_version(one) != versions[one.pk]}
    return frozenset(used | changed)


def packs_undo(
    recorded: Sequence[Sequence[Any]],
    ended: Sequence[Sequence[Any]],
    starts: date,
    standing: frozenset[int] = frozenset(),
) -> tuple[int, list[Reason]]:
    """Delete the packs that imports made, unless corrected since, and open those that they had ended.

    ``recorded`` has the key and price of each, ``ended`` the key and last day before of those that ended at ``starts``.
    Those of the ingredients that are ``standing`` stay too, so that what uses them has a price.
    """
    made: dict[int, str] = {pk: price for pk, price in recorded}  # noqa: C416 - pairs of JSON
    every = [pack for some in _batched(list(made)) for pack in _packs(some)]
    packs = [pack for pack in every if pack.ingredient_id not in standing]
    left = [
        Reason("price_corrected", {"name": pack.ingredient.name, "size": pack.size})
        for pack in packs
        if pack.price != Decimal(made[pack.pk])
    ]
    removed = [pack for pack in packs if pack.price == Decimal(made[pack.pk])]
    _open_again(ended, starts, removed)
    for some in _batched([pack.pk for pack in removed]):
        Pack.objects.filter(pk__in=some).delete()
    return len(removed), left


def _packs(keys: Sequence[int]) -> list[Pack]:
    return list(Pack.objects.select_for_update(of=("self",)).select_related("ingredient").filter(pk__in=keys))


def _open_again(ended: Sequence[Sequence[Any]], starts: date, removed: Sequence[Pack]) -> None:
    """Let the earlier price of each pack run as long as before, or as long as the removed one did."""
    last_day = starts - timedelta(days=1)
    instead = {(pack.ingredient_id, pack.measure, pack.supplier_id): pack for pack in removed}
    before = {pk: ends and date.fromisoformat(ends) for pk, ends in ended}
    opened = []
    for some in _batched(list(before)):
        for pack in Pack.objects.filter(pk__in=some, ends=last_day):
            later = instead.get((pack.ingredient_id, pack.measure, pack.supplier_id))
            if later is not None:
                pack.ends = before[pack.pk] if later.ends is None else later.ends
                opened.append(pack)
    Pack.objects.bulk_update(opened, ["ends"], batch_size=100)


def ingredients_undo(made: Sequence[Sequence[Any]]) -> tuple[int, list[Reason]]:
    """Delete the ingredients that the imports added, where nothing uses them and nobody changed them since."""
    versions: dict[int, str] = {pk: version for pk, version in made}  # noqa: C416 - pairs of JSON
    rows = ingredients_with_parts(list(versions))
    used = protected(Ingredient, versions)
    priced = set(Pack.objects.values_list("ingredient", flat=True).distinct())
    left, gone = [], []
    for ingredient in rows:
        if ingredient.pk in used:
            left.append(Reason("ingredient_used", {"name": ingredient.name, "users": ingredient_users(ingredient)}))
        elif ingredient_version(ingredient) != versions[ingredient.pk]:
            left.append(Reason("ingredient_changed", {"name": ingredient.name}))
        elif ingredient.pk in priced:
            left.append(Reason("ingredient_priced", {"name": ingredient.name}))
        else:
            gone.append(ingredient.pk)
    for some in _batched(gone):
        Ingredient.objects.filter(pk__in=some).delete()
    return len(gone), left


def suppliers_undo(made: Sequence[int]) -> list[Reason]:
    """Delete the suppliers that imports added, where nothing is from them and nobody wrote anything about them."""
    left = []
    for supplier in Supplier.objects.filter(pk__in=made):
        entered = supplier.note or supplier.price_columns or supplier.item_names
        if entered or supplier.packs.exists() or supplier.price_lists.exists():
            left.append(Reason("supplier_used", {"name": supplier.name}))
        else:
            supplier.delete()
    return left


def _batched(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    return (keys[at : at + _BATCH] for at in range(0, len(keys), _BATCH))
