"""The form of the kitchen's bank account and payment page."""

from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.bank import (
    account_fits,
    bic_fits,
    compact,
    iban_fits,
    iban_printed,
    page_problem,
    pays_by_routing,
    routing_fits,
)
from catalog.kitchen.models import Kitchen

#: Columns of the kitchen's row that the form has.
COLUMNS: Final = ("bank_holder", "bank_iban", "bank_bic", "bank_routing", "bank_account", "payment_page")
_PAGE: Final = {
    "https": marked("Enter an address that begins with https://, so that nobody can read or change what is paid."),
    "address": marked(
        "This is no complete address of a page. Copy it from your browser, such as https://pay.example/me."
    ),
    "braces": marked("“%(near)s” cannot be filled in. Use {amount} and {reference} only."),
}


class BankForm(forms.Form):
    """Where customers pay: an account, by IBAN or routing number, and a payment page."""

    bank_holder = forms.CharField(
        label=_("Account holder"), max_length=70, required=False, help_text=_("As the bank has it.")
    )
    bank_iban = forms.CharField(label=_("IBAN"), max_length=60, required=False)
    bank_bic = forms.CharField(
        label=_("BIC"), max_length=20, required=False, help_text=_("For customers outside your country.")
    )
    bank_routing = forms.CharField(label=_("Routing number"), max_length=20, required=False)
    bank_account = forms.CharField(label=_("Account number"), max_length=30, required=False)
    payment_page = forms.CharField(
        label=_("Address of a payment page"),
        max_length=400,
        required=False,
        help_text=_(
            "Where customers can pay online. {amount} and {reference} in it are filled in, such as"
            " https://pay.example/me?sum={amount}&for={reference}."
        ),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {name: getattr(kitchen, name) for name in COLUMNS})
        kwargs["initial"]["bank_iban"] = iban_printed(kwargs["initial"]["bank_iban"])
        super().__init__(*args, **kwargs)
        self.kitchen = kitchen
        for name in ("bank_iban", "bank_bic") if pays_by_routing(kitchen) else ("bank_routing", "bank_account"):
            del self.fields[name]

    def clean_bank_iban(self) -> str:
        """Refuse an IBAN whose check digits do not fit."""
        text = compact(self.cleaned_data["bank_iban"])
        if text and not iban_fits(text):
            raise ValidationError(gettext("This IBAN has a mistake: its check digits do not fit. Compare each digit."))
        return text

    def clean_bank_bic(self) -> str:
        """Refuse what is no BIC."""
        text = compact(self.cleaned_data["bank_bic"])
        if text and not bic_fits(text):
            raise ValidationError(gettext("A BIC has 8 or 11 letters and digits. Copy it from your bank statement."))
        return text

    def clean_bank_routing(self) -> str:
        """Refuse a routing number whose check digit does not fit."""
        text = compact(self.cleaned_data["bank_routing"])
        if text and not routing_fits(text):
            raise ValidationError(
                gettext("This routing number has a mistake: it has nine digits, and the last one checks the others.")
            )
        return text

    def clean_bank_account(self) -> str:
        """Refuse an account number with anything but digits in it."""
        text = compact(self.cleaned_data["bank_account"])
        if text and not account_fits(text):
            raise ValidationError(gettext("An account number has 4 to 17 digits."))
        return text

    def clean_payment_page(self) -> str:
        """Refuse an address that is not safe, or cannot be filled in."""
        text: str = self.cleaned_data["payment_page"].strip()
        problem = page_problem(text) if text else None
        if problem is not None:
            raise ValidationError(gettext(_PAGE[problem.code]) % {"near": problem.near})
        return text

    def clean(self) -> dict[str, Any]:
        """Check that an account is whole: its number with its holder, and a routing number with an account number."""
        data = super().clean() or self.cleaned_data
        named = self.fields.keys() & {"bank_iban", "bank_routing", "bank_account"}
        numbers = {name: data.get(name) for name in sorted(named)}
        if any(numbers.values()) and not data.get("bank_holder"):
            self.add_error("bank_holder", gettext("Enter whose account it is: banks compare the name."))
        for name, number in numbers.items():
            if any(numbers.values()) and not number and name not in self.errors:
                words = gettext("Enter it too: a transfer needs the routing number and the account number.")
                self.add_error(name, words)
        if data.get("bank_bic") and not data.get("bank_iban") and "bank_iban" not in self.errors:
            self.add_error("bank_iban", gettext("Enter the IBAN too: a BIC names the bank alone."))
        return data

    def columns(self) -> dict[str, str]:
        """Return the columns; what the kitchen's country has no field for is empty."""
        return {name: self.cleaned_data.get(name, "") for name in COLUMNS}
