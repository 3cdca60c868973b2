"""A supplier's price list: upload, reading, taking over. Nothing is half-applied."""

import re
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.pantry.services import pack_priced, supplier_named
from catalog.price_lists.models import PriceList
from catalog.price_lists.reader import TableRow, Unreadable, table_rows
from catalog.records.errors import PriceListNotReady
from catalog.web.numbers import plain_number, trimmed
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure

_MEND: Final = "Give the {} on its page, or write the pack as a weight."


@transaction.atomic(durable=True)
def price_list_upload(*, supplier: str, file_name: str, body: bytes, starts: date, by: str, at: datetime) -> PriceList:
    """Keep an uploaded file and ask for it to be read, right after the commit."""
    owner = supplier_named(supplier)
    if owner is None:
        raise PriceListNotReady(why="no supplier is named.")
    price_list = PriceList.objects.create(
        supplier=owner, file_name=file_name[-200:], body=body, starts=starts, uploaded_at=at, uploaded_by=by
    )
    outbox_add(
        kind="price_list",
        payload={"price_list": price_list.pk},
        about=f"pricelist:{price_list.pk}",
        summary=f"Read the price list of {owner.name}",
        at=at,
    )
    return price_list


def price_list_read(*, row: Outbox, at: datetime) -> None:
    """Read an uploaded list into rows and errors (the outbox's handler; safe to run twice)."""
    price_list_compare(price_list_id=int(row.payload["price_list"]))


@transaction.atomic(durable=True)
def price_list_compare(*, price_list_id: int) -> None:
    """Compare a list's rows with today's packs; keeps what would change and what is wrong."""
    price_list = PriceList.objects.select_related("supplier").get(pk=price_list_id)
    if price_list.status in (PriceList.Status.APPLIED, PriceList.Status.DROPPED):
        return
    try:
        table = table_rows(price_list.file_name, bytes(price_list.body))
    except Unreadable as error:
        _keep(price_list, PriceList.Status.UNREADABLE, [], [{"row": 0, "column": "", "message": str(error)}])
        return
    rows, errors = _compared(price_list, table)
    _keep(price_list, PriceList.Status.READ, rows, errors)


def _keep(price_list: PriceList, status: str, rows: list[dict[str, Any]], errors: list[dict[str, Any]]) -> None:
    # Conditional: a list dropped or taken over meanwhile stays as it is.
    PriceList.objects.filter(pk=price_list.pk).exclude(status__in=["applied", "dropped"]).update(
        status=status, rows=rows, errors=errors
    )


