"""Sentences of refusals to change a confirmed order."""

from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.records.presenters import Sentences

AMEND_SENTENCES: Final[Sentences] = {
    "order_not_open": marked(
        "Order {order} is {status:status}, so it can no longer be changed. For anything more, create a new inquiry."
    ),
    "amendment_out": marked(
        "{what} changes this order and waits for the customer's answer. Open it to create a revision or withdraw it."
    ),
    "nothing_amended": marked(
        "{what} is the same as the order. Change the products, the event or the terms before you send it, or discard "
        "the draft."
    ),
    "below_begun": marked(
        "{name}: {begun} are in production, so the order cannot have {units}. Enter {begun} or more; what is not "
        "needed any more can be settled as a discount."
    ),
    "nothing_to_settle": marked(
        "Nothing is left to invoice or to credit for the change of order {order}. Look at the order again."
    ),
    "change_not_settled": marked(
        "Order {order} was changed after its invoice, and the difference is neither invoiced nor credited. Settle it "
        "before you close the order."
    ),
    "quote_amended": marked("The order was changed on {day:day}, so this is no longer in force."),
    "another_in_force": marked(
        "{what} changes an order that has changed since. Create a revision of it and send that."
    ),
}
