"""The rows of a payment schedule, on the page of the kitchen's terms and on those of a quote; ready ones to pick."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked
from djmoney.money import Money

from catalog.kitchen.payment_schedule import READY, PaymentRow
from catalog.records.money import money_of
from catalog.web import display
from catalog.web.fields import PercentField, WholeField
from catalog.web.money_fields import MoneyField
from catalog.web.numbers import number_input
from costing.money.rounding import half_up, minor_digits

#: Prefix of the rows' fields.
PREFIX: Final = "payments"
#: Prefix of the fields of what divides the balance.
AFTER: Final = "after"
#: Name of the buttons that pick a ready schedule.
PICK: Final = "pick"
#: Ready schedule -> what it is called.
READY_WORDS: Final[Mapping[str, str]] = {
    "after_invoice": marked("Deposit, the rest after the invoice"),
    "before_event": marked("Deposit, paid in full 14 days before the event"),
    "thirds": marked("Thirds: at approval, 60 and 14 days before the event"),
    "halves_after": marked("Deposit, the rest in halves 14 and 45 days after the invoice"),
}
BOTH: Final = _("Enter a percentage or an amount, not both.")
TWICE: Final = _("This number of days is entered twice. Remove one of the rows.")


def minor_or_none(amount: Money | None) -> int | None:
    """Return an amount that may be missing in whole minor units of its currency."""
    return None if amount is None else int(amount.amount.scaleb(minor_digits(amount.currency.code)))


def money_or_none(minor: int | None, currency: str) -> Money | None:
    """Return whole minor units that may be missing as money."""
    return None if minor is None else money_of(Decimal(minor).scaleb(-minor_digits(currency)), currency)


def deposit_amount_field(currency: str) -> MoneyField:
    """Return the field of a deposit that is an amount instead of a share."""
    words = {"what": _("the deposit"), "label": _("Deposit as an amount"), "help_text": _("Instead of a percentage.")}
    return _amount_field(currency, **words)


def _amount_field(currency: str, **words: Any) -> MoneyField:
    """Return the field of an amount that may stand instead of a share."""
    return MoneyField(currency=currency, charged=True, unit=currency, above=0, required=False, example="500", **words)


class PaymentRowForm(forms.Form):
    """A payment before the event: a share, an amount, or all that is left; an empty row is ignored."""

    days = WholeField(
        what=_("the days before the event"),
        label=_("Due, days before the event"),
        least=0,
        most=730,
        example="14",
        required=False,
    )
    share = PercentField(what=_("the payment"), label=_("% of total"), most=100, example="40", required=False)

    ask_days = _("Enter how many days before the event this payment is due.")
    nothing = _("Enter more than 0, or leave it empty for all that is left.")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"] = _amount_field(currency, what=_("the payment"), label=_("or amount"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = {key: data.get(key) is not None or key in self.errors for key in ("days", "share", "amount")}
        if (given["share"] or given["amount"]) and not given["days"]:
            self.add_error("days", self.ask_days)
        if given["share"] and given["amount"]:
            self.add_error("amount", BOTH)
        elif data.get("share") == 0:
            self.add_error("share", self.nothing)
        return data

    def row(self) -> PaymentRow | None:
        """Return the row; None of one that is empty, removed or not right."""
        if not self.is_valid() or self.cleaned_data.get("DELETE") or self.cleaned_data.get("days") is None:
            return None
        data = self.cleaned_data
        return PaymentRow(data["days"], data.get("share"), minor_or_none(data.get("amount")))


class BasePaymentFormSet(forms.BaseFormSet[PaymentRowForm]):
    """A schedule: each day once, and nothing after the row that takes all that is left."""

    row_word = marked("Payment")

    def clean(self) -> None:
        taken: PaymentRow | None = None
        seen: set[int] = set()
        for form, row in self.in_order():
            if row.days in seen:
                form.add_error("days", TWICE)
            elif taken is not None:
                form.add_error(
                    "days",
                    gettext(
                        "The payment %(days)s days before the event takes all that is left. Enter a percentage or an "
                        "amount there, or remove this row."
                    )
                    % {"days": taken.days},
                )
            seen.add(row.days)
            taken = row if row.takes_the_rest else taken

    def in_order(self) -> list[tuple[PaymentRowForm, PaymentRow]]:
        """Return the rows with their forms, what is due first first."""
        found = [(form, row) for form in self.forms if (row := form.row()) is not None]
        return sorted(found, key=lambda one: -one[1].days)

    def rows(self) -> list[PaymentRow]:
        """Return the schedule; call it on rows without errors."""
        return [row for _, row in self.in_order()]

    def fits(self, share: Decimal, amount_minor: int | None, *, total_minor: int | None, currency: str) -> bool:
        """Check that the rows and the deposit are not more than the whole; a row with too much gets an error.

        The deposit is a ``share``, or an ``amount_minor``; the total is None where it is not known.
        """
        left = Decimal(1) if amount_minor is not None else 1 - share
        for form, row in self.in_order():
            if row.share is not None and row.share > left:
                form.add_error("share", _too_much(max(left, Decimal(0))))
                return False
            left -= row.share or 0
        return total_minor is None or self._amounts_fit(share, amount_minor, total_minor, currency)

    def _amounts_fit(self, share: Decimal, amount_minor: int | None, total_minor: int, currency: str) -> bool:
        left = total_minor - (half_up(total_minor * Fraction(share)) if amount_minor is None else amount_minor)
        for form, row in self.in_order():
            amount = row.amount_minor or half_up(total_minor * Fraction(row.share or 0))
            # A share is cut to what rounding leaves.
            if row.amount_minor is not None and amount > left:
                words = gettext("The payments add up to more than the total of %(total)s. Enter at most %(most)s here.")
                facts = {"total": display.minor(total_minor, currency), "most": display.minor(max(left, 0), currency)}
                form.add_error("amount", words % facts)
                return False
            left -= amount
        return True


class AfterRowForm(PaymentRowForm):
    """A payment that divides the balance: a share of it, or an amount; an empty row is ignored."""

    days = WholeField(
        what=_("the days after the invoice"),
        label=_("Due, days after the invoice"),
        least=0,
        most=730,
        example="14",
        required=False,
    )
    share = PercentField(what=_("the payment"), label=_("% of balance"), most=100, example="50", required=False)

    ask_days = _("Enter how many days after the invoice this payment is due.")
    nothing = _("Enter more than 0, or remove this row.")

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("days") is not None and not any(
            data.get(key) is not None or key in self.errors for key in ("share", "amount")
        ):
            self.add_error("share", gettext("Enter a percentage or an amount: what is left is the last payment."))
        return data


class BaseAfterFormSet(forms.BaseFormSet[AfterRowForm]):
    """What divides the balance: each day once, all before the day of the balance, and something is left for that."""

    row_word = marked("Payment")

    def clean(self) -> None:
        seen: set[int] = set()
        for form, row in self.in_order():
            if row.days in seen:
                form.add_error("days", TWICE)
            seen.add(row.days)

    def in_order(self) -> list[tuple[AfterRowForm, PaymentRow]]:
        """Return the rows with their forms, what is due first first."""
        found = [(form, row) for form in self.forms if (row := form.row()) is not None]
        return sorted(found, key=lambda one: one[1].days)

    def rows(self) -> list[PaymentRow]:
        """Return the rows; call it on rows without errors."""
        return [row for _, row in self.in_order()]

    def fits(self, balance_days: int, *, balance_minor: int | None, currency: str) -> bool:
        """Check the rows against the day and the amount of the balance; one that does not fit gets an error.

        ``balance_minor`` is None where it is not known.
        """
        left = Decimal(1)
        for form, row in self.in_order():
            if row.days >= balance_days:
                form.add_error("days", _too_late(balance_days))
                return False
            if row.share is not None and row.share >= left:
                form.add_error("share", _nothing_left(left))
                return False
            left -= row.share or 0
        return balance_minor is None or self._amounts_fit(balance_minor, currency)

    def _amounts_fit(self, balance_minor: int, currency: str) -> bool:
        rows = self.in_order()
        if rows and not balance_minor:
            words = gettext("With the payments before the event nothing is left after the invoice. Remove this row.")
            rows[0][0].add_error("days", words)
            return False
        left = balance_minor
        for form, row in rows:
            amount = row.amount_minor or half_up(balance_minor * Fraction(row.share or 0))
            if row.amount_minor is not None and amount >= left:
                words = gettext(
                    "These payments are all of the balance of %(balance)s or more. Enter less than %(most)s here."
                )
                facts = {"balance": display.minor(balance_minor, currency), "most": display.minor(left, currency)}
                form.add_error("amount", words % facts)
                return False
            left -= amount
        return True


def _too_late(balance_days: int) -> str:
    if not balance_days:
        return gettext("The balance is due with the invoice. Give it more days, or remove this row.")
    words = gettext("The balance is due %(days)s days after the invoice. Enter fewer days, or give the balance more.")
    return words % {"days": balance_days}


def _nothing_left(left: Decimal) -> str:
    words = gettext("These payments are all of the balance or more. Enter less than %(most)s%% here.")
    return words % {"most": number_input(left * 100)}


def _too_much(left: Decimal) -> str:
    if not left:
        return gettext("The payments before this one are 100% of the total already. Remove this row.")
    words = gettext(
        "The payments add up to more than 100%%. Enter at most %(most)s%% here, or leave it empty for all that is left."
    )
    return words % {"most": number_input(left * 100)}


PaymentFormSet = forms.formset_factory(
    PaymentRowForm, formset=BasePaymentFormSet, extra=1, can_delete=True, max_num=12, absolute_max=20
)
AfterFormSet = forms.formset_factory(
    AfterRowForm, formset=BaseAfterFormSet, extra=1, can_delete=True, max_num=12, absolute_max=20
)


def payment_rows(data: Any, rows: list[PaymentRow], *, currency: str) -> BasePaymentFormSet:
    """Return the rows of a form: as submitted, or as stored."""
    facts: dict[str, Any] = {"initial": _initial(rows, currency), "form_kwargs": {"currency": currency}}
    return cast(BasePaymentFormSet, PaymentFormSet(data, prefix=PREFIX, **facts))


def after_rows(data: Any, rows: list[PaymentRow], *, currency: str) -> BaseAfterFormSet:
    """Return the rows that divide the balance: as submitted, or as stored."""
    facts: dict[str, Any] = {"initial": _initial(rows, currency), "form_kwargs": {"currency": currency}}
    return cast(BaseAfterFormSet, AfterFormSet(data, prefix=AFTER, **facts))


def _initial(rows: list[PaymentRow], currency: str) -> list[dict[str, Any]]:
    return [{"days": row.days, "share": row.share, "amount": money_or_none(row.amount_minor, currency)} for row in rows]


def picked(data: QueryDict | None) -> str:
    """Return the ready schedule that was picked in a form; empty where none was."""
    code = "" if data is None else str(data.get(PICK, ""))
    return code if code in READY else ""


def with_picked(data: QueryDict) -> QueryDict:
    """Return the submitted data with the ready schedule that was picked."""
    ready, filled = READY[picked(data)], data.copy()
    for prefix, rows in ((PREFIX, ready.rows), (AFTER, ready.after)):
        for name in [name for name in filled if name.startswith(f"{prefix}-")]:
            del filled[name]
        filled[f"{prefix}-TOTAL_FORMS"], filled[f"{prefix}-INITIAL_FORMS"] = str(len(rows) + 1), "0"
        for place, row in enumerate(rows):
            filled[f"{prefix}-{place}-days"] = str(row.days)
            filled[f"{prefix}-{place}-share"] = "" if row.share is None else number_input(row.share * 100)
    if ready.deposit is not None:
        filled["deposit"], filled["deposit_amount"] = number_input(ready.deposit * 100), ""
    if ready.balance_days is not None:
        filled["balance_days"] = str(ready.balance_days)
    return filled


def ready_buttons() -> list[tuple[str, str]]:
    """Return the ready schedules with their names."""
    return [(code, gettext(words)) for code, words in READY_WORDS.items()]
