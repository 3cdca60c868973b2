"""Server time of the owner's and bookkeeper's lists with 20,000 orders, against the same pages with a handful.

Run by ``make bench``. Also measures how long the rows of a large catalog take to become a Book, and the cooling page.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path
from statistics import median
from typing import Any

ORDERS = 20_000
#: copies of each order that is not closed: a kitchen has some dozens of those, not thousands
OPEN = 60
RUNS = 7
PAGES = ("day", "inquiries", "orders", "customers", "money-register", "money-due", "money-payments", "sheets")


def main() -> None:
    """Set up a database of its own, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"COLDSET_DB": str(Path(folder) / "bench.sqlite3"), "COLDSET_LOG_LEVEL": "ERROR"}
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        lines = [_book()]
        client = _few_orders()
        few = _pages(client)
        lines += _cooling(client)
        made = _many_orders()
        many = _pages(client)
        lines += ["", f"{'CPU time of a page, median':32}{'a handful':>12}{f'{made:,} orders':>16}{'ratio':>8}"]
        lines += [f"{name:32}{few[name]:9.0f} ms{many[name]:13.0f} ms{many[name] / few[name]:8.1f}" for name in PAGES]
        sys.stdout.write("\n".join(lines) + "\n")


def _book() -> str:
    """Measure rows to Book for 2,000 products, 600 recipes and 400 ingredients."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from catalog.book.selectors import book_current, forget
    from catalog.book.services import book_import
    from catalog.kitchen.models import Kitchen
    from tests.bench.kitchen import large_book

    Kitchen.objects.create(pk=1, name="Bench", email="bench@kitchen.example")
    book_import(data=json.dumps(large_book()).encode())
    forget()
    with CaptureQueriesContext(connection) as queries:
        begun = time.process_time()
        book_current()
        took = time.process_time() - begun
    return f"rows to Book, checked: {took * 1000:.0f} ms of CPU, {len(queries)} queries"


def _few_orders() -> Any:
    """Put the demo kitchen and one order of each kind in; return a signed-in owner's client."""
    from django.contrib.auth.models import Group, User
    from django.test import Client
    from django.utils import timezone

    from catalog.book.services import book_import
    from config.demo import courses, year
    from config.demo.catalog import catalog
    from config.demo.days import saturday

    book_import(data=json.dumps(catalog("us")).encode())
    today: date = timezone.localdate()
    tales = (courses.all_paid, courses.part_paid, courses.unpaid, courses.credited, courses.declined)
    for number, tale in enumerate(tales):
        courses.at_once(tale(year._story(number, saturday(today - timedelta(days=30 + 7 * number)))))
    courses.at_once(courses.to_order(year._story(14, saturday(today + timedelta(days=4)))))
    user = User.objects.create_user("bench")
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    client = Client()
    client.force_login(user)
    return client


def _cooling(client: Any) -> list[str]:
    """Measure the cooling page of two cakes that do not keep their rule, so that all remedies are worked out."""
    from django.urls import reverse

    from catalog.products.models import Product

    ring = Product.objects.get(code="custard-tart-9")
    Product.objects.filter(pk=ring.pk).update(fill_height_cm=7)
    layered = Product.objects.get(code="almond-raspberry-10")
    named = (("a baked custard cake, 7 cm high", ring), ("a layered cake, 8.5 cm high", layered))
    pages = [(words, reverse("product-cooling", args=[row.pk])) for words, row in named]
    return [
        f"cooling page, {words}: {_taken(client, address):.0f} ms of CPU, median" for words, address in pages
    ] + _batches(client)


