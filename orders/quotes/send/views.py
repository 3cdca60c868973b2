"""The page that checks a quote once more and sends it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from catalog.web.access import OWNER, allow
from costing.contract.errors import InputErrors
from orders.quotes.draft.allergens import CAUTION
from orders.quotes.draft.cooling_words import cold_notes_shown
from orders.quotes.draft.terms_forms import ReasonForm
from orders.quotes.draft.window_words import window_shown
from orders.quotes.draft.windows import window_check
from orders.quotes.models import Quote
from orders.quotes.send.check import quote_check
from orders.quotes.send.services import quote_send
from orders.records.errors import OrderError
from orders.records.presenters import sentence
from orders.records.states import QuoteStatus


@allow(OWNER)
def quote_send_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Look once more at what the customer gets, then send it."""
    found = get_object_or_404(Quote, pk=pk)
    if found.status != QuoteStatus.DRAFT:
        return redirect("quote", pk=pk)
    check = quote_check(pk, at=timezone.now())
    unread = request.method == "POST" and bool(check.draft_estimate.clashes) and "allergies" not in request.POST
    if request.method == "POST" and not unread and _sent(request, pk):
        return redirect("quote", pk=pk)
    context: dict[str, Any] = {"unread": unread} | {
        "check": check,
        "quote": check.quote,
        "draft_estimate": check.draft_estimate,
        "window": window_shown(check.draft_estimate.window),
        "cold_notes": cold_notes_shown(check.draft_estimate.cold),
        "caution": CAUTION,
    }
    context |= {"inquiry": check.quote.inquiry, "reason": ReasonForm(), "content": check.content}
    return render(request, "orders/quotes/send/send.html", context)


def _sent(request: HttpRequest, pk: int) -> bool:
    seen = request.POST.get("seen", "")
    known, now = seen.isascii() and seen.isdigit() and len(seen) < 16, timezone.now()
    try:
        quote_send(
            quote_id=pk,
            by=request.user.get_username(),
            at=now,
            seen_total_minor=int(seen) if known else None,
            window_check=window_check(now),
        )
    except (OrderError, InputErrors) as refusal:
        messages.error(request, f"Not sent. {sentence(refusal) if isinstance(refusal, OrderError) else refusal}")
        return False
    messages.success(request, "Sent. The mail is on its way to the customer.")
    return True
