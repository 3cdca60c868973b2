"""The quote's terms, and why it may go below the floor."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.kitchen.models import Kitchen
from catalog.web import display
from catalog.web.fields import DayField, PercentField, WholeField
from orders.quotes.draft.services import Terms, end_of
from orders.quotes.models import Quote


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

    def __init__(self, *args: Any, kitchen: Kitchen, quote: Quote, now: datetime, **kwargs: Any) -> None:
        self.now, self.quote, self.kitchen = now, quote, kitchen
        kwargs.setdefault("initial", _terms_shown(quote))
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
        self.order_fields(("valid_until", "final_count_on"))

    def clean(self) -> dict[str, Any]:
        """Check that the days are in a possible order."""
        values = super().clean() or self.cleaned_data
        today = timezone.localtime(self.now).date()
        event = timezone.localtime(self.quote.inquiry.window_start).date()
        last, count = values.get("valid_until"), values.get("final_count_on")
        if last and last < today:
            self.add_error("valid_until", gettext("This day has passed. Choose today or a later day."))
        if last and last > event:
            late = gettext("The event is on %(day)s. The quote cannot be valid longer.")
            self.add_error("valid_until", late % {"day": display.day(event)})
        if count and not today <= count <= event:
            between = gettext("Choose a day from today to the event on %(day)s.")
            self.add_error("final_count_on", between % {"day": display.day(event)})
        return values

    def terms(self) -> Terms:
        """Return the terms; call it on a form without errors."""
        values = self.cleaned_data
        return Terms(
            valid_until=end_of(values["valid_until"], ZoneInfo(self.kitchen.time_zone)),
            deposit_share=values["deposit"],
            deposit_days=values["deposit_days"],
            balance_days=values["balance_days"],
            final_count_on=values["final_count_on"],
            cancellation_terms=values["cancellation_terms"],
            note=values["note"],
        )


def _terms_shown(quote: Quote) -> dict[str, Any]:
    return {
        "valid_until": timezone.localtime(quote.valid_until).date() if quote.valid_until else None,
        "deposit": quote.deposit_share,
        "deposit_days": quote.deposit_days,
        "balance_days": quote.balance_days,
        "final_count_on": quote.final_count_on,
        "cancellation_terms": quote.cancellation_terms,
        "note": quote.note,
    }


class ReasonForm(forms.Form):
    """Why a quote may go below the floor margin."""

    reason = forms.CharField(
        label=_("Reason for a margin below the floor"),
        max_length=300,
        help_text=_("Stored with the quote. The customer does not see it."),
        error_messages={"required": _("Enter why this quote may go below the floor margin.")},
    )
