"""The page that explains every figure of a price, and tries others beside it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.web.access import OWNER, allow
from orders.quotes.price_check.presenters import price_check_shown
from orders.quotes.price_check.selectors import price_check
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.what_if.views import tried_context
from orders.records.states import QuoteStatus


@require_safe
@allow(OWNER)
def quote_price_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the price is made of and how each figure came about; of a draft, also what something else would give.

    What is tried is in the query of the address, so trying saves nothing. A live request gets the outcome alone.
    """
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    day, draft = timezone.localdate(), quote.status == QuoteStatus.DRAFT
    tried = tried_context(quote, request.GET, day=day) if draft and quote.lines.all() else {}
    if tried and "HX-Request" in request.headers:
        return render(request, "orders/quotes/what_if/outcome.html", {**tried, "live": True})
    check = price_check(quote, day=day)
    context = {"quote": quote, "check": check, "shown": price_check_shown(check), **tried}
    return render(request, "orders/quotes/price_check/price_check.html", context)
