"""The register: issued documents, filtered, with control totals; exports."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import BigIntegerField, Case, Count, F, Max, Min, Q, QuerySet, Sum, When
from djmoney.money import Money

from costing.money.allocation import sum_by_code
from orders.invoices.models import IS_CREDIT_NOTE, IS_INVOICE, Invoice
from orders.invoices.order_money import signed_total
from orders.invoices.selectors import OPEN, with_open
from orders.records.money import from_minor
from orders.records.states import InvoiceStatus
from orders.register.models import ExportBatch
from orders.register.rows import RegisterRow, Taxes


@dataclass(frozen=True)
class RegisterFilter:
    """A filter of documents; empty fields do not narrow it."""

    kind: str = ""
    standing: str = ""
    first: date | None = None
    last: date | None = None
    find: str = ""
    exported: str = ""


def month_of(day: date) -> tuple[date, date]:
    """Return the first and the last day of a day's month."""
    first = day.replace(day=1)
    return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)


def register(chosen: RegisterFilter, *, today: date) -> QuerySet[Invoice]:
    """Return the documents a filter shows, the latest first."""
    documents = Invoice.objects.exclude(status=InvoiceStatus.DRAFT)
    if chosen.kind:
        documents = documents.filter(kind=chosen.kind)
    if chosen.first:
        documents = documents.filter(issued_on__gte=chosen.first)
    if chosen.last:
        documents = documents.filter(issued_on__lte=chosen.last)
    if chosen.exported == "no":
        documents = documents.filter(exports__isnull=True)
    if chosen.find:
        documents = documents.filter(_found(chosen.find))
    return documents.filter(_stands(chosen.standing, today)).order_by("-issued_on", "-pk")


def _found(text: str) -> Q:
    return Q(number__icontains=text) | Q(order__number__icontains=text) | Q(order__customer__name__icontains=text)


def _stands(standing: str, today: date) -> Q:
    is_open = IS_INVOICE & Q(status__in=OPEN)
    return {
        "open": is_open,
        "overdue": is_open & Q(due_on__lt=today),
        "paid": IS_INVOICE & Q(status=InvoiceStatus.PAID),
    }.get(standing, Q())


