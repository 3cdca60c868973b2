"""The page of open quotes at today's costs, and the note of it on pages where prices are changed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from orders.quotes.draft.presenters import problems_shown
from orders.quotes.repriced.selectors import open_quotes_repriced


@require_safe
@allow(OWNER)
def repriced(request: HttpRequest) -> HttpResponse:
    """Show open quotes as they would come out with today's prices."""
    rows = open_quotes_repriced(day=timezone.localdate())
    below = sum(row.below_floor for row in rows)
    shown = [(row, next((one.sentence for one in problems_shown(row.problems)), "")) for row in rows]
    return render(request, "orders/quotes/repriced/repriced.html", {"rows": shown, "below": below})


def below_floor_note() -> SafeString:
    """Name the open quotes that fall below the floor margin at today's prices, or say why none can be priced.

    Pages of the catalog show it after a change of prices: it is named in ``settings.PRICE_CHANGE_NOTE``.
    """
    try:
        rows = open_quotes_repriced(day=timezone.localdate())
    except CannotPrice as error:
        context: dict[str, Any] = {"problem": sentence(error)}
    else:
        context = {"rows": [row for row in rows if row.below_floor], "open": len(rows)}
    return render_to_string("orders/quotes/repriced/below_floor.html", context)
