"""An amendment in words: the order as it is and as it would be, side by side, with the signed difference."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.web import display
from orders.documents.agreed import content_agreed
from orders.documents.content import Line, Party, QuoteContent
from orders.documents.dated_payments import DatedPayment
from orders.documents.need_words import need_for
from orders.inquiries.models import Inquiry
from orders.quotes.amendments.differences import Beside, differences, other_changes
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.selectors import content_before

_LABELS: Final[Mapping[str, str]] = {
    "customer": marked("Bill to"),
    "title": marked("Event name"),
    "window": marked("Date and time"),
    "hand_over": marked("Pickup or delivery"),
    "place": marked("Place"),
    "guests": marked("Guests"),
    "needs": marked("Allergies and diets"),
    "total": marked("Total"),
    "deposit": marked("Deposit"),
    "balance": marked("Balance after the deposit"),
}


@dataclass(frozen=True, slots=True)
class BesideShown:
    """One row in words; ``change`` is empty where it is no money, ``total`` marks the row of the total."""

    label: str
    was: str
    now: str
    change: str = ""
    total: bool = False


@dataclass(frozen=True, slots=True)
class AmendedShown:
    """The rows that differ, the order that is changed, and the difference of the total in one phrase.

    ``also`` is what differs besides: what desserts hold, how they are kept, the terms.
    """

    order: str
    rows: tuple[BesideShown, ...]
    change: str
    change_minor: int
    also: tuple[str, ...] = ()

    @property
    def same_total(self) -> bool:
        """Whether the customer pays what was agreed."""
        return not self.change_minor


def amended_shown(before: QuoteContent, after: QuoteContent) -> AmendedShown:
    """Write what an amendment changes."""
    change = after.total_minor - before.total_minor
    rows = tuple(_row(one, after.currency) for one in differences(before, after))
    order = after.amends.order if after.amends is not None else ""
    also = tuple(change_sentences(other_changes(before, after)))
    return AmendedShown(order, rows, signed(change, after.currency), change, also)


def amended_of(quote: Quote) -> AmendedShown | None:
    """Write what a sent amendment changes; None of any other quote, and where what it changes was erased."""
    content = content_agreed(quote)
    before = content_before(quote) if content.amends is not None else None
    return None if before is None or before.erased else amended_shown(before, content)


def signed(minor: int, currency: str) -> str:
    """Write a difference with its sign, such as "+$12.00"; nothing changes no sign."""
    if not minor:
        return display.minor(0, currency)
    return f"{'+' if minor > 0 else '−'}{display.minor(abs(minor), currency)}"


def _row(one: Beside, currency: str) -> BesideShown:
    label = _label(one)
    was, now = (_words(one.kind, value, currency) for value in (one.was, one.now))
    change = "" if one.change_minor is None else signed(one.change_minor, currency)
    return BesideShown(label, was, now, change, total=one.kind == "total")


def _label(one: Beside) -> str:
    if one.kind == "payment":
        return gettext("Payment %(number)s before the event") % {"number": one.name}
    return gettext(_LABELS[one.kind]) if one.kind in _LABELS else one.name


def _words(kind: str, value: Any, currency: str) -> str:
    if value is None or value in ("", ()):
        return pgettext("nothing is there", "none")
    if isinstance(value, Line):
        facts = {
            "units": display.plain(value.units),
            "price": display.minor(value.unit_price_minor, currency),
            "amount": display.minor(value.amount_minor, currency),
        }
        return gettext("%(units)s at %(price)s: %(amount)s") % facts
    if isinstance(value, DatedPayment):
        facts = {"amount": display.minor(value.amount_minor, currency), "day": display.day(value.due_on)}
        return gettext("%(amount)s by %(day)s") % facts
    if isinstance(value, Party):
        return ", ".join(filter(None, [value.name, " ".join(value.address.split()), value.tax_number]))
    if kind == "window":
        return display.window(*value)
    if kind == "hand_over":
        return str(Inquiry.HandOver(value).label)
    if kind == "needs":
        return ", ".join(need_name(code) if guests is None else need_for(code, guests) for code, guests in value)
    return display.minor(value, currency) if kind in ("charge", "tax", "total", "deposit", "balance") else str(value)
