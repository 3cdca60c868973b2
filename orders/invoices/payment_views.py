"""Payments: recorded on the order, listed, reversed."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen, local_day
from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.display import minor
from catalog.web.form_data import submitted_data
from catalog.web.pages import query_without_page
from catalog.web.period_form import PeriodForm
from orders.invoices.forms import PaymentForm, ReverseForm
from orders.invoices.models import Payment
from orders.invoices.order_money import order_money
from orders.invoices.payments import payment_record, payment_reverse
from orders.invoices.receivables import payments_listed
from orders.invoices.schedule import schedule_of
from orders.mail.addresses import can_be_written_to
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@allow(OWNER, BOOKKEEPER)
def order_pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a deposit, a payment or a refund of an order."""
    found = get_object_or_404(Order.objects.select_related("customer"), pk=pk)
    now, money = timezone.now(), order_money(found)
    today = local_day(now)
    scheduled = schedule_of(found, received=money.received, today=today)
    facts: dict[str, Any] = {"order": found, "money": money, "today": today, "kitchen": kitchen()}
    facts["scheduled"] = scheduled
    form = PaymentForm(submitted_data(request), **facts)
    if request.method == "POST" and form.is_valid():
        try:
            paid = payment_record(order_id=pk, **form.payment(), by=request.user.get_username(), at=now)
        except OrderError as refusal:
            form.add_error("amount", sentence(refusal))
        else:
            facts = {"kind": paid.get_kind_display(), "amount": minor(abs(paid.amount_minor), paid.currency)}
            done = gettext("Recorded: %(kind)s of %(amount)s on %(order)s.")
            messages.success(request, done % {**facts, "order": found.number})
            return redirect("order", pk)
    context = {
        "order": found,
        "money": money,
        "scheduled": scheduled,
        "form": form,
        "can_confirm": can_be_written_to(found.customer.email),
    }
    return render(request, "orders/invoices/pay.html", context)


@allow(OWNER, BOOKKEEPER)
def payment_reverse_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Reverse a mistaken payment."""
    found = get_object_or_404(Payment.objects.select_related("order__customer"), pk=pk)
    form = ReverseForm(submitted_data(request))
    if request.method == "POST" and form.is_valid():
        note, by = form.cleaned_data["note"], request.user.get_username()
        try:
            payment_reverse(payment_id=pk, note=note, by=by, at=timezone.now())
        except OrderError as refusal:
            form.add_error(None, sentence(refusal))
        else:
            messages.success(request, gettext("Payment reversed. Both entries stay in the list."))
            return redirect("order", found.order_id)
    return render(request, "orders/invoices/reverse.html", {"payment": found, "form": form})


@require_safe
@allow(OWNER, BOOKKEEPER)
def money_payments(request: HttpRequest) -> HttpResponse:
    """List payments and refunds."""
    form = PeriodForm(request.GET, kitchen=kitchen())
    form.is_valid()
    first, last = form.period()
    listed = payments_listed(first=first, last=last, find=form.cleaned_data.get("find", ""))
    page = Paginator(listed, 50).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "query": query_without_page(request)}
    return render(request, "orders/invoices/payments.html", context)
