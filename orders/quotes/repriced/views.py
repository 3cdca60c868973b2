"""The page of open quotes at today's costs."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.web.access import OWNER, allow
from orders.quotes.repriced.selectors import open_quotes_repriced


@require_safe
@allow(OWNER)
def repriced(request: HttpRequest) -> HttpResponse:
    """Show open quotes as they would come out with today's prices."""
    rows = open_quotes_repriced(day=timezone.localdate())
    below = sum(row.below_floor for row in rows)
    return render(request, "orders/quotes/repriced/repriced.html", {"rows": rows, "below": below})
