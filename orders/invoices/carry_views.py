"""The page on which credit of an order is used for another order of its customer."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.web.access import BOOKKEEPER, OWNER, allow
from catalog.web.display import minor
from catalog.web.form_data import new_idempotency_key, submitted_data
from orders.invoices.carried_credit import carried_to, credit_carry, spare_of
from orders.invoices.forms import amount_field
from orders.invoices.order_money import order_money
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.money import from_minor, minor_units
from orders.records.presenters import sentence


class CarryForm(forms.Form):
    """How much of an order's credit is used for which other order."""

    idempotency_key = forms.CharField(max_length=32, widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, order: Order, spare: int, others: Sequence[tuple[Order, int]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        choose = _("Choose the order that uses it.")
        self.fields["to"] = forms.ChoiceField(
            label=_("Order that uses it"),
            choices=[(str(one.pk), self._words(one, left)) for one, left in others],
            error_messages={"required": choose, "invalid_choice": choose},
        )
        self.fields["amount"] = amount_field(order.currency, what=_("the amount"), label=_("Amount"), above=0)
        first = min(spare, others[0][1]) if others else 0
        self.initial = {"amount": from_minor(first, order.currency), "idempotency_key": new_idempotency_key()}

    @staticmethod
    def _words(order: Order, left: int) -> str:
        facts = {"number": order.number, "title": order.title, "left": minor(left, order.currency)}
        return gettext("%(number)s %(title)s, %(left)s not paid") % facts

    def carried(self) -> dict[str, Any]:
        """Return what the service takes."""
        data = self.cleaned_data
        key = data["idempotency_key"] or new_idempotency_key()
        return {"to_id": int(data["to"]), "amount_minor": minor_units(data["amount"]), "idempotency_key": key}


@allow(OWNER, BOOKKEEPER)
def order_carry(request: HttpRequest, pk: int) -> HttpResponse:
    """Use credit of an order for another order of its customer."""
    found = get_object_or_404(Order.objects.select_related("customer"), pk=pk)
    spare, others = spare_of(found, order_money(found)), carried_to(found)
    form = CarryForm(submitted_data(request), order=found, spare=spare, others=others)
    if request.method == "POST" and form.is_valid():
        try:
            paid = credit_carry(order_id=pk, **form.carried(), by=request.user.get_username(), at=timezone.now())
        except OrderError as refusal:
            form.add_error("amount", sentence(refusal))
        else:
            facts = {"amount": minor(paid.amount_minor, paid.currency), "order": paid.order.number}
            messages.success(request, gettext("%(amount)s used for order %(order)s.") % facts)
            return redirect("order", paid.order_id)
    context = {"order": found, "spare": spare, "others": others, "form": form}
    return render(request, "orders/invoices/carry.html", context)
