"""Writing ingredients, parts, packs and suppliers."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final

from django.db import transaction
from django.db.models import Max

from catalog.book.revision import catalog_changed
from catalog.pantry.free_by import note_against, renamed, unasked
from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.pantry.other_goods import Bought, other_goods, others_from
from catalog.pantry.selectors import ingredient_users, recipes_with
from catalog.records.errors import InUse, PackDatesOverlap, TouchesFood
from catalog.records.reasons import Reason
from catalog.records.rows import new_row, remove
from catalog.records.versions import existing_unchanged, stored, version_mark
from costing.measures.measure import Measure, parse_measure

#: Most keys that one statement names.
_BATCH: Final = 500
_COLUMNS = (
    "name",
    "base",
    "density",
    "grams_each",
    "yield_share",
    "charge",
    "allergens",
    "allergen_answers",
    "allergen_names",
    "named_only",
    "touches_food",
    "source",
    "ndb",
    "composition",
    "note",
    "active",
)


def ingredient_version(ingredient: Ingredient) -> str:
    """Return the version of an ingredient with its parts, as stored; packs are rows of their own, added and ended."""
    parts = [stored(part) for part in ingredient.parts.all()]
    return version_mark([stored(ingredient), parts])


def supplier_version(supplier: Supplier) -> str:
    """Return the version of what the form of a supplier shows."""
    return version_mark(stored(supplier, ("name", "note")))


@transaction.atomic(durable=True)
def ingredient_save(
    *, ingredient_id: int | None, data: dict[str, Any], parts: list[dict[str, Any]], version: str = ""
) -> Ingredient:
    """Create or change an ingredient with its parts.

    Raises
    ------
    Overtaken
        If its version is no longer ``version``.
    ChangedMeanwhile
        If it was deleted.
    InUse
        If a part is removed that a recipe uses.
    TouchesFood
        If it is marked as never touching the food while a recipe uses it.
    """
    if ingredient_id:
        ingredient = existing_unchanged(Ingredient, ingredient_id, version, ingredient_version)
    else:
        ingredient = new_row(Ingredient, data["name"], otherwise="item")
    before = ingredient.name
    for key in _COLUMNS:
        if key in data:
            setattr(ingredient, key, data[key])
    if ingredient.pk and unasked(ingredient):
        renamed(ingredient, before)
    note_against(ingredient)
    if ingredient.pk and not ingredient.touches_food and (recipes := recipes_with(ingredient)):
        raise TouchesFood(what=ingredient.name, users=recipes)
    ingredient.save()
    _parts_write(ingredient, parts)
    catalog_changed()
    return ingredient


def _parts_write(ingredient: Ingredient, parts: list[dict[str, Any]]) -> None:
    saved = {part.code: part for part in ingredient.parts.all()}
    wanted = [part for part in parts if part.get("code")]
    for gone in set(saved) - {part["code"] for part in wanted}:
        users = list(saved[gone].recipe_lines.values_list("recipe__name", flat=True).distinct())
        if users:
            raise InUse(what=Reason("part", {"name": gone}), users=users)
        saved[gone].delete()
    for position, part in enumerate(wanted):
        row = saved.get(part["code"]) or Part(ingredient=ingredient, code=part["code"])
        row.position, row.share, row.joint = position, part["share"], part.get("joint") or ""
        row.density, row.grams_each = part.get("density"), part.get("grams_each")
        row.ndb = part.get("ndb") or ""
        row.save()


@transaction.atomic(durable=True)
def ingredient_delete(*, ingredient_id: int) -> None:
    """Delete an ingredient that nothing uses.

    Raises
    ------
    InUse
        If a recipe or product uses it; it can be marked as no longer bought instead.
    """
    ingredient = Ingredient.objects.get(pk=ingredient_id)
    remove(ingredient, what=ingredient.name, users=ingredient_users(ingredient))
    catalog_changed()


def supplier_get_or_add(name: str) -> Supplier | None:
    """Return the supplier of that name, created if new; None for an empty name. No transaction of its own."""
    name = " ".join(name.split())
    if not name:
        return None
    known = Supplier.objects.filter(name__iexact=name).first()
    if known is not None:
        return known
    catalog_changed()
    return Supplier.objects.create(name=name)


@transaction.atomic(durable=True)
def pack_add(
    *,
    ingredient_id: int,
    size: str,
    price: Decimal,
    starts: date,
    supplier: str,
    preferred: bool,
    instead: bool = False,
    label_read: bool = False,
    other_maker: bool = False,
) -> Pack:
    """Record a pack's price from a day on; the same supplier's earlier price of that size ends the day before.

    With ``instead`` the supplier's price of that size from the same day is replaced, where there is one. What is bought
    from somebody it was not bought from before, or is of an ``other_maker``, is another good: its answers "free" are
    not checked any more, unless with ``label_read`` somebody says that its label was read and they hold.

    Raises
    ------
    PackDatesOverlap
        If the same size has a price of that supplier from that day or later.
    """
    # Locked before a new supplier moves the catalog's revision: the kitchen's row is the last that anybody locks.
    ingredient = Ingredient.objects.select_for_update(no_key=True).get(pk=ingredient_id)
    whose = supplier_get_or_add(supplier)
    of_the_day = Pack.objects.filter(ingredient=ingredient, supplier=whose, starts=starts, ends=None)
    if instead and (same := next((pack for pack in of_the_day if pack.measure == parse_measure(size)), None)):
        same.price = price
        same.save(update_fields=["price"])
        catalog_changed()
        return same
    (pack,) = pack_prices_set(
        prices=[PackPrice(ingredient.pk, size, price, preferred)],
        starts=starts,
        supplier=whose,
        label_read=label_read,
        other_maker=other_maker,
    )
    catalog_changed()
    return pack


@dataclass(frozen=True, slots=True)
class PackPrice:
    """A new price of a pack. ``preferred`` None: as the same pack of that supplier was."""

    ingredient_id: int
    size: str
    price: Decimal
    preferred: bool | None = None


def pack_prices_set(
    *,
    prices: Sequence[PackPrice],
    starts: date,
    supplier: Supplier | None,
    label_read: bool = False,
    other_maker: bool = False,
) -> list[Pack]:
    """Do the work of :func:`pack_add` for many packs inside the caller's transaction, in few statements.

    Each pack may stand in ``prices`` once.
    """
    _lock_ingredients(prices)
    if not label_read:
        priced = {price.ingredient_id for price in prices}
        bought = Bought(priced)
        other_goods(priced if other_maker else others_from(priced, supplier, bought), bought)
    known = _packs_by_size(prices, supplier)
    last = dict(Pack.objects.order_by().values_list("ingredient_id").annotate(last=Max("position")))
    ended: list[int] = []
    new: list[Pack] = []
    for price in prices:
        same = known.get((price.ingredient_id, parse_measure(price.size)), [])
        later = next((pack for pack in same if pack.starts >= starts), None)
        if later is not None:
            raise PackDatesOverlap(place="starts", size=price.size, day=later.starts)
        ended += (pack.pk for pack in same if pack.ends is None or pack.ends >= starts)
        last[price.ingredient_id] = last.get(price.ingredient_id, -1) + 1
        new.append(
            Pack(
                ingredient_id=price.ingredient_id,
                size=price.size,
                price=price.price,
                starts=starts,
                supplier=supplier,
                preferred=any(pack.preferred for pack in same) if price.preferred is None else price.preferred,
                position=last[price.ingredient_id],
            )
        )
    for some in _batched(ended):
        Pack.objects.filter(pk__in=some).update(ends=starts - timedelta(days=1))
    for pack in new:
        if pack.preferred:
            preferred = Pack.objects.filter(ingredient=pack.ingredient_id, preferred=True)
            others = [one.pk for one in preferred if one.measure != pack.measure]
            Pack.objects.filter(pk__in=others).update(preferred=False)
    return Pack.objects.bulk_create(new, batch_size=_BATCH)


def _lock_ingredients(prices: Sequence[PackPrice]) -> None:
    """Lock the packs' ingredients, always in the same order: of two prices of one pack the second sees the first."""
    for some in _batched(sorted({price.ingredient_id for price in prices})):
        rows = Ingredient.objects.select_for_update(no_key=True).filter(pk__in=some)
        list(rows.order_by("pk").values_list("pk"))


