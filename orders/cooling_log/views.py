"""The page of an order's cooling: what has to be measured, what was, and a form for the next measurement."""

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.cooling.selectors import rule_in_force
from catalog.kitchen.selectors import kitchen
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.form_data import submitted_data
from catalog.web.roles import has_role
from orders.cooling_log.breach_services import breach_dismiss
from orders.cooling_log.forms import DismissForm, RecordForms
from orders.cooling_log.measurable_presenters import begins_words, measurable_shown, shown_met_words
from orders.cooling_log.measurables import measurable
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.presenters import marks_shown
from orders.cooling_log.remedies_left_presenters import second_try_words
from orders.cooling_log.selectors import cooling_marks
from orders.cooling_log.services import cooling_record_add
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


def _orders() -> QuerySet[Order]:
    return Order.objects.select_related("quote__inquiry").prefetch_related("lines__product")


@allow(OWNER, KITCHEN)
def order_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an order's cooling records, and record a measurement."""
    order = get_object_or_404(_orders(), pk=pk)
    # Before the transaction of a record: the Book and the verdicts are known inside it.
    items, now, chosen = measurable(order), timezone.now(), request.GET.get("item", "")
    facts: dict[str, Any] = {"items": items, "chosen": chosen, "now": now, "address": request.path}
    forms = RecordForms(submitted_data(request), kitchen=kitchen(), **facts)
    if request.method == "POST" and forms.is_valid() and _recorded(request, pk, forms):
        return redirect("order-cooling", pk)
    context = {
        "order": order,
        "owner": has_role(request, OWNER),
        "items": [measurable_shown(one) for one in items],
        "marks": marks_shown([order], cooling_marks([order])).get(order.pk, []),
        "form": forms.form,
        "rows": forms.rows,
        "all_forms": list(forms),
        "begins": begins_words(items),
        "shown_met": shown_met_words(items),
        "second_try": second_try_words(leaves_at(order), rule_in_force().legs, now),
    }
    return render(request, "orders/cooling_log/cooling.html", context)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def order_cooling_dismiss(request: HttpRequest, pk: int) -> HttpResponse:
    """Take away the mark of what an edit broke, where nothing was made by it."""
    order = get_object_or_404(Order.objects.prefetch_related("lines__product"), pk=pk)
    marks = [mark for mark in cooling_marks([order]).get(pk, {}).values() if mark.dismissible]
    form = DismissForm(submitted_data(request), marks=marks, initial={"item": request.GET.get("item", "")})
    if request.method == "POST" and form.is_valid() and _dismissed(request, pk, form):
        return redirect("order-cooling", pk)
    context = {"order": order, "form": form, "marks": marks_shown([order], {pk: {mark.item: mark for mark in marks}})}
    status = 422 if form.errors else 200
    return render(request, "orders/cooling_log/dismiss.html", context, status=status)


def _dismissed(request: HttpRequest, pk: int, form: DismissForm) -> bool:
    facts = {"item": form.dismissed(), "reason": form.cleaned_data["reason"]}
    try:
        name = breach_dismiss(order_id=pk, **facts, by=request.user.get_username(), at=timezone.now())
    except OrderError as refusal:
        form.add_error(refusal.place or None, sentence(refusal))
        return False
    messages.success(request, gettext("The mark of %(name)s is dismissed.") % {"name": name})
    return True


def _recorded(request: HttpRequest, pk: int, forms: RecordForms) -> bool:
    try:
        record = cooling_record_add(order_id=pk, data=forms.record(), by=request.user.get_username(), at=timezone.now())
    except OrderError as refusal:
        forms.add_refusal(refusal.place, sentence(refusal))
        return False
    messages.success(request, f"Recorded: {record.item}.")
    return True
