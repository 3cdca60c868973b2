"""Running sums: what was issued in each month, and each order's account. Nobody adds up ten years to show one page.

They are written in the commit that issues a document or records a payment; `manage.py running_sums` proves them against
the documents themselves, and writes them anew.

Two writers never make one row twice: who issues holds the lock of the number series, who counts for an order holds the
order's.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, Final

from django.db import connection, transaction
from django.db.models import Count, F, Model, Sum
from django.db.models.functions import TruncMonth

from orders.invoices.models import Invoice, InvoiceTax, IssuedMonth, IssuedMonthTax, OrderAccount, Payment

#: The columns that name a sum, then those that are summed: by table.
_KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "IssuedMonth": ("month", "currency", "kind"),
    "IssuedMonthTax": ("month", "currency", "kind", "tax_name", "rate"),
    "OrderAccount": ("order_id", "currency"),
}
_SUMS: Final[Mapping[str, tuple[str, ...]]] = {
    "IssuedMonth": ("documents", "net_minor", "tax_minor", "total_minor"),
    "IssuedMonthTax": ("rows", "taxable_minor", "tax_minor"),
    "OrderAccount": ("asked_minor", "received_minor"),
}

#: One table's sums by their key.
Sums = Mapping[tuple[Any, ...], tuple[int, ...]]


def issued_counted(invoice: Invoice) -> None:
    """Add a document that is being issued to the sums. It has no transaction of its own."""
    of = {"month": _month(invoice), "currency": invoice.currency, "kind": invoice.kind}
    _add(
        IssuedMonth,
        of,
        {
            "documents": 1,
            "net_minor": invoice.net_minor,
            "tax_minor": invoice.tax_minor,
            "total_minor": invoice.total_minor,
        },
    )
    for tax in invoice.taxes.all():
        _add(
            IssuedMonthTax,
            {**of, "tax_name": tax.tax_name, "rate": tax.rate},
            {"rows": 1, "taxable_minor": tax.taxable_minor, "tax_minor": tax.tax_minor},
        )
    asked = -invoice.total_minor if invoice.is_credit_note else invoice.total_minor
    _add(OrderAccount, {"order_id": invoice.order_id, "currency": invoice.currency}, {"asked_minor": asked})


def payment_counted(payment: Payment) -> None:
    """Add a payment that is being recorded to its order's account. It has no transaction of its own."""
    _add(
        OrderAccount,
        {"order_id": payment.order_id, "currency": payment.currency},
        {"received_minor": payment.amount_minor},
    )


def _month(invoice: Invoice) -> date:
    if invoice.issued_on is None:
        raise ValueError(invoice.status)
    return invoice.issued_on.replace(day=1)


def _add(model: type[Model], key: Mapping[str, Any], amounts: Mapping[str, int]) -> None:
    rows = model._default_manager
    if not rows.filter(**key).update(**{name: F(name) + amount for name, amount in amounts.items()}):
        rows.create(**key, **amounts)


@transaction.atomic(durable=True)
def sums_wrong() -> dict[str, list[tuple[Any, ...]]]:
    """Compare the sums with the documents and payments; return the keys of those that differ, by table."""
    _writers_wait()
    counted = _counted()
    stored = {model.__name__: _stored(model) for model in (IssuedMonth, IssuedMonthTax, OrderAccount)}
    return {name: _differing(stored[name], counted[name]) for name in counted}


@transaction.atomic(durable=True)
def sums_rewrite() -> None:
    """Write all sums anew from the documents and payments."""
    _writers_wait()
    counted = _counted()
    models: Iterable[Any] = (IssuedMonth, IssuedMonthTax, OrderAccount)
    for model in models:
        name = model.__name__
        names = (*_KEYS[name], *_SUMS[name])
        model.objects.all().delete()
        rows = (model(**dict(zip(names, (*key, *sums), strict=True))) for key, sums in counted[name].items())
        model.objects.bulk_create(rows, batch_size=1000)


def _counted() -> dict[str, Sums]:
    """Add up all issued documents and all payments, by table of sums."""
    issued = Invoice.objects.exclude(status="draft").order_by().annotate(month=TruncMonth("issued_on"))
    months = issued.values_list(*_KEYS["IssuedMonth"]).annotate(
        Count("pk"), Sum("net_minor"), Sum("tax_minor"), Sum("total_minor")
    )
    taxed = (
        InvoiceTax.objects.exclude(invoice__status="draft").order_by().annotate(month=TruncMonth("invoice__issued_on"))
    )
    by_tax = taxed.values_list("month", "invoice__currency", "invoice__kind", "tax_name", "rate").annotate(
        Count("pk"), Sum("taxable_minor"), Sum("tax_minor")
    )
    return {
        "IssuedMonth": {tuple(row[:3]): tuple(row[3:]) for row in months},
        "IssuedMonthTax": {tuple(row[:5]): tuple(row[5:]) for row in by_tax},
        "OrderAccount": _accounts(issued),
    }


def _accounts(issued: Any) -> Sums:
    asked: Counter[tuple[int, str]] = Counter()
    for order, currency, kind, total in issued.values_list("order_id", "currency", "kind").annotate(Sum("total_minor")):
        asked[order, currency] += -total if kind == Invoice.Kind.CREDIT_NOTE else total
    paid = Payment.objects.order_by().values_list("order_id", "currency").annotate(Sum("amount_minor"))
    received = {(order, currency): amount for order, currency, amount in paid}
    return {key: (asked[key], received.get(key, 0)) for key in sorted({*asked, *received})}


def _stored(model: Any) -> Sums:
    name = model.__name__
    keys = len(_KEYS[name])
    rows = model.objects.values_list(*_KEYS[name], *_SUMS[name])
    return {tuple(row[:keys]): tuple(row[keys:]) for row in rows.iterator(chunk_size=2000)}


def _differing(stored: Sums, counted: Sums) -> list[tuple[Any, ...]]:
    return sorted((key for key in {*stored, *counted} if stored.get(key) != counted.get(key)), key=repr)


def _writers_wait() -> None:
    """Let whoever issues or records wait until this transaction ends; on SQLite its beginning did that."""
    if connection.vendor == "postgresql":
        tables = ", ".join(model._meta.db_table for model in (Invoice, Payment))
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {tables} IN SHARE MODE")
