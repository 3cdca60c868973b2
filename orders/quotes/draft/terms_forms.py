"""The quote's terms, and why it may go below the floor."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.forms.formsets import BaseFormSet
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.cancellation import rows_read
from catalog.kitchen.cancellation_forms import retained_rows
from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import after_read, amounts_of, payments_read
from catalog.kitchen.payment_schedule_forms import (
    after_rows,
    deposit_amount_field,
    minor_or_none,
    money_or_none,
    payment_rows,
)
from catalog.web.fields import DayField, PercentField, WholeField
from orders.quotes.draft.services import Terms, end_of
from orders.quotes.models import Quote
from orders.quotes.terms.dates import Stated, TermsDates
from orders.quotes.terms.schedule import deposit_of
from orders.quotes.terms.selectors import dates_of, refusal_of
from orders.records.presenters import sentence


class TermsForm(forms.Form):
    """The terms of a quote, shown on the quote page besides the table."""

    deposit = PercentField(
        what=_("the deposit"), label=_("Deposit, % of total"), most=100, example="30", help_text=_("0 for none.")
    )
    deposit_days = WholeField(
        what=_("the days until the deposit is due"), label=_("Deposit due, days after approval"), least=0, most=365
    )
    balance_days = WholeField(
        what=_("the days until the balance is due"), label=_("Balance due, days after invoice"), least=0, most=365
    )
    final_count_fall = PercentField(
        what=_("how far the count may be lowered"),
        label=_("After that it may be lowered by, %"),
        most=100,
        example="10",
        required=False,
        help_text=_("Empty: as agreed with you. 0: not at all."),
    )
    cancellation_terms = forms.CharField(
        label=_("Cancellation terms"),
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("Consumer law may limit what you can keep. Ask somebody who knows yours."),
    )
    note = forms.CharField(
        label=_("Note to the customer"),
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_(
            "The first lines of the quote. If empty: “Thank you for asking us. Here is what we would make for you.”"
        ),
    )

    def __init__(
        self,
        *args: Any,
        kitchen: Kitchen,
        quote: Quote,
        now: datetime,
        begins: datetime | None = None,
        **kwargs: Any,
    ) -> None:
        self.zone = ZoneInfo(kitchen.time_zone)
        self.dates_with = partial(dates_of, quote, kitchen, at=now, begins=begins)
        self.dates, self.quote = self.dates_with(), quote
        kwargs.setdefault("initial", _terms_shown(quote, self.dates))
        super().__init__(*args, **kwargs)
        month_first = kitchen.locale.endswith("_US")
        self.fields["valid_until"] = DayField(
            what=_("the last day the quote is valid"),
            label=_("Valid until"),
            month_first=month_first,
            help_text=_("To the end of this day."),
        )
        self.fields["final_count_on"] = DayField(
            what=_("the date of the final guest count"),
            label=_("Final guest count by"),
            month_first=month_first,
            required=False,
        )
        self.fields["deposit_amount"] = deposit_amount_field(quote.currency)
        self.order_fields(("valid_until", "final_count_on", "final_count_fall"))

    def clean(self) -> dict[str, Any]:
        """Check that the days agree with each other, with the event and with the start of the work."""
        values = super().clean() or self.cleaned_data
        stated = self._stated()
        if stated.valid_until is not None and stated.valid_until.date() < self.dates.ahead.today:
            self.add_error("valid_until", gettext("This day has passed. Choose today or a later day."))
        if not self.errors.keys() & {"valid_until", "final_count_on"}:
            for found in self.dates_with(stated=stated).contradictions:
                self.add_error(str(found.term), sentence(refusal_of(found)))
        return values

    def _stated(self) -> Stated:
        """Return the days that are not the usual ones, as they were shown or as they are by themselves."""
        usual, values = self.dates_with(stated=Stated()), self.cleaned_data
        last, count = values.get("valid_until"), values.get("final_count_on")
        usual_days = {usual.valid_until.date(), *(() if self.quote.valid_until else (self.dates.valid_until.date(),))}
        counts = {usual.final_count_on, *((self.dates.final_count_on,) if self.quote.final_count_usual else ())}
        stated = Stated(
            valid_until=None if last is None or last in usual_days else end_of(last, self.zone),
            count_stated=count not in counts,
            final_count_on=count,
        )
        # A usual day that would be another one beside what she changed was on the page: it counts as hers.
        found = self.dates_with(stated=stated)
        return Stated(
            valid_until=end_of(last, self.zone) if last and found.valid_until.date() != last else stated.valid_until,
            count_stated=stated.count_stated or found.final_count_on != count,
            final_count_on=count,
        )

    def terms(self) -> Terms:
        """Return the terms; call it on a form without errors."""
        values, stated = self.cleaned_data, self._stated()
        return Terms(
            valid_until=stated.valid_until,
            deposit_share=values["deposit"],
            deposit_days=values["deposit_days"],
            balance_days=values["balance_days"],
            final_count_fall=values["final_count_fall"],
            deposit_fixed_minor=minor_or_none(values["deposit_amount"]),
            final_count_on=stated.final_count_on if stated.count_stated else None,
            final_count_usual=not stated.count_stated,
            cancellation_terms=values["cancellation_terms"],
            note=values["note"],
        )


def _terms_shown(quote: Quote, dates: TermsDates) -> dict[str, Any]:
    return {
        "valid_until": dates.valid_until.date(),
        "deposit": quote.deposit_share,
        "deposit_amount": money_or_none(quote.deposit_fixed_minor, quote.currency),
        "deposit_days": quote.deposit_days,
        "balance_days": quote.balance_days,
        "final_count_fall": quote.final_count_fall,
        "final_count_on": dates.final_count_on,
        "cancellation_terms": quote.cancellation_terms,
        "note": quote.note,
    }


class TermsForms:
    """The terms, the payments and the rows of the cancellation table, checked together.

    ``total_minor`` is the draft's total by today's prices; None where it cannot be priced.
    """

    def __init__(self, data: QueryDict | None, *, quote: Quote, total_minor: int | None = None, **facts: Any) -> None:
        self.terms_form = TermsForm(data, quote=quote, **facts)
        self.rows = retained_rows(data, list(rows_read(quote.cancellation_table)))
        self.payments = payment_rows(data, list(payments_read(quote.payments_before)), currency=quote.currency)
        self.after = after_rows(data, list(after_read(quote.payments_after)), currency=quote.currency)
        self.total_minor, self.currency = total_minor, quote.currency

    def __iter__(self) -> Iterator[forms.BaseForm | BaseFormSet[Any]]:
        return iter((self.terms_form, self.payments, self.after, self.rows))

    def is_valid(self) -> bool:
        """Check all, so that the page shows the errors of all."""
        return all([self.terms_form.is_valid(), self.rows.is_valid()]) & self._payments_fit() & self._balance_fits()

    def _payments_fit(self) -> bool:
        values = self.terms_form.cleaned_data
        if not self.payments.is_valid() or values.get("deposit") is None:
            return False
        amount = minor_or_none(values.get("deposit_amount"))
        facts: dict[str, Any] = {"total_minor": self.total_minor, "currency": self.currency}
        return self.payments.fits(values["deposit"], amount, **facts)

    def _balance_fits(self) -> bool:
        """Check what divides the balance against what the deposit and the payments before the event leave."""
        values = self.terms_form.cleaned_data
        if not self.after.is_valid() or values.get("balance_days") is None:
            return False
        balance = self._balance() if self.payments.is_valid() and values.get("deposit") is not None else None
        return self.after.fits(values["balance_days"], balance_minor=balance, currency=self.currency)

    def _balance(self) -> int | None:
        """Return what is left for after the invoice; None where it is not known."""
        values, rows = self.terms_form.cleaned_data, self.payments.rows()
        if self.total_minor is None:
            return 0 if any(row.takes_the_rest for row in rows) else None
        fixed, share = minor_or_none(values.get("deposit_amount")), Fraction(values["deposit"])
        deposit = deposit_of(self.total_minor, share, fixed)
        amounts = amounts_of(self.total_minor, deposit, rows, share=share if fixed is None else Fraction(0))
        return self.total_minor - deposit - sum(amounts)

    def terms(self) -> Terms:
        """Return the terms; call it on forms without errors."""
        payments, after = tuple(self.payments.rows()), tuple(self.after.rows())
        found = replace(self.terms_form.terms(), payments_before=payments, payments_after=after)
        return replace(found, cancellation_table=tuple(self.rows.rows()))


class ReasonForm(forms.Form):
    """Why a quote may go below the floor margin."""

    reason = forms.CharField(
        label=_("Reason for a margin below the floor"),
        max_length=300,
        help_text=_("Stored with the quote. The customer does not see it."),
        error_messages={"required": _("Enter why this quote may go below the floor margin.")},
    )
