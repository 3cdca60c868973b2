"""The register as a CSV file, written while it is read: no row is kept, so that its length costs no memory.

The same records as `file_content()` gives and the same rules as in `orders.register.files`, from plain columns: a row
takes little more than its reading and writing. Sums run along; the last records hold them.
"""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import islice
from typing import Any, Final

from django.db.models import Func, QuerySet, TextField
from django.db.models.fields.json import KT
from django.db.models.functions import Cast
from django.utils import timezone

from catalog.kitchen.selectors import local_day
from catalog.records.csv_cells import CSV_MARK, safe_text
from costing.money.rounding import minor_digits
from orders.invoices.models import Invoice, InvoiceTax
from orders.invoices.selectors import with_open
from orders.invoices.totals import stands
from orders.register.file_content import KINDS, STATUSES, heads_of, no_total, total_before_amounts
from orders.register.files import csv_cell, csv_row

#: Rows read and written at a time.
CHUNK: Final = 2000
_NOTE: Final = Invoice.Kind.CREDIT_NOTE.value
#: Sums of a currency that stand before those of its taxes: documents, what is open, and five amounts.
_BEFORE: Final = 7

#: Tax and rate.
Rate = tuple[str, Decimal]


class _Day(Func):
    """A date as ISO 8601 text: SQLite stores it so."""

    output_field = TextField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        # Bare, the driver would see a date's column and make dates of it.
        return Cast(self.get_source_expressions()[0], TextField()).as_sql(compiler, connection, **context)

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return self.as_sql(compiler, connection, template="to_char(%(expressions)s, 'YYYY-MM-DD')", **context)


def rates_of(documents: QuerySet[Invoice]) -> list[Rate]:
    """Return the taxes and rates of documents, sorted: one query."""
    rows = documents.order_by().filter(taxes__isnull=False).values_list("taxes__tax_name", "taxes__rate").distinct()
    return sorted({(name, Decimal(rate)) for name, rate in rows})


def csv_pieces(documents: QuerySet[Invoice], rates: Sequence[Rate], *, standing: bool) -> Iterator[bytes]:
    """Write the CSV file piece by piece: heads, documents from the oldest on, a control total for each currency.

    ``rates`` are all taxes of the documents, sorted. ``standing`` adds each document's present status. A document that
    was issued meanwhile, with a tax that has no column, is left out: it came after the file was asked for.
    """
    today = local_day(timezone.now()).isoformat() if standing else ""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(csv_row(heads_of(rates, standing=standing)))
    yield CSV_MARK + _taken(out)
    sums: dict[str, list[int]] = {}
    place = _Places(rates)
    for rows in _chunks(document_columns(documents, standing=standing)):
        taxes = _taxes_of(tax_columns([row[0] for row in rows]), place)
        writer.writerows(_records(rows, taxes, sums, 2 * len(rates), today=today))
        yield _taken(out)
    writer.writerows(_totals(sums, standing) or [csv_row(no_total(standing=standing))])
    yield _taken(out)


def document_columns(documents: QuerySet[Invoice], *, standing: bool) -> QuerySet[Any, Any]:
    """Return what is read for the file, oldest first: plain values, nothing that would have to be taken apart."""
    columns: list[Any] = ["pk", "kind", "currency", "number", _Day("issued_on"), _Day("supply_on")]
    columns.append(_Day("pay_on" if standing else "due_on"))
    columns += [KT("buyer__name"), KT("buyer__tax_number"), "order__number", "credits__number", "reason"]
    columns += ["net_minor", "tax_minor", "total_minor", "prepaid_minor", "due_minor"]
    rows: QuerySet[Any, Any] = documents.order_by("issued_on", "pk")
    return (
        with_open(rows).values_list(*columns, "status", "open", "credited") if standing else rows.values_list(*columns)
    )


def tax_columns(keys: Sequence[int]) -> QuerySet[Any, Any]:
    """Return the taxes of some documents, the rate as it is stored."""
    rate = Cast("rate", TextField())
    return (
        InvoiceTax.objects.order_by()
        .filter(invoice__in=keys)
        .values_list("invoice_id", "tax_name", rate, "taxable_minor", "tax_minor")
    )


def _chunks(rows: QuerySet[Any, Any]) -> Iterator[list[Any]]:
    reading = iter(rows.iterator(chunk_size=CHUNK))
    return iter(lambda: list(islice(reading, CHUNK)), [])


