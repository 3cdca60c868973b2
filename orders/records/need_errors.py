"""Why nothing is sent or approved while it is open what guests cannot eat."""

from orders.records.errors import AllergensChanged


class MessageUnanswered(AllergensChanged):
    """A customer's message may name what a guest cannot eat, and nobody recorded a need, or that there is none."""

    code = "message_unanswered"


class NeedInReason(AllergensChanged):
    """How an approval was given names what a guest cannot eat, and no need is recorded for it."""

    code = "need_in_reason"
