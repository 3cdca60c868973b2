"""Refusals of changing a confirmed order. ``orders.records.amend_presenters`` has the sentences."""

from orders.records.errors import OrderError


class OrderNotOpen(OrderError):
    """An order that was handed over, closed or canceled is not changed any more."""

    code = "order_not_open"


class AmendmentOut(OrderError):
    """A change of the order waits for the customer's answer."""

    code = "amendment_out"


class NothingAmended(OrderError):
    """It is just what is in force."""

    code = "nothing_amended"


class BelowBegun(OrderError):
    """Less of something than is in production."""

    code = "below_begun"


class NothingToSettle(OrderError):
    """What is in force is invoiced, or only a credit of all and a new invoice can settle it."""

    code = "nothing_to_settle"


class ChangeNotSettled(OrderError):
    """A change that was approved after the invoice is neither invoiced nor credited."""

    code = "change_not_settled"


class QuoteAmended(OrderError):
    """It was approved, and a change of the order was approved since."""

    code = "quote_amended"


class AnotherInForce(OrderError):
    """The order is not what it was when the change was sent."""

    code = "another_in_force"
