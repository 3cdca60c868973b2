"""Whether a draft's window fits in beside what is promised: asked for by its page, shown in it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.web.access import OWNER, allow
from orders.planning.presenters import beside_shown
from orders.planning.services import window_check_ask
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def quote_window(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask whether a draft's window fits in, or show what is known about it; with the tick of the page that sends it."""
    quote = get_object_or_404(Quote.objects.select_related("inquiry").prefetch_related("lines"), pk=pk)
    if request.method == "POST" and quote.status == QuoteStatus.DRAFT:
        window_check_ask(quote_id=pk, at=timezone.now())
    if "HX-Request" not in request.headers:
        sending = "sending" in request.GET
        return redirect("quote-send", pk=pk) if sending else redirect("inquiry", pk=quote.inquiry_id)
    context: dict[str, Any] = {"quote": quote, "beside": beside_shown(quote, timezone.now())}
    context |= {"sending": "sending" in request.GET, "swapped": True}
    return render(request, "orders/planning/window.html", context)
