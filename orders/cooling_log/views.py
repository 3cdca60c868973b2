"""The page of an order's cooling: what has to be measured, what was, and a form for the next measurement."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from catalog.kitchen.selectors import kitchen
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.form_data import submitted_data
from orders.cooling_log.forms import RecordForms
from orders.cooling_log.presenters import SECOND_TRY, begins_words, marks_shown, measurable_shown, shown_met_words
from orders.cooling_log.selectors import cooling_marks, measurable
from orders.cooling_log.services import cooling_record_add
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.presenters import sentence


@allow(OWNER, KITCHEN)
def order_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an order's cooling records, and record a measurement."""
    order = get_object_or_404(Order.objects.prefetch_related("lines__product"), pk=pk)
    # Before the transaction of a record: the Book and the verdicts are known inside it.
    items, now, chosen = measurable(order), timezone.now(), request.GET.get("item", "")
    forms = RecordForms(submitted_data(request), items=items, chosen=chosen, kitchen=kitchen(), now=now)
    if request.method == "POST" and forms.is_valid() and _recorded(request, pk, forms):
        return redirect("order-cooling", pk)
    context = {
        "order": order,
        "items": [measurable_shown(one) for one in items],
        "marks": marks_shown([order], cooling_marks([order])).get(order.pk, []),
        "form": forms.form,
        "rows": forms.rows,
        "all_forms": list(forms),
        "begins": begins_words(items),
        "shown_met": shown_met_words(items),
        "second_try": SECOND_TRY,
    }
    return render(request, "orders/cooling_log/cooling.html", context)


def _recorded(request: HttpRequest, pk: int, forms: RecordForms) -> bool:
    try:
        record = cooling_record_add(order_id=pk, data=forms.record(), by=request.user.get_username(), at=timezone.now())
    except OrderError as refusal:
        forms.add_refusal(refusal.place, sentence(refusal))
        return False
    messages.success(request, f"Recorded: {record.item}.")
    return True
