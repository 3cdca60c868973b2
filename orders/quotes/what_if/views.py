"""The page that tries another margin, discount or quantity."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from orders.quotes.draft.services import draft_keep
from orders.quotes.models import Quote
from orders.quotes.selectors import draft_full
from orders.quotes.what_if.forms import WhatIfForm
from orders.quotes.what_if.selectors import Change, what_if
from orders.records.states import QuoteStatus


@allow(OWNER)
def quote_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Compare another margin, discount or quantity with what is kept; keep it if asked."""
    get_object_or_404(Quote, pk=pk)
    quote = draft_full(pk)
    if quote.status != QuoteStatus.DRAFT:
        return redirect("quote-why", pk=pk)
    form = WhatIfForm(submitted_data(request), quote=quote)
    compared = None
    if request.method == "POST" and form.is_valid():
        compared = what_if(quote, Change(**form.change()), day=timezone.localdate())
        if request.POST.get("do") == "keep" and compared.after.estimate is not None:
            draft_keep(quote_id=pk, table=compared.after.table, by=request.user.get_username(), at=timezone.now())
            messages.success(request, "Kept.")
            return redirect("inquiry", pk=quote.inquiry_id)
    return render(request, "orders/quotes/what_if/what_if.html", {"quote": quote, "form": form, "compared": compared})
