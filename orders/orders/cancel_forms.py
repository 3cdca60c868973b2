"""The form that cancels an order by the table of its terms."""

from typing import Any, Final, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.cancellation_forms import tax_choices
from catalog.kitchen.models import Kitchen
from orders.invoices.forms import amount_field
from orders.orders.cancel_services import Decision
from orders.orders.canceling import Canceling
from orders.orders.models import Order
from orders.records.money import from_minor, minor_units

#: Prefix of the rows of begun work and bought goods.
PREFIX: Final = "goods"
_WHO: Final = _("Choose who cancels.")


class CancelByTermsForm(forms.Form):
    """Who cancels and why; of the customer's cancellation what is charged, and how that is taxed."""

    who = forms.ChoiceField(
        label=_("Who cancels"),
        choices=[
            (Order.CanceledBy.CUSTOMER, _("The customer: the terms apply")),
            (Order.CanceledBy.KITCHEN, _("The kitchen: everything paid goes back")),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": _WHO, "invalid_choice": _WHO},
    )
    reason = forms.CharField(
        label=_("Reason for canceling"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Enter why the order is canceled.")},
    )
    retained_reason = forms.CharField(
        label=_("Why you charge less"),
        max_length=300,
        required=False,
        help_text=_("Only if you charge less than the terms say. Stored with the order; the customer does not see it."),
    )
    seen = forms.CharField(max_length=40, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, order: Order, terms: Canceling, kitchen: Kitchen, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.terms = terms
        self.initial: dict[str, Any] = {"seen": terms.mark, "tax": str(kitchen.cancellation_tax_id or "")}
        if terms.most_minor:
            self.fields["retained"] = amount_field(
                order.currency,
                what=_("the cancellation charge"),
                label=_("Cancellation charge"),
                required=False,
                help_text=_("You may charge less, but not more than the terms say. Empty: what they say."),
            )
            self.initial["retained"] = from_minor(terms.most_minor, order.currency)
            self.fields["tax"] = forms.ChoiceField(
                label=_("Tax category of the charge"),
                choices=[("", gettext("Choose a category")), *tax_choices()],
                required=False,
                help_text=_("Whether a cancellation charge is taxed is for a licensed accountant to say."),
            )
        else:
            del self.fields["retained_reason"]

    def values(self, goods: list[tuple[str, int]]) -> Decision:
        """Return the decision; call it on a form without errors."""
        data = self.cleaned_data
        customers, charge, tax = data["who"] == Order.CanceledBy.CUSTOMER, data.get("retained"), data.get("tax")
        return Decision(
            by=data["who"],
            reason=data["reason"],
            retained_minor=minor_units(charge) if customers and charge is not None else None,
            retained_reason=data.get("retained_reason", "") if customers else "",
            tax_id=int(tax) if customers and tax else None,
            goods=goods,
            # Without it a form shows no terms that somebody could decide by.
            seen=data["seen"] or "unseen",
        )


class GoodsForm(forms.Form):
    """Begun work or bought goods with their amount, for the record; an empty row is ignored."""

    name = forms.CharField(label=_("Begun work or bought goods"), max_length=120, required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.fields["amount"] = amount_field(
            currency, what=_("the amount"), label=_("Amount"), required=False, example="40"
        )
        self.order_fields(["name", "amount"])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("amount") is not None and not data.get("name") and "name" not in self.errors:
            self.add_error("name", gettext("Enter what the amount is for, such as Raspberries."))
        return data


class BaseGoodsFormSet(forms.BaseFormSet[GoodsForm]):
    """Begun work and bought goods."""

    row_word = marked("Item")

    def goods(self) -> list[tuple[str, int]]:
        """Return the rows that are filled in and not removed; whole minor units."""
        rows = [form.cleaned_data for form in self.forms if form.is_valid()]
        return [
            (row["name"], minor_units(row["amount"]) if row.get("amount") is not None else 0)
            for row in rows
            if row.get("name") and not row.get("DELETE")
        ]


GoodsFormSet = forms.formset_factory(
    GoodsForm, formset=BaseGoodsFormSet, extra=1, can_delete=True, max_num=30, absolute_max=40
)


class CancelByTermsForms:
    """The form and its rows, checked together."""

    def __init__(self, data: QueryDict | None, *, order: Order, terms: Canceling, kitchen: Kitchen) -> None:
        self.form = CancelByTermsForm(data, order=order, terms=terms, kitchen=kitchen)
        rows = GoodsFormSet(data, prefix=PREFIX, form_kwargs={"currency": order.currency})
        self.rows = cast(BaseGoodsFormSet, rows)

    def is_valid(self) -> bool:
        """Check both, so that the page shows the errors of both."""
        return all([self.form.is_valid(), self.rows.is_valid()])

    def decision(self) -> Decision:
        """Return what was decided; call it on forms without errors."""
        return self.form.values(self.rows.goods())

    def show(self, terms: Canceling) -> None:
        """Let the form stand for terms as they are by now: canceling again is a decision by them."""
        data = QueryDict(mutable=True)
        data.update(self.form.data)
        data["seen"] = terms.mark
        self.form.data = data
