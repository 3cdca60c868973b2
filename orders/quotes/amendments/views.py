"""The owner begins a change of a confirmed order."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from orders.orders.models import Order
from orders.quotes.amendments.services import amendment_begin
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@sent_to("order")
@allow(OWNER)
def order_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a change of an order as a draft, or go on with the one that is begun."""
    get_object_or_404(Order, pk=pk)
    try:
        key = request.POST.get("message", "")
        asked = int(key) if key.isascii() and key.isdigit() and len(key) < 16 else None
        draft = amendment_begin(order_id=pk, by=request.user.get_username(), at=timezone.now(), message_id=asked)
    except OrderError as refusal:
        messages.error(request, sentence(refusal))
        return redirect("order", pk=pk)
    messages.success(
        request,
        gettext("The change is started. The order stays as it is until the customer approves the change."),
    )
    return redirect("inquiry", pk=draft.inquiry_id)
