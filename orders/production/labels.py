"""The data for labels of the desserts handed over on some days, as a CSV file for whatever prints labels."""

import csv
import io
from collections.abc import Collection, Mapping, Sequence
from itertools import zip_longest
from typing import Final

from django.utils import timezone

from catalog.pantry.diets import DIET_FACTS
from catalog.pantry.presenters import allergen_words, diet_words, named_words
from catalog.web import display
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import CoolingMark
from orders.documents.content import Charge, Line, QuoteContent, content_read
from orders.documents.trace_words import trace_words
from orders.orders.models import Order
from orders.production.label_marks import marks_by_line
from orders.quotes.draft.allergens import LabelChange, since_now
from orders.quotes.draft.presenters import label_change_words
from orders.quotes.models import QuoteExtra
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
    "Made with",
    "Suits",
    "Changed since the quote",
    "Holding and serving",
    "About traces",
    "Cooling",
)
_NONE: Final = "none of the major allergens"


def label_file(orders: Sequence[Order]) -> bytes:
    """Return the file: a record for each dessert of each order and for each extra that is food, in their order.

    What a dessert contains is what the approved quote says, and today's answers besides: a label is about the food.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    contents = [content_read(order.quote.content) for order in orders]
    since = since_now([(content, order.quote.inquiry) for content, order in zip(contents, orders, strict=True)])
    open_marks = marks_by_line(orders)
    for order, content, changed in zip(orders, contents, since, strict=True):
        changes = {change.product: change for change in changed.changes}
        lines = [_record(content, line, changes.get(line.product, LabelChange(line.name))) for line in content.lines]
        # The order's lines are the content's, in its order.
        cooling = map(_cooling, open_marks.get(order.pk, ()))
        records = [(*record, words) for record, words in zip_longest(lines, list(cooling)[: len(lines)], fillvalue="")]
        records += [_extra(content, extra) for extra in content.extras if extra.food != QuoteExtra.Food.NONE]
        first = (order.number, content.customer.name, display.day(timezone.localtime(order.window_start)))
        writer.writerows([safe_text(cell) for cell in (*first, *record)] for record in records)
    return CSV_MARK + out.getvalue().encode()


def _record(content: QuoteContent, line: Line, change: LabelChange) -> tuple[str, ...]:
    contains = dict.fromkeys([*line.allergens, *(code for code in change.contains if code not in DIET_FACTS)])
    may = dict.fromkeys(code for code in (*line.may_contain, *change.may) if code not in contains)
    unchecked = dict.fromkeys(code for code in (*line.unchecked, *change.unchecked) if code not in contains)
    made_with = dict.fromkeys([*line.made_with, *(code for code in change.contains if code in DIET_FACTS)])
    diets = () if change.contains or change.unchecked else line.diets
    return (
        line.name,
        str(line.units),
        *_label(content, tuple(contains), tuple(may), tuple(unchecked), line.allergen_names),
        allergen_words(made_with),
        diet_words(diets),
        "; ".join(label_change_words(change)),
        line.holding.replace("\n", " "),
        trace_words(content.cross_contact),
    )


def _extra(content: QuoteContent, extra: Charge) -> tuple[str, ...]:
    known = content.allergen_list and (extra.food or extra.unchecked)
    label = _label(content, extra.allergens, extra.may_contain, extra.unchecked, {}) if known else ("", "", "all")
    return (extra.name, "", *label, "", "", "", "", trace_words(content.cross_contact), "")


def _cooling(marks: Sequence[CoolingMark]) -> str:
    """Write what of a dessert or its batches is not cold in time and not measured yet."""
    return " ".join(f"{one.name}: {mark_shown(one).sentence}" for one in marks)


def _label(
    content: QuoteContent,
    contains: tuple[str, ...],
    may: tuple[str, ...],
    unchecked: tuple[str, ...],
    names: Mapping[str, Collection[str]],
) -> tuple[str, str, str]:
    """Write what a label names; that it holds none of the list only where all of it was checked."""
    which = content.allergen_list
    open_ = allergen_words(unchecked) if which else "all others"
    nothing = "" if may or open_ else _NONE
    return named_words(contains, names, which) or nothing, named_words(may, names, which), open_
