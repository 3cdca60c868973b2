"""Pages of a kitchen with 2,000 products: product, lists, a keystroke of a 40-line table, the first page after a save.

Run by ``make bench``, with a database of its own. Also: how often the Book is read when four threads ask for a new
revision at once.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import urlencode

RUNS = 7
KEYSTROKES = 60


def main() -> None:
    """Set up, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"COLDSET_DB": str(Path(folder) / "bench.sqlite3"), "COLDSET_LOG_LEVEL": "ERROR"}
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        from config import collector

        collector.settle()  # as the web server does

        call_command("migrate", verbosity=0)
        client, quote = _kitchen()
        pages = _pages(quote)
        lines = [f"{'2,000 products, CPU time, median':52}{'ms':>8}"]
        lines += [f"{name:52}{_median(client, address):8.0f}" for name, address in pages.items()]
        keystrokes = sorted(_keystrokes(client, quote))
        lines += [f"{'a keystroke in a table of 40 lines':52}{median(keystrokes):8.0f}"]
        lines += [f"{'the slowest of twenty':52}{keystrokes[KEYSTROKES * 19 // 20]:8.0f}"]
        lines += [
            f"{f'first after a saved ingredient: {n}':52}{_after_a_save(client, a):8.0f}" for n, a in pages.items()
        ]
        lines += [f"{'a new revision, asked for by four threads: read':52}{_read_by_four():5} times"]
        sys.stdout.write("\n".join(lines) + "\n")


def _kitchen() -> tuple[Any, Any]:
    """Put in the kitchen and a draft of 40 lines; return a signed-in owner's client, and the draft."""
    from django.test import Client
    from django.utils import timezone

    from catalog.book.services import book_import
    from catalog.kitchen.models import Kitchen
    from catalog.products.models import Product
    from orders.quotes.draft.dessert_table import DessertTable, TableLine
    from tests import factories
    from tests.bench.kitchen import forty_lines, large_book

    Kitchen.objects.create(pk=1, name="Bench", email="bench@kitchen.example")
    document = large_book()
    book_import(data=json.dumps(document).encode())
    keys = dict(Product.objects.values_list("code", "pk"))
    asked = forty_lines(document)["lines"]
    lines = tuple(TableLine(keys[line["product"]], line["product"], line["units"]) for line in asked)
    now = timezone.now()
    table = DessertTable(lines=lines, discount=Decimal("0.05"))
    draft = factories.draft_make(at=now, table=table, window_start=now + timedelta(days=10))
    client = Client()
    client.force_login(factories.user_make(name="bench"))
    return client, draft


def _pages(quote: Any) -> dict[str, str]:
    from django.urls import reverse

    from catalog.products.models import Product
    from catalog.recipes.models import Recipe

    return {
        "a product": reverse("product", args=[Product.objects.get(code="item-1000").pk]),
        "a recipe": reverse("recipe", args=[Recipe.objects.get(code="mix-400").pk]),
        "the list of products": reverse("products"),
        "the list of recipes": reverse("recipes"),
        "the list of ingredients": reverse("ingredients"),
        "a draft of 40 lines": reverse("inquiry", args=[quote.inquiry_id]),
    }


def _cpu_ms(work: Any) -> float:
    begun = time.process_time()
    assert work().status_code == 200
    return (time.process_time() - begun) * 1000


def _median(client: Any, address: str) -> float:
    client.get(address)
    return median(_cpu_ms(lambda: client.get(address)) for _ in range(RUNS))


def _keystrokes(client: Any, quote: Any) -> list[float]:
    from django.urls import reverse

    form = {"lines-TOTAL_FORMS": "42", "lines-INITIAL_FORMS": "40", "extras-TOTAL_FORMS": "1"}
    form |= {"extras-INITIAL_FORMS": "0", "discount": "5"}
    for at, line in enumerate(quote.lines.select_related("product")):
        form |= {f"lines-{at}-product": str(line.product), f"lines-{at}-units": str(line.units)}
    address = reverse("quote-draft", args=[quote.pk])

    def key(guests: int) -> Any:
        body = urlencode(form | {"guests": str(guests)})  # as a browser sends it
        kind = "application/x-www-form-urlencoded"
        return client.post(address, body, content_type=kind, headers={"HX-Request": "true"})

    key(1)
    return [_cpu_ms(lambda n=n: key(n)) for n in range(2, 2 + KEYSTROKES)]


def _save(number: int) -> None:
    from catalog.book.revision import catalog_changed
    from catalog.pantry.models import Ingredient

    Ingredient.objects.filter(code="food-5").update(density=Decimal("0.5") + Decimal(number) / 1000)
    catalog_changed()


def _after_a_save(client: Any, address: str) -> float:
    taken = []
    for number in range(RUNS):
        _save(number)
        taken.append(_cpu_ms(lambda: client.get(address)))
    return median(taken)


def _read_by_four() -> int:
    from django.db import connection

    from catalog.book import selectors

    read, times = selectors._read, []

    def counted(*args: Any) -> Any:
        times.append(1)
        return read(*args)

    def asked(_: int) -> None:
        selectors.book_current()
        connection.close()

    _save(99)
    selectors._read = counted
    try:
        with ThreadPoolExecutor(4) as threads:
            list(threads.map(asked, range(4)))
    finally:
        selectors._read = read
    return len(times)


if __name__ == "__main__":
    main()
