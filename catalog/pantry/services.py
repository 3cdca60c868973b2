"""Writing ingredients, parts, packs and suppliers."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.pantry.selectors import ingredient_users
from catalog.records.errors import InUse, PackDatesOverlap
from catalog.records.reasons import Reason
from catalog.records.rows import new_row, remove
from catalog.records.versions import existing_unchanged, stored, version_mark

_COLUMNS = (
    "name",
    "base",
    "density",
    "grams_each",
    "yield_share",
    "charge",
    "allergens",
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
    """Return the version of a supplier as stored."""
    return version_mark(stored(supplier))


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
    """
    if ingredient_id:
        ingredient = existing_unchanged(Ingredient, ingredient_id, version, ingredient_version)
    else:
        ingredient = new_row(Ingredient, data["name"], otherwise="item")
    for key in _COLUMNS:
        if key in data:
            setattr(ingredient, key, data[key])
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
def pack_add(*, ingredient_id: int, size: str, price: Decimal, starts: date, supplier: str, preferred: bool) -> Pack:
    """Record a pack's price from a day on; the same supplier's earlier price of that size ends the day before.

    Raises
    ------
    PackDatesOverlap
        If the same size has a price of that supplier from that day or later.
    """
    pack = pack_price_set(
        ingredient=Ingredient.objects.get(pk=ingredient_id),
        size=size,
        price=price,
        starts=starts,
        supplier=supplier_get_or_add(supplier),
        preferred=preferred,
    )
    catalog_changed()
    return pack


def pack_price_set(
    *, ingredient: Ingredient, size: str, price: Decimal, starts: date, supplier: Supplier | None, preferred: bool
) -> Pack:
    """Do the work of :func:`pack_add` inside the caller's transaction."""
    same = Pack.objects.filter(ingredient=ingredient, size=size, supplier=supplier)
    later = same.filter(starts__gte=starts).order_by("starts").first()
    if later is not None:
        raise PackDatesOverlap(place="starts", size=size, day=later.starts)
    for pack in same.filter(starts__lt=starts):
        if pack.ends is None or pack.ends >= starts:
            pack.ends = starts - timedelta(days=1)
            pack.save(update_fields=["ends"])
    if preferred:
        Pack.objects.filter(ingredient=ingredient, preferred=True).exclude(size=size).update(preferred=False)
    last = Pack.objects.filter(ingredient=ingredient).aggregate(last=Max("position"))["last"]
    return Pack.objects.create(
        ingredient=ingredient,
        size=size,
        price=price,
        starts=starts,
        supplier=supplier,
        preferred=preferred,
        position=0 if last is None else last + 1,
    )


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
