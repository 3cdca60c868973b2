"""The register: every issued document, filtered by a sentence, with the totals to tick off."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import BigIntegerField, Case, Count, F, Max, Min, Q, QuerySet, Sum, When

from catalog.web import display
from orders.invoices.models import Invoice
from orders.invoices.order_money import signed_total
from orders.invoices.selectors import OPEN, with_open
from orders.records.states import InvoiceStatus
from orders.register.models import ExportBatch
from orders.register.rows import RegisterRow, Taxes, rate_text

STANDINGS = {"open": "not paid", "overdue": "overdue", "paid": "paid"}


@dataclass(frozen=True)
class RegisterFilter:
    """Which documents: empty fields do not narrow."""

    kind: str = ""
    standing: str = ""
    first: date | None = None
    last: date | None = None
    find: str = ""
    exported: str = ""

    def sentence(self) -> str:
        """Say in words what is shown."""
        what = {"380": "Invoices", "381": "Credit notes"}.get(self.kind, "Invoices and credit notes")
        parts = [f"{what}{self._issued()}"]
        if self.standing in STANDINGS:
            parts.append(STANDINGS[self.standing])
        if self.exported == "no":
            parts.append("in no export yet")
        if self.find:
            parts.append(f"with “{self.find}” in number, order or customer")
        return ", ".join(parts)

    def _issued(self) -> str:
        if self.first and self.last and month_of(self.first) == (self.first, self.last):
            return f" issued in {self.first:%B} {self.first.year}"
        words = f" issued from {display.day(self.first)}" if self.first else ""
        return words + (f"{'' if words else ' issued'} up to {display.day(self.last)}" if self.last else "")


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
    is_open = Q(kind=Invoice.Kind.INVOICE, status__in=OPEN)
    return {
        "open": is_open,
        "overdue": is_open & Q(due_on__lt=today),
        "paid": Q(kind=Invoice.Kind.INVOICE, status=InvoiceStatus.PAID),
    }.get(standing, Q())


def register_page(documents: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Add to documents what a row of the register shows; meant for one page of them."""
    return with_open(documents.select_related("order", "credits")).annotate(signed=signed_total())


@dataclass(frozen=True)
class RegisterTotals:
    """What the documents of one currency add up to, signed."""

    currency: str
    invoices: int
    notes: int
    net: int
    tax: int
    total: int
    open: int
    taxes: list[tuple[str, str, int, int]]


def register_totals(documents: QuerySet[Invoice]) -> list[RegisterTotals]:
    """Add up the documents by currency: three queries."""
    sums = (
        documents.order_by()
        .values("currency")
        .annotate(
            invoices=Count("pk", filter=Q(kind=Invoice.Kind.INVOICE)),
            notes=Count("pk", filter=Q(kind=Invoice.Kind.CREDIT_NOTE)),
            net=Sum(_signed("net_minor")),
            tax=Sum(_signed("tax_minor")),
            total=Sum(_signed("total_minor")),
        )
        .order_by("currency")
    )
    waiting = with_open(documents.filter(kind=Invoice.Kind.INVOICE, status__in=OPEN)).order_by()
    opens: dict[str, int] = {}
    for currency, amount in waiting.values_list("currency", "open"):
        opens[currency] = opens.get(currency, 0) + amount
    taxes = _tax_totals(documents)
    return [
        RegisterTotals(**row, open=opens.get(row["currency"], 0), taxes=taxes.get(row["currency"], [])) for row in sums
    ]


def _signed(name: str) -> Case:
    is_note = When(kind=Invoice.Kind.CREDIT_NOTE, then=-F(name))
    return Case(is_note, default=F(name), output_field=BigIntegerField())


def _tax_totals(documents: QuerySet[Invoice]) -> dict[str, list[tuple[str, str, int, int]]]:
    rows = (
        documents.order_by()
        .values_list("currency", "taxes__tax_name", "taxes__rate")
        .annotate(taxable=Sum(_signed("taxes__taxable_minor")), tax=Sum(_signed("taxes__tax_minor")))
        .order_by("taxes__tax_name", "taxes__rate")
    )
    found: dict[str, list[tuple[str, str, int, int]]] = {}
    for currency, name, rate, taxable, tax in rows:
        if name is not None:
            found.setdefault(currency, []).append((name, rate_text(Decimal(rate)), taxable, tax))
    return found


#: What a row of the register is made from; plain columns, because a file may hold every document there is.
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
_KINDS = dict(Invoice.Kind.choices)
_STATUSES = dict(InvoiceStatus.choices)


def register_rows(documents: QuerySet[Invoice], *, standing: bool) -> Iterator[RegisterRow]:
    """Give documents as plain rows, oldest first: two queries. ``standing`` adds where each stands now."""
    taxes = _taxes_of(documents)
    chosen = documents.order_by("issued_on", "pk")
    rows = with_open(chosen).values(*_COLUMNS, "open") if standing else chosen.values(*_COLUMNS)
    for row in rows.iterator(chunk_size=2000):
        yield _row(row, taxes.get(row["pk"], {}), standing)


def _taxes_of(documents: QuerySet[Invoice]) -> dict[int, Taxes]:
    """Read the taxes of documents by document, signed; rows of one name and rate are one."""
    rows = documents.order_by().filter(taxes__isnull=False)
    columns = ("pk", "kind", "taxes__tax_name", "taxes__rate", "taxes__taxable_minor", "taxes__tax_minor")
    found: dict[int, Taxes] = {}
    for pk, kind, name, rate, taxable, tax in rows.values_list(*columns).iterator(chunk_size=2000):
        sign = _sign(kind)
        own = found.setdefault(pk, {})
        before = own.get((name, rate), (0, 0))
        own[name, rate] = (before[0] + sign * taxable, before[1] + sign * tax)
    return found


def _sign(kind: str) -> int:
    return -1 if kind == Invoice.Kind.CREDIT_NOTE else 1


def _row(row: dict[str, Any], taxes: Taxes, standing: bool) -> RegisterRow:
    sign = _sign(row["kind"])
    extra: dict[str, Any] = {}
    if standing:
        extra["status"] = _STATUSES[row["status"]]
        extra["open"] = max(0, row["open"]) if sign > 0 else None
    return RegisterRow(
        kind=str(_KINDS[row["kind"]]),
        number=row["number"],
        issued_on=row["issued_on"],
        supply_on=row["supply_on"],
        due_on=row["due_on"],
        customer=row["buyer"].get("name", ""),
        tax_number=row["buyer"].get("tax_number", ""),
        order=row["order__number"],
        credits=row["credits__number"] or "",
        reason=row["reason"],
        currency=row["currency"],
        net=sign * row["net_minor"],
        tax=sign * row["tax_minor"],
        total=sign * row["total_minor"],
        prepaid=row["prepaid_minor"],
        due=sign * row["due_minor"],
        taxes=taxes,
        pk=row["pk"],
        **extra,
    )


def drafts_waiting() -> QuerySet[Invoice]:
    """Return the drafts nobody has issued yet."""
    return Invoice.objects.filter(status=InvoiceStatus.DRAFT).select_related("order").order_by("pk")


def exports_listed() -> QuerySet[ExportBatch]:
    """List the exports, the latest first, without their files' bytes."""
    return ExportBatch.objects.select_related("csv", "xlsx").defer("csv__body", "xlsx__body")


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
