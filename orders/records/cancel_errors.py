"""Refusals of canceling an order by the table of its terms. ``orders.records.cancel_presenters`` has the sentences."""

from orders.records.errors import OrderError


class RetainsTooMuch(OrderError):
    """More would be retained than the row says that applies."""

    code = "retains_too_much"


class LessWithoutReason(OrderError):
    """Less would be retained than the terms say, and no reason is given."""

    code = "less_without_reason"


class NothingToRequest(OrderError):
    """Nothing of an order's payment schedule is open, or an invoice asks for the whole."""

    code = "nothing_to_request"


class CreditGone(OrderError):
    """More credit would be carried to another order than is left, or than that order can use."""

    code = "credit_gone"


class ChargeTaxMissing(OrderError):
    """Something is retained, and nobody said in which tax category it is charged."""

    code = "charge_tax_missing"


class ChargeTaxNoRate(OrderError):
    """The tax category of the charge has no rate in force."""

    code = "charge_tax_no_rate"


class CancelingChanged(OrderError):
    """What applies, was agreed or was paid is no longer what was shown."""

    code = "canceling_changed"


class NoCancellationTable(OrderError):
    """What was agreed has no table of terms, or has one and is canceled without it."""

    code = "no_cancellation_table"
