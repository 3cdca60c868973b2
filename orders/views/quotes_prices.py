"""Why this price, what if, and what a change of prices does to open quotes."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.access import OWNER, allow
from orders.forms.drafts_terms import WhatIfForm
from orders.forms.typed import typed
from orders.models import Quote
from orders.selectors.quotes import draft_full, open_quotes_repriced
from orders.selectors.quotes_prices import Change, what_if
from orders.selectors.quotes_prices import quote_why as explained
from orders.services.drafts import draft_keep
from orders.states import QuoteStatus


@require_safe
@allow(OWNER)
def quote_why(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what each price is made of, the rule in words, and every figure's sum."""
    get_object_or_404(Quote, pk=pk)
    why = explained(pk, day=timezone.localdate())
    return render(request, "orders/quotes/why.html", {"why": why, "quote": why.quote})


@allow(OWNER)
def quote_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Compare another margin, discount or quantity with what is kept; keep it if asked."""
    get_object_or_404(Quote, pk=pk)
    quote = draft_full(pk)
    if quote.status != QuoteStatus.DRAFT:
        return redirect("quote-why", pk=pk)
    form = WhatIfForm(typed(request), quote=quote)
    compared = None
    if request.method == "POST" and form.is_valid():
        compared = what_if(quote, Change(**form.change()), day=timezone.localdate())
        if request.POST.get("do") == "keep" and compared.after.estimate is not None:
            draft_keep(quote_id=pk, table=compared.after.table, by=request.user.get_username(), at=timezone.now())
            messages.success(request, "Kept.")
            return redirect("enquiry", pk=quote.enquiry_id)
    return render(request, "orders/quotes/what_if.html", {"quote": quote, "form": form, "compared": compared})


@require_safe
@allow(OWNER)
def repriced(request: HttpRequest) -> HttpResponse:
    """Show open quotes as they would come out with today's prices."""
    rows = open_quotes_repriced(day=timezone.localdate())
    below = sum(row.below_floor for row in rows)
    return render(request, "orders/quotes/repriced.html", {"rows": rows, "below": below})
