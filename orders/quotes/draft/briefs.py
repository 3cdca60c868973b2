"""Build the Brief of a draft quote from its table."""

from datetime import date
from fractions import Fraction

from django.utils import timezone

from costing.contract import Brief, BriefLine, DeliveryTerms, Extra
from costing.money.rounding import minor_digits
from orders.inquiries.models import Inquiry
from orders.quotes.draft.dessert_table import DessertTable, table_of
from orders.quotes.models import Quote


def brief_of(table: DessertTable, *, inquiry: Inquiry, currency: str, day: date) -> Brief:
    """Build the Brief of a table for an inquiry, with the packs in force on ``day``.

    The tax date is the day of hand-over in the kitchen's zone. Extras keep their order: their codes are
    ``extra-1``, ``extra-2``, …
    """
    unit = Fraction(1, 10 ** minor_digits(currency))
    return Brief(
        date=day,
        supply_date=timezone.localtime(inquiry.window_start).date(),
        customer_kind=inquiry.customer.kind or None,
        tax_exempt=inquiry.customer.tax_exempt,
        lines=tuple(BriefLine(line.code, line.units, _money(line.unit_price_minor, unit)) for line in table.lines),
        extras=tuple(
            Extra(f"extra-{place}", extra.cost_minor * unit, extra.amount_minor * unit, extra.tax_code)
            for place, extra in enumerate(table.extras, start=1)
        ),
        delivery=delivery_of(inquiry),
        discount=Fraction(table.discount),
        rush=table.rush,
    )


def brief_of_quote(quote: Quote, *, day: date | None = None) -> Brief:
    """Build the Brief of a quote's rows, with the packs in force on its costing date, or on another day."""
    return brief_of(
        table_of(quote), inquiry=quote.inquiry, currency=quote.currency, day=quote.costing_date if day is None else day
    )


def delivery_of(inquiry: Inquiry) -> DeliveryTerms | None:
    """Return the delivery terms, or None when the order is picked up. Unknown values count as zero."""
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return None
    return DeliveryTerms(
        km=Fraction(inquiry.km or 0),
        minutes=Fraction(inquiry.minutes or 0),
        crew=max(inquiry.crew, 1),
        setup_minutes=Fraction(inquiry.setup_minutes or 0),
    )


def _money(minor: int | None, unit: Fraction) -> Fraction | None:
    return None if minor is None else minor * unit
