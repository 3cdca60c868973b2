"""The data for labels of the desserts handed over on some days, as a CSV file for whatever prints labels."""

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Final

from django.utils import timezone

from catalog.pantry.presenters import allergen_words, diet_words
from catalog.web import display
from orders.documents.content import Line, QuoteContent, content_read
from orders.orders.models import Order
from orders.records.csv_cells import CSV_MARK, safe_text

HEADS: Final = (
    "Order",
    "Customer",
    "Handed over",
    "Dessert",
    "Pieces",
    "Contains",
    "May contain",
    "Not checked yet",
    "Suits",
    "Holding and serving",
    "About traces",
)


def label_file(orders: Iterable[Order]) -> bytes:
    """Return the file: a record for each dessert of each order, in their order.

    What a dessert contains is what the approved quote says; where nobody checked, it says so.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for order in orders:
        content = content_read(order.quote.content)
        writer.writerows([safe_text(cell) for cell in _record(order, content, line)] for line in content.lines)
    return CSV_MARK + out.getvalue().encode()


def _record(order: Order, content: QuoteContent, line: Line) -> Iterator[str]:
    yield from (order.number, content.customer.name, display.day(timezone.localtime(order.window_start)))
    yield from (line.name, str(line.units), allergen_words(line.allergens), allergen_words(line.may_contain))
    # A quote of earlier days says of nothing that it was checked.
    yield allergen_words(line.unchecked) if content.allergen_list else "all others"
    yield from (diet_words(line.diets), line.holding.replace("\n", " "), content.cross_contact)
