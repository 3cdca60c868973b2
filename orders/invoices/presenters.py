"""Receivables in words and as a chart."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked
from djmoney.money import Money

from catalog.kitchen.selectors import kitchen
from catalog.web import charts, display
from orders.inquiries.models import Inquiry
from orders.invoices.models import Invoice
from orders.invoices.receivables import Age
from orders.invoices.totals import CREDITED, OVERDUE, PART_CREDITED, stands
from orders.orders.models import Order
from orders.records.money import minor_units
from orders.records.states import InvoiceStatus

_AGES: Final = {
    "not_due": marked("not due yet"),
    "days_1_to_30": marked("1 to 30 days"),
    "days_31_to_60": marked("31 to 60 days"),
    "days_61_to_90": marked("61 to 90 days"),
    "days_over_90": marked("over 90 days"),
}


@dataclass(frozen=True)
class AgeRow:
    """Receivables of one age as a row of a table."""

    name: str
    documents: int
    open: Money


@dataclass(frozen=True)
class AgeTable:
    """Receivables in one currency by age, with a chart."""

    currency: str
    rows: list[AgeRow]
    picture: SafeString


def age_table(currency: str, ages: Sequence[Age]) -> AgeTable:
    """Write and draw the receivables in one currency by age."""
    rows = [AgeRow(gettext(_AGES[age.code]), age.documents, age.open) for age in ages]
    return AgeTable(currency, rows, _picture(currency, ages))


def _picture(currency: str, ages: Sequence[Age]) -> SafeString:
    bars = [charts.Age(_bar_name(age.code), minor_units(age.open), age.documents) for age in ages]
    return charts.receivables(bars, currency=currency)


def _bar_name(code: str) -> str:
    name = gettext(_AGES[code])
    return name if code == "not_due" else gettext("%(days)s late") % {"days": name}


def supply_words(order: Order) -> str:
    """Name the day of supply as the kitchen's country does: in the US by what happens on it, ahead or past."""
    if kitchen().country != "US":
        return gettext("Date of supply")
    delivered = order.event.hand_over == Inquiry.HandOver.DELIVERY
    return gettext("Delivery date") if delivered else gettext("Pickup date")


def late_words(days: int) -> str:
    """Write by how many days something is late."""
    return ngettext("%(n)s day late", "%(n)s days late", days) % {"n": days}


def days_late(due_on: date) -> str:
    """Write by how many days what was due on a day is late today."""
    return late_words((timezone.localdate() - due_on).days)


#: What is so of an invoice beside its status.
_ALSO: Final = {
    CREDITED: marked("credited"),
    PART_CREDITED: marked("partly credited"),
    OVERDUE: marked("overdue"),
}


def invoice_status(invoice: Invoice) -> str:
    """Write how an invoice stands, as :func:`with_open` read it: partly paid, overdue."""
    if invoice.is_credit_note or invoice.status == InvoiceStatus.DRAFT:
        return display.status(invoice)
    found = stands(
        invoice.status,
        total_minor=invoice.total_minor,
        prepaid_minor=invoice.prepaid_minor,
        credited_minor=getattr(invoice, "credited", 0),
        open_minor=getattr(invoice, "open", invoice.due_minor),
        overdue=invoice.due_on is not None and (invoice.next_on or invoice.due_on) < timezone.localdate(),
    )
    return ", ".join(gettext(_ALSO[code]) if code in _ALSO else str(InvoiceStatus(code).label) for code in found)


def tax_number_words(number: str) -> str:
    """Name a tax number: the VAT ID where the tax is VAT and it begins with its country, else the tax number.

    Sources: Council Directive 2006/112/EC, articles 215 and 226 (3) (from memory): a VAT identification number has a
    prefix of the country that issued it, and an invoice states it.
    """
    is_vat = "VAT" in display.current().tax_name.upper() and number[:2].isalpha()
    return (gettext("VAT ID %(number)s") if is_vat else gettext("Tax number %(number)s")) % {"number": number}
