"""Forms of invoices, credit notes and payments."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Kitchen
from catalog.web.display import minor
from catalog.web.fields import DayField
from catalog.web.form_data import new_idempotency_key
from catalog.web.money_fields import MoneyField
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import OrderMoney
from orders.invoices.schedule import Scheduled
from orders.invoices.selectors import CreditableRow
from orders.mail.selectors import mail_leaves
from orders.orders.models import Order
from orders.records.money import from_minor, minor_units

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

#: Largest amount: more than any order, and less than the database's integers hold.
MOST = 1_000_000_000


def amount_field(currency: str, *, what: "StrOrPromise", label: "StrOrPromise", **options: Any) -> MoneyField:
    """Return a field for money in a currency, with its decimals."""
    return MoneyField(currency=currency, charged=True, what=what, label=label, unit=currency, most=MOST, **options)


class PaymentForm(forms.Form):
    """A payment or a refund."""

    kind = forms.ChoiceField(
        label=_("Type"),
        choices=Payment.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose deposit, payment or refund."),
            "invalid_choice": _("Choose deposit, payment or refund."),
        },
    )
    # Not "method": in the browser a field of that name hides the form's own.
    means = forms.ChoiceField(
        label=_("Payment method"),
        choices=[
            ("", _("Choose a method")),
            *(choice for choice in Payment.Method.choices if choice[0] != Payment.Method.CREDIT),
        ],
        error_messages={"required": _("Choose a payment method."), "invalid_choice": _("Choose a payment method.")},
    )
    reference = forms.CharField(
        label=_("Reference"), max_length=80, required=False, help_text=_("As on the bank statement, check or receipt.")
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)
    over = forms.BooleanField(label=_("Yes, record it as overpaid"), required=False)
    confirm = forms.BooleanField(label=_("Confirm it to the customer by e-mail"), required=False)
    idempotency_key = forms.CharField(max_length=32, widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        *args: Any,
        order: Order,
        money: OrderMoney,
        scheduled: Sequence[Scheduled] = (),
        today: date,
        kitchen: Kitchen,
        **kwargs: Any,
    ):
        super().__init__(*args, **kwargs)
        self.today, self.money, self.currency = today, money, order.currency
        self.fields["amount"] = amount_field(order.currency, what=_("the amount"), label=_("Amount"), above=0)
        self.fields["received_on"] = DayField(
            what=_("the date"), label=_("Date paid or refunded"), month_first=kitchen.country == "US"
        )
        self.order_fields(["kind", "amount", "received_on", "means", "reference", "note", "idempotency_key"])
        self.initial = {
            **_first_payment(money, scheduled, order.currency),
            "received_on": today,
            "idempotency_key": new_idempotency_key(),
            "confirm": mail_leaves(),
            **self.initial,
        }

    def clean_received_on(self) -> date:
        """Refuse a day in the future."""
        day: date = self.cleaned_data["received_on"]
        if day > self.today:
            late = gettext("This date is in the future. Enter today or an earlier date.")
            raise ValidationError(late, code="future")
        return day

    def clean_idempotency_key(self) -> str:
        """Create a new key for a form that has none; it then counts as a new payment."""
        return self.cleaned_data["idempotency_key"] or new_idempotency_key()

    @property
    def asks_over(self) -> bool:
        """Whether the form has to ask, or has asked, if more than the balance was paid."""
        return self.is_bound and ("over" in self.errors or bool(self.cleaned_data.get("over")))

    def clean(self) -> dict[str, Any]:
        """Ask about a payment of more than the balance; a form that was recorded before is not asked again."""
        values: dict[str, Any] = super().clean() or self.cleaned_data
        kind, amount = values.get("kind"), values.get("amount")
        if not kind or kind == Payment.Kind.REFUND or amount is None or values["over"]:
            return values
        due = max(0, self.money.balance) if self.money.billed else self.money.agreed_open
        more = minor_units(amount) - due
        if more > 0 and not Payment.objects.filter(idempotency_key=values.get("idempotency_key")).exists():
            asked = gettext("%(amount)s is %(more)s more than the balance: record it as overpaid?")
            words = {"amount": minor(minor_units(amount), self.currency), "more": minor(more, self.currency)}
            self.add_error("over", asked % words)
        return values

    def payment(self) -> dict[str, Any]:
        """Return what the service takes."""
        data = self.cleaned_data
        same = ("kind", "received_on", "reference", "note", "idempotency_key", "confirm")
        paid = {"amount_minor": minor_units(data["amount"]), "method": data["means"]}
        return paid | {name: data[name] for name in same}


def _first_payment(money: OrderMoney, scheduled: Sequence[Scheduled], currency: str) -> dict[str, Any]:
    """Suggest the most likely payment: the next of the schedule, then the balance, or a refund."""
    asked = next((one for one in scheduled if one.open), None)
    if money.billed and money.balance > 0:
        kind, amount = Payment.Kind.PAYMENT, money.balance
    elif money.billed and money.credit:
        kind, amount = Payment.Kind.REFUND, money.credit
    elif asked is not None:
        kind, amount = Payment.Kind(asked.kind), asked.open
    else:
        kind, amount = Payment.Kind.PAYMENT, money.agreed_open
    return {"kind": kind, "amount": from_minor(amount, currency) if amount else None}


class ReverseForm(forms.Form):
    """Why a recorded payment is reversed."""

    note = forms.CharField(
        label=_("Reason"),
        max_length=200,
        help_text=_("The payment stays in the list. An entry that reverses it is added, with this reason."),
        error_messages={"required": _("Enter the reason, such as recorded on the wrong order.")},
    )


class IssueForm(forms.Form):
    """Whether the customer gets the invoice by mail."""

    mail = forms.BooleanField(label=_("E-mail it to the customer"), required=False)


class CreditForm(forms.Form):
    """All of an invoice, or amounts of its rows; ``asked`` are sentences of the reason to check, each with its mark."""

    asked: Sequence[tuple[str, str]] = ()

    how = forms.ChoiceField(
        label=_("Credit"),
        choices=[("all", _("everything not credited yet")), ("parts", _("the amounts below"))],
        widget=forms.RadioSelect,
        initial="all",
        error_messages={"required": _("Choose what to credit."), "invalid_choice": _("Choose what to credit.")},
    )
    reason = forms.CharField(
        label=_("Reason"),
        max_length=300,
        help_text=_("It is printed on the credit note."),
        error_messages={"required": _("Enter the reason, such as twelve lemon cups arrived broken.")},
    )
    mail = forms.BooleanField(label=_("E-mail it to the customer"), required=False)
    idempotency_key = forms.CharField(max_length=32, widget=forms.HiddenInput, required=False)
    #: The total that the review showed, in minor units; empty before the review.
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0, max_value=MOST * 100)

    def __init__(self, *args: Any, invoice: Invoice, rows: Sequence[CreditableRow], **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("idempotency_key", new_idempotency_key())
        self.rows = [row for row in rows if row.left > 0]
        for row in self.rows:
            most = minor(row.left, invoice.currency)
            self.fields[_name(row)] = amount_field(
                invoice.currency,
                what=gettext("the amount for %(item)s") % {"item": row.line.name},
                label=gettext("Credit for %(item)s, at most %(most)s") % {"item": row.line.name, "most": most},
                least=0,
                required=False,
            )

    def lines(self) -> list[tuple[CreditableRow, forms.BoundField]]:
        """Pair each row with its field."""
        return [(row, self[_name(row)]) for row in self.rows]

    def clean(self) -> dict[str, Any]:
        """Ask for an amount when parts are credited, for none beside everything, and for none above what is left."""
        data = super().clean() or {}
        if data.get("how") != "parts":
            if any(data.get(_name(row)) for row in self.rows):
                self.add_error("how", gettext(_BOTH))
            return data
        for row in self.rows:
            amount, left = data.get(_name(row)), from_minor(row.left, row.line.invoice.currency)
            if amount and amount > left:
                above = gettext("At most %(left)s is left to credit here.")
                self.add_error(_name(row), above % {"left": minor(left)})
        if not self.errors and not self.amounts():
            self.add_error("how", gettext("Enter an amount for at least one item, or credit everything."))
        return data

    def credit(self) -> dict[str, Any]:
        """Return what the service takes."""
        same = ("reason", "mail")
        key = self.cleaned_data["idempotency_key"] or new_idempotency_key()
        return {"amounts": self.amounts(), "idempotency_key": key, **{name: self.cleaned_data[name] for name in same}}

    def amounts(self) -> dict[int, int] | None:
        """Return the amounts by row, or None for all that is left."""
        if self.cleaned_data.get("how") == "all":
            return None
        found = {row.line.pk: self.cleaned_data.get(_name(row)) for row in self.rows}
        return {pk: minor_units(amount) for pk, amount in found.items() if amount}


#: Both were given, and they say different things.
_BOTH: Final = marked(
    "Everything is chosen, and amounts are entered below. Choose “the amounts below” to credit only these, or clear "
    "them to credit everything."
)


def _name(row: CreditableRow) -> str:
    return f"row-{row.line.pk}"
