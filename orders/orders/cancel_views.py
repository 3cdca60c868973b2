"""Canceling an order: by the table of its terms where it has one, else as the owner decides about the payments."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext

from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from orders.invoices.order_money import order_money
from orders.invoices.selectors import standing_invoice
from orders.orders.cancel_forms import CancelByTermsForms
from orders.orders.cancel_presenters import canceling_shown
from orders.orders.cancel_services import order_cancel_by_terms
from orders.orders.canceling import Canceling, canceling
from orders.orders.forms import CancelForm
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.records.cancel_errors import CancelingChanged
from orders.records.errors import OrderError
from orders.records.presenters import sentence
from orders.records.states import ORDERS_AHEAD


@allow(OWNER)
def order_cancel_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel an order; its terms or the owner say what happens with the payments received."""
    found = get_object_or_404(Order.objects.select_related("customer", "quote"), pk=pk)
    terms = canceling(found, at=timezone.now()) if found.status in ORDERS_AHEAD else None
    return _without_a_table(request, found) if terms is None else _by_terms(request, found, terms)


def _without_a_table(request: HttpRequest, found: Order) -> HttpResponse:
    money = order_money(found)
    form = CancelForm(submitted_data(request), order=found, money=money)
    if request.method == "POST" and form.is_valid():
        try:
            order_cancel(order_id=found.pk, **form.cleaned_data, by=request.user.get_username(), at=timezone.now())
        except OrderError as refusal:
            form.add_error(None, sentence(refusal))
        else:
            return _canceled(request, found)
    return render(request, "orders/orders/cancel.html", {"order": found, "money": money, "form": form})


def _by_terms(request: HttpRequest, found: Order, terms: Canceling) -> HttpResponse:
    forms, now = (
        CancelByTermsForms(submitted_data(request), order=found, terms=terms, kitchen=kitchen()),
        timezone.now(),
    )
    if request.method == "POST" and forms.is_valid():
        decision = forms.decision()
        try:
            order_cancel_by_terms(order_id=found.pk, decision=decision, by=request.user.get_username(), at=now)
        except OrderError as refusal:
            forms.form.add_error(refusal.place if refusal.place in forms.form.fields else None, sentence(refusal))
            if isinstance(refusal, CancelingChanged):
                found.refresh_from_db()
                terms = canceling(found, at=now) or terms
                forms.show(terms)
        else:
            return _canceled(request, found)
    context = {
        "order": found,
        "money": order_money(found),
        "form": forms.form,
        "rows": forms.rows,
        "terms": terms,
        "shown": canceling_shown(terms, found),
        "standing": standing_invoice(found),
    }
    return render(request, "orders/orders/cancel_by_terms.html", context)


def _canceled(request: HttpRequest, found: Order) -> HttpResponse:
    messages.success(request, gettext("%(number)s is canceled.") % {"number": found.number})
    return redirect("order", found.pk)