def register_page(documents: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Annotate documents with the columns of the register; for one page of them."""
    return with_open(documents.select_related("order", "credits")).annotate(signed=signed_total())


@dataclass(frozen=True)
class TaxTotal:
    """Sums of the documents in one currency under one tax and rate, signed."""

    name: str
    rate: Decimal
    taxable: Money
    tax: Money


@dataclass(frozen=True)
class RegisterTotals:
    """Sums of the documents in one currency, signed."""

    currency: str
    invoices: int
    notes: int
    net: Money
    tax: Money
    total: Money
    open: Money
    taxes: list[TaxTotal]


def register_totals(documents: QuerySet[Invoice]) -> list[RegisterTotals]:
    """Sum the documents by currency: three queries."""
    sums = (
        documents.order_by()
        .values("currency")
        .annotate(
            invoices=Count("pk", filter=IS_INVOICE),
            notes=Count("pk", filter=IS_CREDIT_NOTE),
            net=Sum(_signed("net_minor")),
            tax=Sum(_signed("tax_minor")),
            total=Sum(_signed("total_minor")),
        )
        .order_by("currency")
    )
    waiting = with_open(documents.filter(IS_INVOICE, status__in=OPEN)).order_by()
    opens = sum_by_code(waiting.values_list("currency", "open"))
    taxes = _tax_totals(documents)
    return [_totals(row, opens.get(row["currency"], 0), taxes.get(row["currency"], [])) for row in sums]


def _totals(row: Mapping[str, Any], waiting: int, taxes: list[TaxTotal]) -> RegisterTotals:
    currency = row["currency"]
    return RegisterTotals(
        currency=currency,
        invoices=row["invoices"],
        notes=row["notes"],
        net=from_minor(row["net"], currency),
        tax=from_minor(row["tax"], currency),
        total=from_minor(row["total"], currency),
        open=from_minor(waiting, currency),
        taxes=taxes,
    )


def _signed(name: str) -> Case:
    is_note = When(IS_CREDIT_NOTE, then=-F(name))
    return Case(is_note, default=F(name), output_field=BigIntegerField())


def _tax_totals(documents: QuerySet[Invoice]) -> dict[str, list[TaxTotal]]:
    rows = (
        documents.order_by()
        .values_list("currency", "taxes__tax_name", "taxes__rate")
        .annotate(taxable=Sum(_signed("taxes__taxable_minor")), tax=Sum(_signed("taxes__tax_minor")))
        .order_by("taxes__tax_name", "taxes__rate")
    )
    found: dict[str, list[TaxTotal]] = {}
    for currency, name, rate, taxable, tax in rows:
        if name is not None:
            sums = (from_minor(minor, currency) for minor in (taxable, tax))
            found.setdefault(currency, []).append(TaxTotal(name, Decimal(rate), *sums))
    return found


#: Columns read for a row of the register; plain values for speed, because a file may contain every document.
_COLUMNS = (
    "pk",
    "kind",
    "number",
    "issued_on",
    "supply_on",
    "due_on",
    "buyer",
    "order__number",
    "credits__number",
    "reason",
    "currency",
    "net_minor",
    "tax_minor",
    "total_minor",
    "prepaid_minor",
    "due_minor",
    "status",
)


def register_rows(documents: QuerySet[Invoice], *, standing: bool) -> Iterator[RegisterRow]:
    """Return documents as plain rows, oldest first: two queries. ``standing`` adds their present status."""
    taxes = _taxes_of(documents)
    chosen = documents.order_by("issued_on", "pk")
    rows = with_open(chosen).values(*_COLUMNS, "open") if standing else chosen.values(*_COLUMNS)
    for row in rows.iterator(chunk_size=2000):
        yield _row(row, taxes.get(row["pk"], {}), standing)


def _taxes_of(documents: QuerySet[Invoice]) -> dict[int, Taxes]:
    """Read the taxes of documents by document, signed; rows of one name and rate are one."""
    rows = documents.order_by().filter(taxes__isnull=False)
    columns = ("pk", "kind", "currency", "taxes__tax_name", "taxes__rate", "taxes__taxable_minor", "taxes__tax_minor")
    found: dict[int, Taxes] = {}
    for pk, kind, currency, name, rate, *minors in rows.values_list(*columns).iterator(chunk_size=2000):
        taxable, tax = (from_minor(_sign(kind) * minor, currency) for minor in minors)
        own = found.setdefault(pk, {})
        before = own.get((name, rate))
        own[name, rate] = (before[0] + taxable, before[1] + tax) if before else (taxable, tax)
    return found


def _sign(kind: str) -> int:
    return -1 if kind == Invoice.Kind.CREDIT_NOTE else 1


def _row(row: dict[str, Any], taxes: Taxes, standing: bool) -> RegisterRow:
    sign, currency = _sign(row["kind"]), row["currency"]
    extra: dict[str, Any] = {}
    if standing:
        extra["status"] = row["status"]
        extra["open"] = from_minor(max(0, row["open"]), currency) if sign > 0 else None
    return RegisterRow(
        kind=row["kind"],
        number=row["number"],
        issued_on=row["issued_on"],
        supply_on=row["supply_on"],
        due_on=row["due_on"],
        customer=row["buyer"].get("name", ""),
        tax_number=row["buyer"].get("tax_number", ""),
        order=row["order__number"],
        credits=row["credits__number"] or "",
        reason=row["reason"],
        currency=currency,
        net=from_minor(sign * row["net_minor"], currency),
        tax=from_minor(sign * row["tax_minor"], currency),
        total=from_minor(sign * row["total_minor"], currency),
        prepaid=from_minor(row["prepaid_minor"], currency),
        due=from_minor(sign * row["due_minor"], currency),
        taxes=taxes,
        pk=row["pk"],
        **extra,
    )


def drafts_waiting() -> QuerySet[Invoice]:
    """Return the drafts nobody has issued yet."""
    return Invoice.objects.filter(status=InvoiceStatus.DRAFT).select_related("order").order_by("pk")


def exports_listed() -> QuerySet[ExportBatch]:
    """List the exports, the latest first."""
    return ExportBatch.objects.select_related("csv", "xlsx")


@dataclass(frozen=True)
class NotExported:
    """Documents of one currency that are in no export yet."""

    currency: str
    documents: int
    first: date
    last: date


def not_exported(target: str = "register") -> list[NotExported]:
    """Count the issued documents that are in no export, by currency: one query."""
    rows = (
        Invoice.objects.exclude(status=InvoiceStatus.DRAFT)
        .exclude(exports__target=target)
        .order_by()
        .values("currency")
        .annotate(documents=Count("pk"), first=Min("issued_on"), last=Max("issued_on"))
        .order_by("currency")
    )
    return [NotExported(**row) for row in rows]
