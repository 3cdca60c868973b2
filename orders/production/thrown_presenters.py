"""Work that waits for what is made anew: for which orders a dessert, or a batch in it, was thrown away, in words."""

from collections.abc import Iterable

from django.utils.translation import gettext

from catalog.web import display
from orders.cooling_log.presenters import gone_words
from orders.cooling_log.selectors import CoolingMark, Marks
from orders.orders.models import Order
from orders.production.label_marks import BatchesIn
from orders.quotes.cooling.selectors import Item


def thrown_words(orders: Iterable[Order], marks: Marks, inside: BatchesIn) -> dict[str, list[str]]:
    """Write by product for which orders it, or a batch in it, was thrown away: its own work waits for a new one."""
    found: dict[str, dict[tuple[str, bool, tuple[int, ...]], tuple[CoolingMark, list[str]]]] = {}
    for order in orders:
        for line in order.lines.all():
            own = marks.get(order.pk, {}).get(Item("product", line.product_id))
            every = [*([] if own is None else [own]), *inside.get((order.pk, line.product_id), ())]
            for mark in every:
                if mark.to_remake or mark.gone:
                    of_product = found.setdefault(line.product.code, {})
                    key = (mark.name, mark.all_gone, mark.gone)
                    of_product.setdefault(key, (mark, []))[1].append(order.number)
    return {code: [_out_words(mark, numbers) for mark, numbers in each.values()] for code, each in found.items()}


def _out_words(mark: CoolingMark, orders: Iterable[str]) -> str:
    """Write that a dessert or a batch was thrown away for orders with these numbers, or which part of it."""
    words = {"name": mark.name, "orders": display.joined(list(orders)), "which": gone_words(mark) if mark.gone else ""}
    if mark.all_gone:
        return gettext("Not for %(orders)s: %(name)s was discarded. Make it again first.") % words
    text = gettext("For %(orders)s use nothing from %(name)s, %(which)s: it was discarded. Make that part again first.")
    return text % words