def _packs_by_size(prices: Sequence[PackPrice], supplier: Supplier | None) -> dict[tuple[int, Measure], list[Pack]]:
    """Return the supplier's packs of these ingredients, by ingredient and size, the oldest first."""
    found: dict[tuple[int, Measure], list[Pack]] = {}
    for some in _batched(sorted({price.ingredient_id for price in prices})):
        for pack in Pack.objects.filter(supplier=supplier, ingredient__in=some).order_by("starts", "pk"):
            found.setdefault((pack.ingredient_id, pack.measure), []).append(pack)
    return found


def _batched(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    """Split keys into as many as one statement takes."""
    return (keys[at : at + _BATCH] for at in range(0, len(keys), _BATCH))


def pack_version(pack: Pack) -> str:
    """Return the version of a pack's price as stored."""
    return version_mark(stored(pack))


@transaction.atomic(durable=True)
def pack_correct(*, pack_id: int, price: Decimal, version: str = "") -> Pack:
    """Correct a price that was recorded wrongly: it counts from the same day as before.

    Raises
    ------
    Overtaken
        If its version is no longer ``version``.
    ChangedMeanwhile
        If it was deleted.
    """
    pack = existing_unchanged(Pack, pack_id, version, pack_version)
    pack.price = price
    pack.save(update_fields=["price"])
    catalog_changed()
    return pack


def pack_before(pack: Pack) -> Pack | None:
    """Return the price that ended when a price began: the same supplier's of that size; None where there is none."""
    ended = Pack.objects.filter(
        ingredient=pack.ingredient_id, supplier=pack.supplier_id, ends=pack.starts - timedelta(days=1)
    )
    return next((one for one in ended.order_by("-starts", "-pk") if one.measure == pack.measure), None)


@transaction.atomic(durable=True)
def pack_remove(*, pack_id: int, version: str = "") -> Pack | None:
    """Remove a price that should not have been recorded; the one it had ended counts again, and is returned.

    Raises
    ------
    Overtaken
        If its version is no longer ``version``.
    ChangedMeanwhile
        If it was deleted.
    """
    pack = existing_unchanged(Pack, pack_id, version, pack_version)
    earlier = pack_before(pack)
    if earlier is not None:
        earlier.ends = pack.ends
        earlier.save(update_fields=["ends"])
    pack.delete()
    catalog_changed()
    return earlier


@transaction.atomic(durable=True)
def pack_end(*, pack_id: int, last_day: date) -> Pack:
    """Set the last day a pack can be bought; it stays as history.

    Raises
    ------
    PackDatesOverlap
        If the day is before the pack's first.
    """
    pack = Pack.objects.select_related("ingredient").get(pk=pack_id)
    if last_day < pack.starts:
        raise PackDatesOverlap(place="last_day", size=pack.size, day=pack.starts)
    pack.ends = last_day
    pack.save(update_fields=["ends"])
    catalog_changed()
    return pack


@transaction.atomic(durable=True)
def supplier_save(*, supplier_id: int | None, name: str, note: str, version: str = "") -> Supplier:
    """Create or rename a supplier.

    Raises
    ------
    Overtaken
        If its version is no longer ``version``.
    ChangedMeanwhile
        If it was deleted.
    """
    supplier = existing_unchanged(Supplier, supplier_id, version, supplier_version) if supplier_id else Supplier()
    supplier.name, supplier.note = name, note
    supplier.save()
    catalog_changed()
    return supplier


@transaction.atomic(durable=True)
def supplier_delete(*, supplier_id: int) -> None:
    """Delete a supplier without packs.

    Raises
    ------
    InUse
        If packs or price lists name it.
    """
    supplier = Supplier.objects.get(pk=supplier_id)
    users: list[str | Reason] = list(supplier.packs.values_list("ingredient__name", flat=True).distinct()[:5])
    if not users and supplier.price_lists.exists():
        users = [Reason("price_lists")]
    remove(supplier, what=supplier.name, users=users)
    catalog_changed()
