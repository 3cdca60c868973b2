"""What is tried on the page of a price, and saving it."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext

from catalog.records.errors import Overtaken
from catalog.records.versions import UNSEEN
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from orders.quotes.draft.services import draft_save, table_version
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.what_if.forms import WhatIfForm
from orders.quotes.what_if.presenters import outcome_shown
from orders.quotes.what_if.selectors import Comparison, draft_now, what_if
from orders.records.states import QuoteStatus


def tried_context(quote: Quote, data: QueryDict, *, day: date) -> dict[str, Any]:
    """Return what the page shows of a what-if: its form, and the outcome of what is in the query; nothing is saved."""
    before = draft_now(quote, day=day)
    form = WhatIfForm(quote=quote, before=before)
    if any(name in form.fields for name in data):
        entered = {name: data.get(name, form[name].value()) for name in form.fields}
        form = WhatIfForm(entered, quote=quote, before=before)
    compared, changed, margin = Comparison(before, before), {}, None
    if form.is_valid() and form.change().changes:
        compared, changed = what_if(quote, form.change(), before=before, day=day), form.changed()
        margin = form.change().margin
    outcome = outcome_shown(compared, guests=quote.inquiry.guests, tried=bool(changed), margin=margin)
    return {
        "quote": quote,
        "what_if": form,
        "outcome": outcome,
        "to_save": changed if outcome.tried else {},
        "version": table_version(quote),
    }


@sent_to("quote-price-check")
@allow(OWNER)
def quote_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Save what was tried, if the table is still the one it was compared with."""
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    page = reverse("quote-price-check", args=[pk])
    if quote.status != QuoteStatus.DRAFT:
        return redirect(page)
    day = timezone.localdate()
    before = draft_now(quote, day=day)
    form = WhatIfForm(request.POST, quote=quote, before=before)
    if not form.is_valid() or not form.change().changes:
        return redirect(f"{page}#what-if")
    compared, version = what_if(quote, form.change(), before=before, day=day), request.POST.get("version") or UNSEEN
    if compared.after.estimate is not None:
        try:
            draft_save(
                quote_id=pk,
                table=compared.after.table,
                version=version,
                by=request.user.get_username(),
                at=timezone.now(),
            )
        except Overtaken:
            messages.error(request, gettext("Not saved: the quote was changed elsewhere. Compare again, then save."))
            return redirect(f"{page}?{urlencode(form.changed())}#what-if")
        messages.success(request, gettext("Saved. The quote has these figures now."))
    return redirect(page)
