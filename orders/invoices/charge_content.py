"""The invoice over what is retained of an order that was canceled by its terms: one line, with a tax of its own."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django.utils.translation import gettext, ngettext

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import local_day
from catalog.web import display
from orders.documents.content import Prices, QuoteContent
from orders.invoices.content import ONE, payment_note
from orders.invoices.models import IS_CHARGE
from orders.invoices.totals import DocumentTotals, Row, TaxKind, compute_totals
from orders.orders.models import Order
from orders.records.states import InvoiceStatus

#: What the invoice's columns of a line and of a tax hold [characters].
_LINE: Final = 200


def charge_waits(order: Order) -> bool:
    """Return whether something is retained of a canceled order, and no invoice has charged it; one query at most."""
    if not order.retained_minor:
        return False
    return not order.invoices.filter(IS_CHARGE).exclude(status=InvoiceStatus.DRAFT).exists()


def charge_prices(order: Order, content: QuoteContent) -> Prices:
    """Return how the charge's prices are: with a tax they contain it, so that the total is just what is retained."""
    return "gross" if _tax(order).rate else content.prices


def charge_totals(order: Order, content: QuoteContent) -> DocumentTotals:
    """Compute the totals of the charge: one line over what is retained, tax included."""
    name = gettext("Cancellation charge, order %(order)s") % {"order": order.number}
    amount, tax = order.retained_minor or 0, _tax(order)
    row = Row(name[:_LINE], amount, tax.code, unit_code=ONE, unit_price_minor=amount)
    return compute_totals((row,), (tax,), charge_prices(order, content))


def _tax(order: Order) -> TaxKind:
    tax: Mapping[str, Any] = order.terms_applied["tax"]
    return TaxKind(tax["code"], tax["name"], tax["untdid"], tax["exempt_reason"], Decimal(tax["rate"]))


def charge_note(order: Order, kitchen: Kitchen) -> str:
    """Return the text below the charge: by which terms, what was begun and bought, and how to pay."""
    return "\n\n".join(filter(None, (_terms(order), _goods(order), payment_note(kitchen))))


def _terms(order: Order) -> str:
    facts, days = order.terms_applied, order.terms_applied["days_before"]
    words = {
        "day": display.day(local_day(order.canceled_at)) if order.canceled_at else "",
        "event": display.day(local_day(order.window_start)),
        "days": days,
        "share": display.rate(facts["share"]),
        "total": display.minor(order.total_minor, order.currency),
    }
    if days > 0:
        when = ngettext(
            "Canceled on %(day)s, %(days)s day before the event of %(event)s.",
            "Canceled on %(day)s, %(days)s days before the event of %(event)s.",
            days,
        )
    else:
        when = gettext("Canceled on %(day)s; the event was planned for %(event)s.")
    agreed = gettext("By the terms agreed, up to %(share)s of the total of %(total)s is charged.")
    if order.retained_minor == facts["most_minor"]:
        agreed = gettext("By the terms agreed, %(share)s of the total of %(total)s is charged.")
    return f"{when} {agreed}" % words


def _goods(order: Order) -> str:
    rows = [
        f"{row['name']}: {display.minor(row['amount_minor'], order.currency)}" if row["amount_minor"] else row["name"]
        for row in order.terms_applied["goods"]
    ]
    if not rows:
        return ""
    return "\n".join([gettext("Begun work and bought goods, for the record; included in the charge:"), *rows])
