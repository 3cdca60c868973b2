"""The page that explains every figure of a price."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.web.access import OWNER, allow
from orders.quotes.price_check.presenters import price_check_shown
from orders.quotes.price_check.selectors import price_check
from orders.quotes.selectors import quotes_with_rows


@require_safe
@allow(OWNER)
def quote_price_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the components of each price, the rule in words, and the computation of every figure."""
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    check = price_check(quote, day=timezone.localdate())
    context = {"quote": quote, "check": check, "shown": price_check_shown(check)}
    return render(request, "orders/quotes/price_check/price_check.html", context)
