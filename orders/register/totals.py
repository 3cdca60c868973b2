"""The register's totals: of whole months from their running sums, of the days beside them from the documents."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Count, QuerySet, Sum
from djmoney.money import Money

from costing.money.allocation import sum_by_code
from orders.invoices.models import IS_INVOICE, Invoice, IssuedMonth, IssuedMonthTax
from orders.invoices.selectors import OPEN, with_open
from orders.records.money import from_minor
from orders.register.filters import RegisterFilter, month_of, register


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


@dataclass
class _Sums:
    """Sums that can be added and taken away: by currency and kind, and by currency, kind, tax and rate; not signed."""

    documents: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    taxes: dict[tuple[str, str, str, Decimal], list[int]] = field(default_factory=dict)

    def add(self, documents: Iterable[tuple[str, str, *tuple[int, ...]]], *, sign: int = 1) -> None:
        """Add rows of currency, kind, number of documents, net, tax, total."""
        for currency, kind, *amounts in documents:
            _add(self.documents, (currency, kind), amounts, sign)

    def add_taxes(
        self, taxes: Iterable[tuple[str, str, str, str | Decimal, *tuple[int, ...]]], *, sign: int = 1
    ) -> None:
        """Add rows of currency, kind, tax, rate, number of rows, taxable, tax."""
        for currency, kind, name, rate, *amounts in taxes:
            _add(self.taxes, (currency, kind, name, Decimal(rate)), amounts, sign)


def _add(sums: dict, key: tuple[object, ...], amounts: list[int], sign: int) -> None:  # type: ignore[type-arg]  # of either
    own = sums.setdefault(key, [0] * len(amounts))
    own[:] = [before + sign * amount for before, amount in zip(own, amounts, strict=True)]


def register_totals(chosen: RegisterFilter, *, today: date) -> list[RegisterTotals]:
    """Sum the documents of a filter by currency: at most nine queries.

    What was issued in a whole month is read from its sums. The documents themselves are added up where they are few:
    those open, overdue, in no export yet or found, and those of a part of a month.
    """
    sums = _Sums()
    if chosen.find or chosen.exported or chosen.standing in ("open", "overdue"):
        _add_documents(sums, register(chosen, today=today))
    elif chosen.standing != "paid":
        _add_period(sums, chosen, today)
    elif chosen.kind != Invoice.Kind.CREDIT_NOTE:
        # Whatever is not open is paid.
        _add_period(sums, replace(chosen, kind=Invoice.Kind.INVOICE), today)
        _add_documents(sums, register(replace(chosen, standing="open"), today=today), sign=-1)
    waiting = with_open(register(chosen, today=today).filter(IS_INVOICE, status__in=OPEN)).order_by()
    opens = sum_by_code(waiting.values_list("currency", "open"))
    currencies = sorted({currency for (currency, _), own in sums.documents.items() if own[0]})
    return [_totals(currency, sums, opens.get(currency, 0)) for currency in currencies]


def _add_period(sums: _Sums, chosen: RegisterFilter, today: date) -> None:
    """Add all documents of a kind in a period: whole months, and the days before and after them."""
    if chosen.kind and chosen.kind not in Invoice.Kind.values:
        return
    begin, end = _whole_months(chosen.first, chosen.last)
    for first, last in _days_beside(chosen, begin, end):
        _add_documents(sums, register(replace(chosen, standing="", first=first, last=last), today=today))
    if begin and end and begin > end:
        return
    wanted: dict[str, object] = {"kind": chosen.kind} if chosen.kind else {}
    wanted |= {"month__gte": begin} if begin else {}
    wanted |= {"month__lte": end} if end else {}
    months, taxes = IssuedMonth.objects.filter(**wanted), IssuedMonthTax.objects.filter(**wanted)
    sums.add(
        months.values_list("currency", "kind").annotate(
            Sum("documents"), Sum("net_minor"), Sum("tax_minor"), Sum("total_minor")
        )
    )
    sums.add_taxes(
        taxes.values_list("currency", "kind", "tax_name", "rate").annotate(
            Sum("rows"), Sum("taxable_minor"), Sum("tax_minor")
        )
    )


def _whole_months(first: date | None, last: date | None) -> tuple[date | None, date | None]:
    """Return the first days of the first and the last whole month of a period; None where it has no end."""
    begin = None if first is None else first if first.day == 1 else month_of(first)[1] + timedelta(days=1)
    if last is None:
        return begin, None
    month, ends = month_of(last)
    return begin, month if last == ends else month_of(month - timedelta(days=1))[0]


def _days_beside(chosen: RegisterFilter, begin: date | None, end: date | None) -> Iterator[tuple[date, date]]:
    """Return the days of a period that are in no whole month: before the first one and after the last one."""
    first, last = chosen.first, chosen.last
    after = None if end is None else month_of(end)[1] + timedelta(days=1)
    if first and last and begin and after and begin > after:
        yield first, last  # inside one month
        return
    if first and begin and first < begin:
        yield first, begin - timedelta(days=1)
    if last and after and after <= last:
        yield after, last


def _add_documents(sums: _Sums, documents: QuerySet[Invoice], *, sign: int = 1) -> None:
    rows = documents.order_by()
    by_kind = rows.values_list("currency", "kind")
    sums.add(by_kind.annotate(Count("pk"), Sum("net_minor"), Sum("tax_minor"), Sum("total_minor")), sign=sign)
    taxed = rows.filter(taxes__isnull=False).values_list("currency", "kind", "taxes__tax_name", "taxes__rate")
    sums.add_taxes(
        taxed.annotate(Count("taxes"), Sum("taxes__taxable_minor"), Sum("taxes__tax_minor")),
        sign=sign,
    )


def _totals(currency: str, sums: _Sums, waiting: int) -> RegisterTotals:
    counted, net, tax, total = 0, 0, 0, 0
    by_kind = {kind: own for (of, kind), own in sums.documents.items() if of == currency}
    for kind, own in by_kind.items():
        sign = _sign(kind)
        net, tax, total = net + sign * own[1], tax + sign * own[2], total + sign * own[3]
        counted += own[0]
    notes = by_kind.get(Invoice.Kind.CREDIT_NOTE, [0])[0]
    return RegisterTotals(
        currency=currency,
        invoices=counted - notes,
        notes=notes,
        net=from_minor(net, currency),
        tax=from_minor(tax, currency),
        total=from_minor(total, currency),
        open=from_minor(waiting, currency),
        taxes=_tax_totals(currency, sums),
    )


def _tax_totals(currency: str, sums: _Sums) -> list[TaxTotal]:
    found: dict[tuple[str, Decimal], list[int]] = {}
    for (of, kind, name, rate), own in sums.taxes.items():
        if of == currency:
            _add(found, (name, rate), own if kind != Invoice.Kind.CREDIT_NOTE else [own[0], -own[1], -own[2]], 1)
    return [
        TaxTotal(name, rate, from_minor(taxable, currency), from_minor(tax, currency))
        for (name, rate), (rows, taxable, tax) in sorted(found.items())
        if rows
    ]


def _sign(kind: str) -> int:
    return -1 if kind == Invoice.Kind.CREDIT_NOTE else 1
