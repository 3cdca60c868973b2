"""A supplier's price list: upload, reading, import. An import is applied completely or not at all."""

import hashlib
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.pantry.models import Ingredient
from catalog.pantry.services import PackPrice, pack_prices_set, supplier_get_or_add
from catalog.price_lists.comparison import Comparison, RowProblem
from catalog.price_lists.models import PriceList
from catalog.price_lists.reader_process import rows_read
from catalog.price_lists.selectors import work_about
from catalog.price_lists.table import TableRow, Unreadable
from catalog.records.errors import PriceListNotReady
from catalog.records.numbers import decimal_comma
from catalog.records.reasons import Reason

Status = PriceList.Status


@transaction.atomic(durable=True)
def price_list_upload(*, supplier: str, file_name: str, body: bytes, starts: date, by: str, at: datetime) -> PriceList:
    """Store an uploaded file and request that it is read right after the commit."""
    owner = supplier_get_or_add(supplier)
    if owner is None:
        raise PriceListNotReady(why=Reason("no_supplier"))
    price_list = PriceList.objects.create(
        supplier=owner,
        file_name=file_name[-200:],
        body=body,
        sha256=hashlib.sha256(body).hexdigest(),
        starts=starts,
        uploaded_at=at,
        uploaded_by=by,
    )
    outbox_add(
        kind="price_list",
        payload={"price_list": price_list.pk},
        about=work_about(price_list.pk),
        summary=owner.name[:200],
        at=at,
    )
    return price_list


def price_list_read(*, row: Outbox, at: datetime) -> None:
    """Read an uploaded list into rows and problems (the outbox's handler; safe to run twice)."""
    price_list_compare(price_list_id=int(row.payload["price_list"]))


def price_list_compare(*, price_list_id: int) -> None:
    """Read a list's file and compare its rows with today's packs; stores the changes and the problems.

    The file is read in a process of its own and outside any transaction, however long it takes: nobody waits for it.
    """
    price_list = PriceList.objects.select_related("supplier").get(pk=price_list_id)
    if price_list.status in (Status.APPLIED, Status.DROPPED) or price_list.file_deleted_at is not None:
        return
    try:
        table = rows_read(price_list.file_name, bytes(price_list.body))
    except Unreadable as unreadable:
        problem = RowProblem(0, "", Reason(unreadable.code, unreadable.params))
        _store(price_list, Status.UNREADABLE, [], [problem])
        return
    _compare(price_list, table)


@transaction.atomic(durable=True)
def _compare(price_list: PriceList, table: list[TableRow]) -> None:
    comparison = Comparison(
        supplier=price_list.supplier, starts=price_list.starts, comma=decimal_comma(kitchen().locale)
    )
    comparison.compare(table)
    _store(price_list, Status.READ, comparison.rows, comparison.problems)


def _store(price_list: PriceList, status: str, rows: list[dict[str, Any]], problems: list[RowProblem]) -> None:
    # Conditional: a list dropped or imported meanwhile stays as it is.
    PriceList.objects.filter(pk=price_list.pk).exclude(status__in=[Status.APPLIED, Status.DROPPED]).update(
        status=status, rows=rows, errors=[problem.to_json() for problem in problems]
    )


@transaction.atomic(durable=True)
def price_list_import(*, price_list_id: int, by: str, at: datetime) -> int:
    """Import every row of a list, or none; return how many prices changed.

    Raises
    ------
    PriceListNotReady
        If it has errors, is not read yet, or was imported or dropped.
    PackDatesOverlap
        If a price of the same pack was recorded since the preview.
    """
    price_list = PriceList.objects.select_related("supplier").defer("body").get(pk=price_list_id)
    if price_list.errors:
        raise PriceListNotReady(why=Reason("rows_with_errors", {"count": len(price_list.errors)}))
    ready = PriceList.objects.filter(pk=price_list_id, status=Status.READ)
    if not ready.update(status=Status.APPLIED, applied_at=at):
        raise PriceListNotReady(why=Reason(f"list_{price_list.status}"))
    changed = [row for row in price_list.rows if row["change"] != "same"]
    known = set(Ingredient.objects.values_list("pk", flat=True))
    for row in changed:
        if row["ingredient"] not in known:
            raise PriceListNotReady(why=Reason("ingredient_gone", {"name": row["name"]}))
    prices = [PackPrice(row["ingredient"], row["size"], Decimal(row["price"])) for row in changed]
    pack_prices_set(prices=prices, starts=price_list.starts, supplier=price_list.supplier)
    if changed:
        catalog_changed()
    return len(changed)


@transaction.atomic(durable=True)
def price_list_drop(*, price_list_id: int) -> None:
    """Drop a list; nothing of it is imported.

    Raises
    ------
    PriceListNotReady
        If it was imported already.
    """
    open_ones = PriceList.objects.filter(pk=price_list_id).exclude(status=Status.APPLIED)
    if not open_ones.update(status=Status.DROPPED):
        raise PriceListNotReady(why=Reason("imported_already"))


def price_list_file_delete(*, price_list_id: int, at: datetime) -> None:
    """Delete the file of a list that was read; what it said and where it came from stays.

    It has no transaction of its own.
    """
    read = PriceList.objects.filter(pk=price_list_id, file_deleted_at=None).exclude(status=Status.WAITING)
    read.update(body=b"", file_deleted_at=at)
