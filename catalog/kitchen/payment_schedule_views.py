"""The page of the kitchen's usual payment schedule."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.forms.formsets import BaseFormSet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.kitchen.part_services import PAYMENTS
from catalog.kitchen.payment_schedule import after_read, after_stored, payments_read, payments_stored
from catalog.kitchen.payment_schedule_forms import (
    after_rows,
    deposit_amount_field,
    minor_or_none,
    money_or_none,
    payment_rows,
    picked,
    ready_buttons,
    with_picked,
)
from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.fields import PercentField, WholeField
from catalog.web.form_data import submitted_data


class DepositForm(forms.Form):
    """The usual deposit, a share, or an amount that counts instead; and when the balance is due."""

    deposit = PercentField(what=_("the deposit"), label=_("Deposit, % of total"), most=100, example="30")

    balance_days = WholeField(
        what=_("the days until the balance is due"), label=_("Balance due, days after invoice"), least=0, most=730
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        amount = money_or_none(kitchen.deposit_minor, kitchen.currency)
        initial = {"deposit": kitchen.deposit_share, "deposit_amount": amount, "balance_days": kitchen.balance_days}
        kwargs.setdefault("initial", initial)
        super().__init__(*args, **kwargs)
        self.fields["deposit_amount"] = deposit_amount_field(kitchen.currency)


class ScheduleForms:
    """The deposit, the payments before the event and those after the invoice, checked together."""

    def __init__(self, home: Kitchen, data: QueryDict | None) -> None:
        self.deposit = DepositForm(data, kitchen=home)
        self.rows = payment_rows(data, list(payments_read(home.payments_before)), currency=home.currency)
        self.after = after_rows(data, list(after_read(home.payments_after)), currency=home.currency)
        self.currency = home.currency

    def __iter__(self) -> Iterator[forms.BaseForm | BaseFormSet[Any]]:
        return iter((self.deposit, self.rows, self.after))

    def is_valid(self) -> bool:
        """Check all, so that the page shows the errors of all."""
        if not all([self.deposit.is_valid(), self.rows.is_valid(), self.after.is_valid()]):
            return False
        share, amount = self.values()
        balance = 0 if any(row.takes_the_rest for row in self.rows.rows()) else None
        facts: dict[str, Any] = {"balance_minor": balance, "currency": self.currency}
        before = self.rows.fits(share, amount, total_minor=None, currency=self.currency)
        return self.after.fits(self.deposit.cleaned_data["balance_days"], **facts) and before

    def values(self) -> tuple[Decimal, int | None]:
        """Return the deposit's share, and the amount that counts instead; call it on a form without errors."""
        data = self.deposit.cleaned_data
        return data["deposit"], minor_or_none(data["deposit_amount"])


@allow(OWNER)
def payment_schedule(request: HttpRequest) -> HttpResponse:
    """Show and change what customers usually pay when."""
    if kitchen()._state.adding:
        return redirect("kitchen-profile")
    data = submitted_data(request)
    pick = picked(data)
    if data is not None and pick:
        data = with_picked(data)
    edit = Edit(data=data, load=kitchen, forms=ScheduleForms, version_of=PAYMENTS.version, page=request.path)
    if data is not None and not pick and edit.forms.is_valid():
        forms = edit.forms
        share, amount = forms.values()
        columns = {
            "deposit_share": share,
            "deposit_minor": amount,
            "payments_before": payments_stored(forms.rows.rows()),
            "payments_after": after_stored(forms.after.rows()),
            "balance_days": forms.deposit.cleaned_data["balance_days"],
        }
        if edit.saved(lambda version: PAYMENTS.save(columns, version=version)):
            messages.success(request, gettext("The payment schedule is saved."))
            return redirect("kitchen-payments")
    context = {"forms": edit.forms, "edit": edit, "picked": pick, "ready": ready_buttons()}
    return render(request, "catalog/kitchen/payment_schedule.html", context, status=edit.status())
