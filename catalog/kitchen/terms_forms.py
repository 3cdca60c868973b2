"""The usual terms of a kitchen: what quotes begin with, as fields of the profile's form."""

from decimal import Decimal
from typing import TYPE_CHECKING

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import after_read, most_deposit, payments_read
from catalog.web.fields import PercentField, WholeField
from catalog.web.numbers import number_input

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def text_field(
    label: "StrOrPromise", *, most: int, ask: "StrOrPromise" = "", help_text: "StrOrPromise" = "", rows: int = 0
) -> forms.CharField:
    """Return the field of a text; it is required where there are words that ``ask`` for it."""
    field = forms.CharField(label=label, max_length=most, required=bool(ask), help_text=help_text)
    if rows:
        field.widget = forms.Textarea(attrs={"rows": rows})
    if ask:
        field.error_messages["required"] = ask
    return field


def _days(what: str, label: "StrOrPromise", help_text: "StrOrPromise") -> WholeField:
    return WholeField(what=what, least=0, most=730, label=label, help_text=help_text, unit=marked("days"), example="14")


class UsualTermsForm(forms.Form):
    """The usual terms, compared with the payment schedule."""

    quote_valid_days = WholeField(
        what=marked("how long a quote is valid"),
        least=1,
        most=730,
        label=_("Validity of a quote"),
        unit=marked("days"),
        example="14",
    )
    deposit_share = PercentField(
        what=marked("the deposit"), most=100, label=_("Deposit"), unit=marked("percent of the total"), example="30"
    )
    deposit_days = _days(marked("when the deposit is due"), _("Deposit is due"), _("Days after the customer approves."))
    final_count_days = _days(marked("when the final count is due"), _("Final count"), _("Days before the event."))
    final_count_fall = PercentField(
        what=marked("how far the count may be lowered"),
        most=100,
        label=_("After that it may be lowered by"),
        unit=marked("percent"),
        help_text=_("Stands on quotes. Empty: as agreed with you. 0: not at all."),
        example="10",
        required=False,
    )
    balance_days = _days(marked("when the balance is due"), _("Balance is due"), _("Days after the invoice."))
    cancellation_terms = text_field(_("If the customer cancels"), most=4000, rows=4)
    approve_button = text_field(
        _("Words on the customer's approve button"),
        most=80,
        ask=_("Enter the words on the approve button, such as Approve and commit to pay."),
        help_text=_("Say that pressing it is an order that has to be paid."),
    )
    payment_details = text_field(
        _("How to pay"), most=4000, rows=4, help_text=_("Bank account or other ways. Shown once a quote is approved.")
    )

    def terms_of(self, kitchen: Kitchen) -> None:
        """Compare with the payment schedule of a kitchen, and put the terms after all other fields."""
        # A deposit that is an amount counts instead of the share.
        rows = payments_read(kitchen.payments_before) if kitchen.deposit_minor is None else ()
        self.most_deposit = most_deposit(rows)
        self.least_balance_days = max((row.days + 1 for row in after_read(kitchen.payments_after)), default=0)
        self.order_fields([name for name in self.fields if name not in UsualTermsForm.base_fields])

    def clean_deposit_share(self) -> Decimal:
        """Refuse a deposit that is more than the payments before the event leave."""
        share: Decimal = self.cleaned_data["deposit_share"]
        if share > self.most_deposit:
            sentence = gettext(
                "With the payments before the event this is more than 100%%. Enter at most %(most)s, or change the"
                " payment schedule first."
            )
            raise ValidationError(sentence % {"most": number_input(self.most_deposit * 100)})
        return share

    def clean_balance_days(self) -> int:
        """Refuse a day of the balance that is not after every payment that divides it."""
        days: int = self.cleaned_data["balance_days"]
        if days < self.least_balance_days:
            sentence = gettext(
                "By the payment schedule, part of the balance is due %(latest)s days after the invoice. Enter at least"
                " %(least)s days, or change the payment schedule first."
            )
            raise ValidationError(sentence % {"latest": self.least_balance_days - 1, "least": self.least_balance_days})
        return days