class _Places(dict[tuple[str, str], int | None]):
    """Tax and stored rate -> place of its first column; None when the file has none."""

    def __init__(self, rates: Sequence[Rate]) -> None:
        super().__init__()
        self._at = {rate: 2 * at for at, rate in enumerate(rates)}

    def __missing__(self, key: tuple[str, str]) -> int | None:
        self[key] = found = self._at.get((key[0], Decimal(key[1])))
        return found


def _taxes_of(rows: Iterable[Any], place: _Places) -> dict[int, list[int] | None]:
    """Return each document's amounts by column, not signed; None when it has a tax without a column."""
    found: dict[int, list[int] | None] = {}
    nothing = [0] * (2 * len(place._at))
    for pk, name, rate, taxable, tax in rows:
        at, own = place[name, rate], found.setdefault(pk, nothing.copy())
        if at is None:
            found[pk] = None
        elif own is not None:
            own[at] += taxable
            own[at + 1] += tax
    return found


def _records(
    rows: Iterable[Any], taxes: dict[int, list[int] | None], sums: dict[str, list[int]], width: int, *, today: str
) -> Iterator[list[Any]]:
    """Make the records, and add them to the sums; ``today`` is empty where none says how it stands."""
    nothing = [0] * width
    for row in rows:
        pk, kind, currency, number, issued, supplied, due, name, tax_number, order, credited, reason = row[:12]
        own = taxes.get(pk, nothing)
        if own is None:
            continue
        net, tax, total, prepaid, to_pay = row[12:17]
        open_minor = 0
        if kind == _NOTE:
            net, tax, total, to_pay, own = -net, -tax, -total, -to_pay, [-amount for amount in own]
        elif today:
            open_minor = max(0, row[18])
        amounts = [net, tax, total, prepaid, to_pay, *own]
        sum_ = sums.get(currency) or sums.setdefault(currency, [0] * (_BEFORE + width))
        _add(sum_, amounts, open_minor)
        cells = [KINDS[kind], number, issued, supplied, due, name, tax_number, order, credited, reason]
        cells = [text if not text or text[0].isalnum() else safe_text(text) for text in cells]
        cells.append(currency)
        cells += map(_money(currency), amounts)
        if today:
            cells += [_stands(row, total, prepaid, today), None if kind == _NOTE else _money(currency)(open_minor)]
        yield cells


def _stands(row: Sequence[Any], total: int, prepaid: int, today: str) -> str:
    """Write how a document stands; a credit note's total is below zero here."""
    kind, due, status, open_minor, credited = row[1], row[6], row[17], row[18], row[19]
    late = kind != _NOTE and due is not None and str(due) < today
    codes = stands(
        status,
        total_minor=max(0, total),
        prepaid_minor=prepaid,
        credited_minor=credited,
        open_minor=open_minor,
        overdue=late,
    )
    return ", ".join(STATUSES[code] for code in codes)


def _add(sums: list[int], amounts: list[int], open_minor: int) -> None:
    sums[0] += 1
    sums[1] += open_minor
    for at, amount in enumerate(amounts, start=2):
        sums[at] += amount


@lru_cache
def _money(currency: str) -> Callable[[int], str]:
    """Return what writes minor units of a currency as a number with its decimals."""
    digits = minor_digits(currency)
    if not digits:
        return str
    unit = 10**digits

    def text(minor: int) -> str:
        if minor >= unit:
            whole = str(minor)
            return f"{whole[:-digits]}.{whole[-digits:]}"
        sign, minor = ("-", -minor) if minor < 0 else ("", minor)
        return f"{sign}{minor // unit}.{minor % unit:0{digits}}"

    return text


def _totals(sums: dict[str, list[int]], standing: bool) -> list[list[str]]:
    found = []
    for currency, (documents, waiting, *amounts) in sorted(sums.items()):
        money = _money(currency)
        cells = [*map(csv_cell, total_before_amounts(documents, currency)), *map(money, amounts)]
        found.append([*cells, "", money(waiting)] if standing else cells)
    return found


def _taken(out: io.StringIO) -> bytes:
    """Return what was written so far, and begin anew."""
    body = out.getvalue().encode()
    out.seek(0)
    out.truncate()
    return body
