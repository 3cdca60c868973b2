"""The page that opens every figure of a price."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.web.access import OWNER, allow
from orders.quotes.models import Quote
from orders.quotes.price_check.selectors import quote_why as explained


@require_safe
@allow(OWNER)
def quote_why(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what each price is made of, the rule in words, and every figure's sum."""
    get_object_or_404(Quote, pk=pk)
    why = explained(pk, day=timezone.localdate())
    return render(request, "orders/quotes/price_check/why.html", {"why": why, "quote": why.quote})