def _batches(client: Any) -> list[str]:
    """Measure a hot batch's cooling page, and the cold-room list with 20 hot batches beside the one with a few."""
    from django.urls import reverse
    from django.utils import timezone

    from catalog.book.revision import catalog_changed
    from catalog.products.models import Fill
    from catalog.recipes.models import Recipe
    from catalog.recipes.services import recipe_copy
    from catalog.vessels.models import Vessel
    from orders.orders.models import Order

    curd = Recipe.objects.get(code="lemon-curd")
    tub = Vessel.objects.create(name="Tub, 10 in", length_cm=25, width_cm=16, height_cm=6, owned=9, wall="plastic")
    curd.steps.exclude(vessel=None).update(vessel=tub, vessels=None, depth_cm=None)
    order = Order.objects.filter(window_start__gt=timezone.now()).earliest("window_start")
    day = timezone.localtime(order.window_start).date()
    sheet = f"{reverse('sheet-cold')}?first={day}&last={day}"
    catalog_changed()
    page = _taken(client, f"{reverse('recipe-cooling', args=[curd.pk])}?amount=2.6+kg")
    few = _taken(client, sheet)
    line = order.lines.first()
    for number in range(20):
        copy = recipe_copy(recipe_id=curd.pk, name=f"Curd {number}", by="bench", at=timezone.now())
        Fill.objects.create(product_id=line.product_id, recipe=copy, amount="5 g", position=50 + number)
    catalog_changed()
    many = _taken(client, sheet)
    return [
        f"cooling page, a batch of curd that fails in its tub, with remedies: {page:.0f} ms of CPU, median (aim 150)",
        f"cold-room list: {few:.0f} ms of CPU; with 20 hot batches {many:.0f} ms (aim 300), {many / few:.1f} times",
    ]


def _many_orders() -> int:
    """Copy the handful until there are 20,000 orders, spread over ten years; return how many there are."""
    from django.apps import apps
    from django.db import connection, transaction

    from orders.orders.models import Order
    from orders.records.immutable_rows import remove

    remove(apps, connection.schema_editor(atomic=False))
    originals = list(Order.objects.select_related("quote__inquiry").order_by("pk"))
    closed = [order for order in originals if order.status == "closed"]
    with transaction.atomic():
        for original in originals:
            _copied(original, ORDERS // len(closed) if original in closed else OPEN)
    return Order.objects.count()


def _copied(order: Any, copies: int) -> None:
    from orders.inquiries.models import Inquiry
    from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax, Payment
    from orders.orders.models import Order, OrderLine
    from orders.quotes.models import Quote

    days = [timedelta(days=1 + number * 3650 // copies) for number in range(copies)]
    marks = [f"{order.pk}-{number}" for number in range(copies)]
    inquiries = _rows(Inquiry, order.quote.inquiry, days, ("window_start", "window_end"), idempotency_key=marks)
    quotes = _rows(Quote, order.quote, days, (), number=marks, inquiry=inquiries)
    orders = _rows(Order, order, days, ("window_start", "window_end"), number=marks, quote=quotes)
    for line in order.lines.all():
        _rows(OrderLine, line, days, (), order=orders)
    for invoice in order.invoices.filter(kind="380"):
        invoices = _rows(
            Invoice, invoice, days, ("issued_on", "due_on"), number=marks, order=orders, idempotency_key=marks
        )
        for row in invoice.lines.all():
            _rows(InvoiceLine, row, days, (), invoice=invoices)
        for tax in invoice.taxes.all():
            _rows(InvoiceTax, tax, days, (), invoice=invoices)
        for at, payment in enumerate(invoice.payments.all()):
            _rows(
                Payment,
                payment,
                days,
                ("received_on",),
                order=orders,
                invoice=invoices,
                idempotency_key=[f"{mark}-{at}" for mark in marks],
            )


def _rows(model: Any, original: Any, days: list[timedelta], earlier: tuple[str, ...], **each: Any) -> list[Any]:
    """Copy a row once for each day: dates put back by it, ``each`` column given its own value."""
    values = {
        field.attname: getattr(original, field.attname)
        for field in model._meta.concrete_fields
        if not field.primary_key
    }
    made = []
    for number, back in enumerate(days):
        row = model(**values)
        for name in earlier:
            moment = getattr(original, name)
            setattr(row, name, moment - back if moment else moment)
        for name, column in each.items():
            setattr(row, name, column[number])
        made.append(row)
    return list(model.objects.bulk_create(made, batch_size=400))


def _pages(client: Any) -> dict[str, float]:
    from django.urls import reverse

    taken = {}
    for name in PAGES:
        taken[name] = _taken(client, reverse(name))
    return taken


def _taken(client: Any, address: str) -> float:
    """Return the median CPU time of a page [ms], after one visit to warm up."""
    client.get(address)
    times = []
    for _ in range(RUNS):
        begun = time.process_time()
        assert client.get(address).status_code == 200
        times.append((time.process_time() - begun) * 1000)
    return median(times)


if __name__ == "__main__":
    main()
