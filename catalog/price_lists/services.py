"""A supplier's price list: upload, reading, choosing its columns, discarding."""

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from catalog.book.revision import catalog_changed
from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.pantry.models import Supplier
from catalog.pantry.services import supplier_get_or_add
from catalog.price_lists.comparison import Comparison, Line, RowProblem
from catalog.price_lists.models import PriceList
from catalog.price_lists.reader_process import rows_read
from catalog.price_lists.selectors import reading_given_up, work_about
from catalog.price_lists.steps import list_changed, list_to_change
from catalog.price_lists.table import Choice, Table
from catalog.records.errors import PriceListNotReady
from catalog.records.reasons import Reason
from catalog.records.unreadable import Unreadable

Status = PriceList.Status


@transaction.atomic(durable=True)
def price_list_upload(
    *, supplier: str, file_name: str, body: bytes, starts: date, by: str, at: datetime, instead_of: int | None = None
) -> PriceList:
    """Store an uploaded file and request that it is read right after the commit.

    ``instead_of`` is a list whose file it replaces: that one is dropped, unless it was read after all.
    """
    if instead_of is not None:
        _replace(instead_of)
    known = Supplier.objects.filter(name__iexact=" ".join(supplier.split())).exists()
    owner = supplier_get_or_add(supplier)
    if owner is None:
        raise PriceListNotReady(why=Reason("no_supplier"))
    price_list = PriceList.objects.create(
        supplier=owner,
        file_name=file_name[-200:],
        body=body,
        sha256=hashlib.sha256(body).hexdigest(),
        starts=starts,
        # Whether there is such a supplier because of this list alone.
        reading={"new_supplier": not known},
        uploaded_at=at,
        uploaded_by=by,
    )
    _ask_to_read(price_list, at)
    return price_list


def _replace(price_list_id: int) -> None:
    """Drop a list that could not be read, with the supplier that it alone named."""
    found = PriceList.objects.filter(pk=price_list_id).first()
    gave_up = found is not None and reading_given_up(found) is not None
    if found is None or not (found.status == Status.UNREADABLE or gave_up):
        return
    PriceList.objects.filter(pk=price_list_id).update(status=Status.DROPPED, step=F("step") + 1)
    if found.reading.get("new_supplier"):
        _supplier_forget(price_list_id)


def _ask_to_read(price_list: PriceList, at: datetime) -> None:
    outbox_add(
        kind="price_list",
        payload={"price_list": price_list.pk},
        about=work_about(price_list.pk),
        summary=price_list.supplier.name[:200],
        at=at,
    )


@transaction.atomic(durable=True)
def price_list_choose(*, price_list_id: int, seen: int | None, places: dict[str, int], at: datetime) -> None:
    """Store which column holds what, and request that the file is read again; corrections made so far go.

    ``places`` has the place of each column by what it holds (the first is 0); once read, the supplier's next lists are
    read the same way.

    Raises
    ------
    PriceListNotReady
        If it is being read, was imported or discarded, its file was deleted, or it was changed since it was shown.
    """
    price_list = list_to_change(price_list_id, seen, (Status.READ, Status.UNREADABLE))
    if price_list.file_deleted_at is not None:
        raise PriceListNotReady(why=Reason("file_deleted"))
    list_changed(price_list, status=Status.WAITING, choice=places, lines=[], rows=[], errors=[])
    _ask_to_read(price_list, at)


@transaction.atomic(durable=True)
def price_list_begin(*, price_list_id: int, seen: int | None, starts: date) -> int:
    """Set the first day of a list's prices and compare its rows again; return how many rows still have problems.

    What was corrected and answered stays.

    Raises
    ------
    PriceListNotReady
        If it is being read, was imported or discarded, or was changed since it was shown.
    """
    price_list = list_to_change(price_list_id, seen, (Status.READ,))
    price_list.starts = starts
    changes = compared(price_list, price_list.lines)
    list_changed(price_list, starts=starts, **changes)
    return len({error["row"] for error in changes["errors"]})


def price_list_read(*, row: Outbox, at: datetime) -> None:
    """Read an uploaded list into rows and problems (the outbox's handler; safe to run twice)."""
    price_list_compare(price_list_id=int(row.payload["price_list"]))


