"""The page that tries another margin, discount or quantity."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from orders.quotes.draft.presenters import problems_shown
from orders.quotes.draft.services import draft_save
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.what_if.forms import WhatIfForm
from orders.quotes.what_if.selectors import what_if
from orders.records.states import QuoteStatus


@allow(OWNER)
def quote_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Compare another margin, discount or quantity with what is saved; save it if asked."""
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    if quote.status != QuoteStatus.DRAFT:
        return redirect("quote-price-check", pk=pk)
    form = WhatIfForm(submitted_data(request), quote=quote)
    context = {"quote": quote, "form": form}
    if request.method == "POST" and form.is_valid():
        compared = what_if(quote, form.change(), day=timezone.localdate())
        if request.POST.get("do") == "save" and compared.after.estimate is not None:
            draft_save(quote_id=pk, table=compared.after.table, by=request.user.get_username(), at=timezone.now())
            messages.success(request, gettext("Saved."))
            return redirect("inquiry", pk=quote.inquiry_id)
        context |= {"compared": compared, "problems": problems_shown(compared.after.problems)}
    return render(request, "orders/quotes/what_if/what_if.html", context)
