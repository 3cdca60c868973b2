"""What a change of price does to 500 open quotes of a kitchen with 2,000 products: `make bench` prints it.

Beside it the same quotes with the whole estimate (warnings, packs, lines), whose cautions nobody reads here.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

QUOTES, LINES = 500, 8


def main() -> None:
    """Set up a database of its own, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"COLDSET_DB": str(Path(folder) / "bench.sqlite3"), "COLDSET_LOG_LEVEL": "ERROR"}
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        from config import collector

        collector.settle()  # as the web server does

        call_command("migrate", verbosity=0)
        _kitchen()
        _quotes()
        sys.stdout.write("\n".join(_measured()) + "\n")


def _kitchen() -> None:
    from catalog.book.services import book_import
    from catalog.kitchen.models import Kitchen
    from tests.bench.kitchen import large_book

    Kitchen.objects.create(pk=1, name="Bench", email="bench@kitchen.example")
    book_import(data=json.dumps(large_book()).encode())


def _quotes() -> None:
    """Draft quotes of eight lines each, the days of their events spread over half a year."""
    from django.utils import timezone

    from catalog.products.models import Product
    from orders.inquiries.models import Customer, Inquiry
    from orders.quotes.models import Quote, QuoteLine

    rng, now, products = Random(5), timezone.now(), list(Product.objects.only("pk", "sale_multiple"))
    customer = Customer.objects.create(name="Ida Fenwick", created_at=now)
    for number in range(QUOTES):
        start = now + timedelta(days=2 + number % 180)
        inquiry = Inquiry.objects.create(
            customer=customer, title=f"Supper {number}", received_at=now, window_start=start, window_end=start
        )
        quote = Quote.objects.create(
            inquiry=inquiry, number=f"Q-{number}", created_at=now, costing_date=now.date(), currency="EUR"
        )
        QuoteLine.objects.bulk_create(
            QuoteLine(quote=quote, product=product, units=product.sale_multiple * rng.randint(1, 8))
            for product in rng.sample(products, LINES)
        )


def _measured() -> list[str]:
    from django.utils import timezone

    from catalog.book.selectors import book_current
    from costing.requirements.compiled_book import compile_book
    from orders.quotes.draft.dessert_table import table_of
    from orders.quotes.draft.estimate import estimate_draft_with
    from orders.quotes.repriced.selectors import open_quotes_repriced
    from orders.quotes.repriced.views import below_floor_note
    from orders.quotes.selectors import quotes_with_rows

    day = timezone.localdate()

    def whole() -> Any:
        book = book_current()
        return [
            estimate_draft_with(book, table_of(quote), inquiry=quote.inquiry, day=day).total_minor
            for quote in quotes_with_rows().order_by("inquiry__window_start", "pk")
        ]

    def totals() -> Any:
        return [row.total_minor for row in sorted(open_quotes_repriced(day=day), key=_event)]

    lines = [f"{f'CPU of {QUOTES} open quotes of {LINES} lines':52}{'first':>10}{'again':>10}"]
    kinds = (("the whole estimate of each", whole), ("totals and margins", totals), ("the note", below_floor_note))
    for number, (name, work) in enumerate(kinds):
        _price_changes(number)
        compile_book(book_current())  # the Book's own rebuild is measured elsewhere
        gc.collect()  # as is the garbage of what was measured before
        first, again = _taken(work), _taken(work)
        assert work is not totals or totals() == whole(), "the same figures"
        lines.append(f"{name:52}{first:8.2f} s{again:8.2f} s")
    return lines


def _price_changes(number: int) -> None:
    """Make the packs of one ingredient dearer."""
    from catalog.book.revision import catalog_changed
    from catalog.pantry.models import Pack

    for pack in Pack.objects.filter(ingredient__code=f"food-{number}"):
        Pack.objects.filter(pk=pack.pk).update(price=pack.price * 2)
    catalog_changed()


def _event(row: Any) -> Any:
    return row.quote.inquiry.window_start, row.quote.pk


def _taken(work: Any) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


if __name__ == "__main__":
    main()