def price_list_compare(*, price_list_id: int) -> None:
    """Read a waiting list's file and compare its rows with today's packs; stores the changes and the problems.

    The file is read in a process of its own and outside any transaction, however long it takes: nobody waits for it.
    """
    price_list = PriceList.objects.select_related("supplier").get(pk=price_list_id)
    if price_list.status != Status.WAITING or price_list.file_deleted_at is not None:
        return
    try:
        table = _table(price_list)
    except Unreadable as unreadable:
        problem = RowProblem(0, "", Reason(unreadable.code, unreadable.params))
        reading = {"sample": unreadable.sample, "new_supplier": price_list.reading.get("new_supplier", False)}
        _store(price_list, status=Status.UNREADABLE, reading=reading, errors=[problem.to_json()])
        return
    _compare(price_list, table)


def _table(price_list: PriceList) -> Table:
    """Read the file by the columns chosen for it, by those of the supplier's last choice, or by the usual heads.

    Places alone, without heads to find them by, are only tried where no head row is found.
    """
    name, body, before = price_list.file_name, bytes(price_list.body), price_list.supplier.price_columns
    if price_list.choice:
        return rows_read(name, body, Choice(price_list.choice))
    remembered = Choice(**before) if before else None
    try:
        return rows_read(name, body, remembered if remembered and remembered.by_head else None)
    except Unreadable as unreadable:
        if remembered is None or remembered.by_head or unreadable.code != "no_columns":
            raise
        return rows_read(name, body, remembered)


@transaction.atomic(durable=True)
def _compare(price_list: PriceList, table: Table) -> None:
    lines: list[Line] = [
        {"row": row.number, "item": row.item, "pack": row.pack, "price": row.price} for row in table.rows
    ]
    columns = {"places": dict(table.columns.places), "heads": dict(table.columns.heads)}
    reading = {**columns, "sample": table.sample, "headings": table.headings}
    reading["new_supplier"] = price_list.reading.get("new_supplier", False)
    if price_list.choice:
        Supplier.objects.filter(pk=price_list.supplier_id).update(price_columns=columns)
    _store(price_list, status=Status.READ, reading=reading, **compared(price_list, lines))


def compared(price_list: PriceList, lines: list[Line]) -> dict[str, Any]:
    """Return a list's columns once its rows are compared: rows, problems, and whom a similar name was asked about."""
    imported = [row for row in price_list.rows if row.get("done")]
    comparison = Comparison(supplier=price_list.supplier, starts=price_list.starts, home=kitchen(), imported=imported)
    comparison.compare(lines)
    asked = {
        problem.row: problem.reason.params["name"]
        for problem in comparison.problems
        if problem.reason.code in ("likely_item", "common_item")
    }
    shown = [_noted(line, asked, comparison.repeated) for line in lines]
    errors = [problem.to_json() for problem in comparison.problems]
    return {"lines": shown, "rows": comparison.rows, "errors": errors}


def _noted(line: Line, asked: Mapping[int, str], repeated: Mapping[int, int]) -> Line:
    row = line["row"]
    noted = {**line, "asked": asked[row]} if row in asked else line
    return {**noted, "repeats": repeated[row]} if row in repeated else noted


def _store(price_list: PriceList, **columns: Any) -> None:
    # Conditional: a list that was discarded, or whose columns were chosen anew meanwhile, stays as it is.
    with suppress(PriceListNotReady):
        list_changed(price_list, **columns)


@transaction.atomic(durable=True)
def price_list_drop(*, price_list_id: int) -> None:
    """Drop a list; nothing of it is imported. One that could not be read goes with the supplier that it alone named.

    Raises
    ------
    PriceListNotReady
        If it was imported already.
    """
    open_ones = PriceList.objects.filter(pk=price_list_id).exclude(status=Status.APPLIED)
    unreadable = open_ones.filter(status=Status.UNREADABLE).values_list("reading", flat=True).first()
    if not open_ones.update(status=Status.DROPPED, step=F("step") + 1):
        raise PriceListNotReady(why=Reason("imported_already"))
    if unreadable is not None and unreadable.get("new_supplier"):
        _supplier_forget(price_list_id)


def _supplier_forget(price_list_id: int) -> None:
    """Delete a dropped list and its supplier, where nothing but this list says that there is one."""
    supplier = Supplier.objects.get(price_lists=price_list_id)
    entered = supplier.note or supplier.price_columns or supplier.item_names
    if entered or supplier.packs.exists() or supplier.price_lists.exclude(pk=price_list_id).exists():
        return
    PriceList.objects.filter(pk=price_list_id).delete()
    supplier.delete()
    catalog_changed()


def price_list_file_delete(*, price_list_id: int, at: datetime) -> None:
    """Delete the file of a list that was read; what it said and where it came from stays.

    It has no transaction of its own.
    """
    read = PriceList.objects.filter(pk=price_list_id, file_deleted_at=None).exclude(status=Status.WAITING)
    read.update(body=b"", file_deleted_at=at)
