"""Fills a database with a kitchen's orders of ten years: every row as the services write it, copied by SQL.

Five orders of the demo's stories are made by the services; the closed ones are copied as often as asked, the open ones
a fixed number of times, because a kitchen has some dozens of those and not thousands. The same day gives the same rows.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

from tests.bench.services.copies import Copier, sequences_set

#: Copies of each order that is not closed, whatever the number of closed ones.
OPEN = 40
#: Customers for the closed orders: each comes back about twenty times in ten years.
EACH_CUSTOMER = 20


def kitchen_fill() -> None:
    """Make the tables, the demo's catalog and one order of each kind, by the services."""
    from django.core.management import call_command
    from django.utils import timezone

    from catalog.book.services import book_import
    from catalog.kitchen.models import Kitchen
    from config.demo import courses
    from config.demo.catalog import catalog

    call_command("migrate", verbosity=0)
    Kitchen.objects.create(pk=1, name="Bench", email="bench@kitchen.example")
    book_import(data=json.dumps(catalog("eu")).encode())
    today = timezone.localdate()
    _thrice_invoiced(demo_story(7, today - timedelta(days=40)))
    for number, tale in enumerate((courses.part_paid, courses.unpaid, courses.overpaid), start=2):
        courses.at_once(tale(demo_story(number, today - timedelta(days=30 + number))))
    courses.at_once(courses.to_order(demo_story(10, today + timedelta(days=5))))


def demo_story(number: int, day: date) -> Any:
    """Return a story of the demo's, on the Saturday on or after a day."""
    from config.demo import year
    from config.demo.days import saturday

    return year._story(number, saturday(day))


def _thrice_invoiced(story: Any) -> None:
    """Invoiced, credited in full, invoiced anew, paid and closed: three documents."""
    from config.demo import courses, stories
    from orders.invoices.credit_notes import credit_note_issue

    order = courses.at_once(courses.to_order(story))
    courses.at_once(courses.delivered(order, story))
    first = stories.invoiced(order, story.starts + timedelta(days=1))
    credit_note_issue(
        invoice_id=first,
        reason="The address was an old one.",
        idempotency_key="bench",
        read=stories.own_read("The address was an old one.", order.quote),
        by="bench",
        at=story.starts + timedelta(days=2),
    )
    second = order.invoices.get(pk=stories.invoiced(order, story.starts + timedelta(days=3)))
    stories.paid(order, second.due_minor, story.starts + timedelta(days=6), key="balance")
    stories.closed(order, story.starts + timedelta(days=7))


def orders_fill(orders: int) -> None:
    """Copy the orders until there are ``orders`` closed ones, three documents each, beside those that are open."""
    from django.apps import apps
    from django.db import connection, transaction

    from orders.invoices.running_sums import sums_rewrite
    from orders.orders.models import Order
    from orders.records.immutable_rows import install, remove

    with connection.schema_editor(atomic=False) as editor:
        remove(apps, editor)
    with transaction.atomic():
        for order in Order.objects.select_related("quote__inquiry", "customer").filter(number__startswith="O-0"):
            closed = order.status == "closed"
            made = Order.objects.filter(quote__number__startswith=f"Q{order.pk}-").count()
            copies = (orders if closed else OPEN) - made
            if copies > 0:
                _copy_order(order, Copier(copies), shared=closed)
        _counted_on()
    sums_rewrite()
    with connection.schema_editor(atomic=False) as editor:
        install(apps, editor)
    if connection.vendor == "postgresql":  # its own daemon does so; nobody does on SQLite
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def _copy_order(order: Any, copier: Copier, *, shared: bool) -> None:
    """Copy an order with its inquiry, quote, documents and payments; ``shared`` gives each customer several."""
    mark = f"'{order.pk}-{copier.copies}-' || s.i"
    customers = Copier(max(1, copier.copies // EACH_CUSTOMER)) if shared else Copier(1)
    base = customers.copy(order.customer, name="t.name || ' ' || s.i")
    customer = f"{base} + 1 + s.i % {customers.copies}"
    copier.copy(order.quote.inquiry, customer=customer, idempotency_key=mark)
    copier.copy(order.quote, number=f"'Q' || {mark}")
    copier.copy_all(order.quote.lines.all())
    copier.copy(order, customer=customer, number=_number("O-", type(order)))
    copier.copy_all(order.lines.all())
    for invoice in order.invoices.order_by("pk"):
        series = "C-" if invoice.is_credit_note else "I-"
        copier.copy(invoice, number=_number(series, type(invoice)), idempotency_key=f"'{invoice.pk}-' || {mark}")
        copier.copy_all(invoice.lines.order_by("pk"))
        copier.copy_all(invoice.taxes.all())
    for payment in order.payments.order_by("pk"):
        copier.copy(payment, idempotency_key=f"'{payment.pk}-' || {mark}")


def _number(series: str, model: Any) -> str:
    """Return the SQL of a copy's number: those of the series go on where they ended, in six digits."""
    return f"'{series}' || ({100_000 + model.objects.count()} + s.i)"


def _counted_on() -> None:
    """Let series and keys go on after the copies."""
    from django.apps import apps

    from orders.records.models import NumberSeries

    NumberSeries.objects.filter(last__lt=900_000).update(last=900_000)
    sequences_set(model for model in apps.get_models() if model._meta.app_label in ("orders", "catalog"))


def counts() -> dict[str, int]:
    """Return how many rows there are."""
    from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax, Payment
    from orders.orders.models import Order, OrderLine
    from orders.quotes.models import QuoteLine

    lines = sum(model.objects.count() for model in (OrderLine, QuoteLine, InvoiceLine))
    return {
        "orders": Order.objects.count(),
        "documents": Invoice.objects.exclude(status="draft").count(),
        "lines": lines,
        "taxes": InvoiceTax.objects.count(),
        "payments": Payment.objects.count(),
    }
