"""A change of an order after its invoice: the difference, reviewed before it is invoiced or credited."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web import display
from catalog.web.access import OWNER, allow
from catalog.web.form_data import new_idempotency_key
from orders.invoices.change_services import change_credit_issue, change_invoice_draft
from orders.invoices.changes import change_to_bill
from orders.invoices.totals import DocumentTotals
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@allow(OWNER)
def order_settle_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a change adds to the invoice or takes off it; then draft the invoice, or issue the credit notes."""
    found = get_object_or_404(Order.objects.select_related("customer", "quote"), pk=pk)
    if request.method == "POST":
        try:
            return _settled(request, pk)
        except OrderError as refusal:
            messages.error(request, sentence(refusal))
            return redirect("order-settle-change", pk=pk)
    change = change_to_bill(found)
    if change is None:
        messages.success(request, gettext("Nothing is left to settle: the order is invoiced as it is now."))
        return redirect("order", pk=pk)
    context: dict[str, Any] = {"order": found, "change": change, "key": new_idempotency_key()}
    context["further"] = _rows(change.further) if change.further else []
    context["notes"] = [(one, _rows(one.totals)) for one in change.credits]
    return render(request, "orders/invoices/settle_change.html", context)


def _rows(totals: DocumentTotals) -> list[tuple[str, int]]:
    return [(row.name, net) for row, net in zip(totals.rows, totals.nets, strict=True)]


def _settled(request: HttpRequest, pk: int) -> HttpResponse:
    by, at = request.user.get_username(), timezone.now()
    if request.POST.get("do") != "credit":
        return redirect("invoice", change_invoice_draft(order_id=pk, by=by, at=at).pk)
    seen = request.POST.get("seen", "")
    known = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 16 else -1
    key = request.POST.get("idempotency_key", "")[:32] or new_idempotency_key()
    notes = change_credit_issue(
        order_id=pk, idempotency_key=key, seen_minor=known, mail="mail" in request.POST, by=by, at=at
    )
    numbers = display.joined([note.number or "" for note in notes])
    messages.success(request, gettext("Credit note %(number)s issued.") % {"number": numbers})
    return redirect("order", pk=pk)
