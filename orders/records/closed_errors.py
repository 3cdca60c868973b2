"""Why a quote that was sent can no longer be answered. ``orders.records.presenters`` has the sentences."""

from orders.records.errors import OrderError


class QuoteReplaced(OrderError):
    """The kitchen sent a newer revision."""

    code = "quote_replaced"


class NewerApproved(OrderError):
    """A newer revision was approved."""

    code = "newer_approved"


class QuoteExpired(OrderError):
    """The day it was valid until has passed."""

    code = "quote_expired"


class QuoteEventOver(OrderError):
    """The time of its event has passed, although it would be valid for longer."""

    code = "quote_event_over"


class QuoteWithdrawn(OrderError):
    """The kitchen withdrew it."""

    code = "quote_withdrawn"


class QuoteDeclined(OrderError):
    """The customer declined it."""

    code = "quote_declined"


class QuoteErased(OrderError):
    """Nothing is made from a quote whose personal words were erased: the next revision would say "[erased]"."""

    code = "quote_erased"
