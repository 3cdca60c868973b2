"""How long the way to the customer takes."""

from math import ceil

from orders.inquiries.models import Inquiry


def travel_minutes(inquiry: Inquiry) -> int:
    """Return the minutes between leaving the kitchen and handing over: the way, and setting the table up."""
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return 0
    return ceil((inquiry.minutes or 0) + (inquiry.setup_minutes or 0))
