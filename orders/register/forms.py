"""Forms of the register's filter and of exports."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.web.period_form import PeriodForm
from orders.invoices.models import Invoice
from orders.register.filters import RegisterFilter


class RegisterForm(PeriodForm):
    """The register's filter, read from the address."""

    kind = forms.ChoiceField(
        label=_("Documents"),
        required=False,
        choices=[
            ("", _("Invoices and credit notes")),
            (Invoice.Kind.INVOICE.value, _("Invoices")),
            (Invoice.Kind.CREDIT_NOTE.value, _("Credit notes")),
        ],
    )
    standing = forms.ChoiceField(
        label=_("Status"),
        required=False,
        choices=[("", _("Any")), ("open", _("Not paid")), ("overdue", _("Overdue")), ("paid", _("Paid"))],
    )
    exported = forms.ChoiceField(
        label=_("Export"), required=False, choices=[("", _("Exported or not")), ("no", _("Not exported yet"))]
    )

    def chosen(self) -> RegisterFilter:
        """Return the filter; invalid values do not narrow it."""
        data = {name: value for name, value in getattr(self, "cleaned_data", {}).items() if value}
        names = ("kind", "standing", "first", "last", "find", "exported")
        return RegisterFilter(**{name: data[name] for name in names if name in data})


class ExportForm(PeriodForm):
    """The documents of an export."""

    currency = forms.CharField(max_length=3, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any):
        super().__init__(*args, kitchen=kitchen, required=True, **kwargs)
        del self.fields["find"]
        self.kitchen = kitchen
        self.order_fields(["first", "last", "currency"])

    def clean_currency(self) -> str:
        """Use the kitchen's currency when none is given."""
        return self.cleaned_data["currency"] or self.kitchen.currency
