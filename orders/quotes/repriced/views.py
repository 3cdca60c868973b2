"""The page of open quotes at today's costs, and the note of it on pages where prices are changed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from catalog.pantry.price_changes import PriceChange
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from orders.quotes.draft.presenters import problems_shown
from orders.quotes.repriced.effects import effects_of
from orders.quotes.repriced.selectors import open_quotes_repriced


@require_safe
@allow(OWNER)
def repriced(request: HttpRequest) -> HttpResponse:
    """Show open quotes as they would come out with today's prices."""
    rows = open_quotes_repriced(day=timezone.localdate())
    below = sum(row.below_floor for row in rows)
    shown = [(row, next((one.sentence for one in problems_shown(row.problems)), "")) for row in rows]
    return render(request, "orders/quotes/repriced/repriced.html", {"rows": shown, "below": below})


def below_floor_note(change: PriceChange | None = None) -> SafeString:
    """Show what a change of prices does to the open quotes, or say why none can be priced.

    Of one ``change`` every quote whose margin it moved is named, before and after; without one, those that are below
    the floor now. Pages of the catalog show it: it is named in ``settings.PRICE_CHANGE_NOTE``.
    """
    today = timezone.localdate()
    try:
        if change is not None:
            context: dict[str, Any] = {"change": change, "effects": effects_of(change, day=today), "today": today}
            return render_to_string("orders/quotes/repriced/effects.html", context)
        rows = open_quotes_repriced(day=today)
    except CannotPrice as error:
        context = {"problem": sentence(error)}
    else:
        context = {"rows": [row for row in rows if row.below_floor], "open": len(rows)}
    return render_to_string("orders/quotes/repriced/below_floor.html", context)