def _compared(price_list: PriceList, table: Iterable[TableRow]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    known = _by_name(Ingredient.objects.all())
    packs = _latest_packs(price_list.supplier)
    rows: list[dict[str, Any]] = []
    errors: list[dict[str, Any]] = []
    seen: dict[tuple[int, str], int] = {}
    for line in table:
        wrong, row = _read_line(line, known)
        errors.extend({"row": line.number, **problem} for problem in wrong)
        if row is None:
            continue
        key = (row["ingredient"], row["size"])
        if key in seen:
            errors.append(
                {
                    "row": line.number,
                    "column": "pack",
                    "message": f"{row['name']}, {row['size']} stands in row {seen[key]} already. Keep one of them.",
                }
            )
            continue
        seen[key] = line.number
        rows.append({**row, **_change(packs.get(key), row, price_list.starts, line.number, errors)})
    return rows, errors


def _by_name(ingredients: Iterable[Ingredient]) -> dict[str, Ingredient]:
    """Key ingredients by name and code; by a name's bare words too, where only one ingredient has them."""
    names: dict[str, Ingredient] = {}
    loose: dict[str, list[Ingredient]] = {}
    for ingredient in ingredients:
        loose.setdefault(_bare_words(ingredient.name), []).append(ingredient)
        names.setdefault(" ".join(ingredient.name.lower().split()), ingredient)
        names[ingredient.code.lower()] = ingredient
    return {words: found[0] for words, found in loose.items() if len(found) == 1} | names


def _bare_words(name: str) -> str:
    """Write a name without its commas and the like: suppliers leave them out."""
    return " ".join(re.findall(r"\w+", name.lower()))


def _latest_packs(supplier: Supplier) -> dict[tuple[int, str], Pack]:
    latest: dict[tuple[int, str], Pack] = {}
    for pack in Pack.objects.filter(supplier=supplier).order_by("starts", "pk"):
        latest[pack.ingredient_id, pack.size] = pack
    return latest


def _read_line(line: TableRow, known: dict[str, Ingredient]) -> tuple[list[dict[str, str]], dict[str, Any] | None]:
    """Return what is wrong with a line (by column) and, when nothing is, what it says."""
    wrong: list[dict[str, str]] = []
    ingredient = known.get(" ".join(line.item.lower().split())) or known.get(_bare_words(line.item))
    if ingredient is None:
        wrong.append(
            {
                "column": "item",
                "message": f"“{line.item}” is none of your ingredients. Write its name or code as on the ingredients "
                "page, or add it there first.",
            }
        )
    size = _size(line.pack, ingredient, wrong)
    price = _price(line.price, wrong)
    if wrong or ingredient is None or price is None:
        return wrong, None
    return wrong, {
        "row": line.number,
        "ingredient": ingredient.pk,
        "name": ingredient.name,
        "size": size,
        "price": trimmed(price),
    }


def _size(text: str, ingredient: Ingredient | None, wrong: list[dict[str, str]]) -> str:
    try:
        size = normalise_measure(text)
    except MeasureError as error:
        wrong.append({"column": "pack", "message": str(error)})
        return ""
    kind = parse_measure(size).kind
    problem = "" if ingredient is None else _unweighable(ingredient, kind)
    if problem:
        wrong.append({"column": "pack", "message": problem})
    return size


def _unweighable(ingredient: Ingredient, kind: str) -> str:
    if ingredient.base == Ingredient.Base.EACH:
        return (
            "" if kind == "count" else f"{ingredient.name} is only counted. Write the pack as a count, such as 50 each."
        )
    if kind == "volume" and ingredient.density is None:
        return f"{ingredient.name} has no density, so a volume cannot be weighed. {_MEND.format('density')}"
    if kind == "count" and ingredient.grams_each is None:
        return f"{ingredient.name} has no piece weight, so a count cannot be weighed. {_MEND.format('weight of one')}"
    return ""


def _price(text: str, wrong: list[dict[str, str]]) -> Decimal | None:
    try:
        price = plain_number(text, what="the price", example="24.60")
    except ValidationError as error:
        wrong.append({"column": "price", "message": str(error.message)})
        return None
    if price < 0:
        wrong.append({"column": "price", "message": "The price is negative. Write it as 0 or more."})
        return None
    return price


def _change(
    pack: Pack | None, row: dict[str, Any], starts: date, number: int, errors: list[dict[str, Any]]
) -> dict[str, Any]:
    """Return what taking a row over would do: new, dearer, cheaper or same."""
    if pack is None:
        return {"change": "new", "before": None}
    if pack.starts >= starts and pack.price != Decimal(row["price"]):
        errors.append(
            {
                "row": number,
                "column": "pack",
                "message": f"{row['name']}, {row['size']} has a price from {pack.starts:%-d %B %Y} already. "
                "Let the list start later.",
            }
        )
    price = Decimal(row["price"])
    change = "same" if pack.price == price else "dearer" if price > pack.price else "cheaper"
    return {"change": change, "before": trimmed(pack.price)}


@transaction.atomic(durable=True)
def price_list_apply(*, price_list_id: int, by: str, at: datetime) -> int:
    """Take over every row of a list, or none; return how many prices changed.

    Raises
    ------
    PriceListNotReady
        If it has errors, is not read yet, or was taken over or dropped.
    PackDatesOverlap
        If a price of the same pack was recorded since the preview.
    """
    price_list = PriceList.objects.select_related("supplier").get(pk=price_list_id)
    if price_list.errors:
        raise PriceListNotReady(
            why=f"{len(price_list.errors)} of its rows have errors. Mend the file and upload it again."
        )
    moved = PriceList.objects.filter(pk=price_list_id, status=PriceList.Status.READ).update(
        status=PriceList.Status.APPLIED, applied_at=at
    )
    if not moved:
        raise PriceListNotReady(why=f"it is {price_list.get_status_display()}.")
    changed = [row for row in price_list.rows if row["change"] != "same"]
    ingredients = Ingredient.objects.in_bulk([row["ingredient"] for row in changed])
    for row in changed:
        if row["ingredient"] not in ingredients:
            raise PriceListNotReady(why=f"{row['name']} was deleted since it was read. Upload the list again.")
        pack_priced(
            ingredient=ingredients[row["ingredient"]],
            size=row["size"],
            price=Decimal(row["price"]),
            starts=price_list.starts,
            supplier=price_list.supplier,
            preferred=_was_preferred(row, price_list.supplier),
        )
    if changed:
        catalog_changed()
    return len(changed)


def _was_preferred(row: dict[str, Any], supplier: Supplier) -> bool:
    return Pack.objects.filter(
        ingredient_id=row["ingredient"], size=row["size"], supplier=supplier, preferred=True
    ).exists()


@transaction.atomic(durable=True)
def price_list_drop(*, price_list_id: int) -> None:
    """Leave a list be; nothing of it is taken over.

    Raises
    ------
    PriceListNotReady
        If it was taken over already.
    """
    moved = (
        PriceList.objects.filter(pk=price_list_id)
        .exclude(status=PriceList.Status.APPLIED)
        .update(status=PriceList.Status.DROPPED)
    )
    if not moved:
        raise PriceListNotReady(why="it was taken over already. Change single prices on the ingredients' pages.")
