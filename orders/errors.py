"""What orders can refuse, in sentences fit to show."""

from typing import Any


class OrderError(Exception):
    """Base of the refusals: a code, a sentence and its parameters."""

    code = "order"
    sentence = "That cannot be done."

    def __init__(self, **params: Any) -> None:
        self.params = params
        super().__init__(self.sentence.format(**params))


class TransitionNotAllowed(OrderError):
    """The document's status does not allow the event."""

    code = "transition_not_allowed"
    sentence = "{what} is {status}: it is too late, or too early, to {event}."


class ChangedMeanwhile(OrderError):
    """Somebody else moved it between reading and writing."""

    code = "changed_meanwhile"
    sentence = "{what} changed meanwhile. Look at it again before you go on."


class EnquiryClosed(OrderError):
    """A closed enquiry is read, not changed."""

    code = "enquiry_closed"
    sentence = "{what} is closed. Open it again before you change it."


class EnquiryHasQuoteOut(OrderError):
    """A customer may still say yes to a quote of it."""

    code = "enquiry_has_quote_out"
    sentence = "{quote} waits for an answer. Withdraw it before you close the enquiry."


class NotADraft(OrderError):
    """What was sent never changes."""

    code = "not_a_draft"
    sentence = "{what} is {status}: only a draft can be changed. Make a revision of it instead."


class OverrideNeedsReason(OrderError):
    """Going below the floor is on record with its reason."""

    code = "override_needs_reason"
    sentence = "Write down why this quote may go below the floor margin."


class NothingOnTheTable(OrderError):
    """A quote without a line offers nothing."""

    code = "nothing_on_the_table"
    sentence = "{what} has nothing on the table yet. Add a product before you send it."


class BelowFloor(OrderError):
    """The goods would earn less than the kitchen's floor margin and no reason is on record."""

    code = "below_floor"
    sentence = (
        "{what} leaves a margin of {margin} on the goods, below the floor of {floor}. "
        "Raise a price or take back the discount, or record why it may go below."
    )


class WindowTooEarly(OrderError):
    """The desserts cannot be ready by the window."""

    code = "window_too_early"
    sentence = "{reason} {instead}"


class AlreadyInvoiced(OrderError):
    """The order has an invoice that stands."""

    code = "already_invoiced"
    sentence = "{order} is invoiced with {invoice}. Issue a credit note for that first if it has to be replaced."


class CancelledOrder(OrderError):
    """A cancelled order is invoiced only for what the kitchen keeps."""

    code = "cancelled_order"
    sentence = "{order} is cancelled and its money is not kept, so there is nothing to invoice."


class DoesNotAddUp(OrderError):
    """The frozen content gives other sums than its rows."""

    code = "does_not_add_up"
    sentence = "The rows of {what} do not add up to what the customer approved, so no invoice was made."


class NotInvoiced(OrderError):
    """An order is closed only when it is invoiced."""

    code = "not_invoiced"
    sentence = "{order} has no invoice yet. Issue it, then close the order."


class NotPaid(OrderError):
    """An order is closed only when all of it is paid."""

    code = "not_paid"
    sentence = "{order} is not paid yet: {open} is open. Record the payment, then close the order."


class CreditLeft(OrderError):
    """An order is closed only when nothing is left to the customer's credit."""

    code = "credit_left"
    sentence = "{customer} has {amount} to their credit. Refund it, then close the order."


class DecideTheMoney(OrderError):
    """Money came in for an order that is cancelled: somebody must say what happens with it."""

    code = "decide_the_money"
    sentence = "{amount} came in for {order}. Say what happens with it before you cancel the order."


class TooMuchBack(OrderError):
    """A refund of more than the customer has to their credit."""

    code = "too_much_back"
    sentence = "At most {most} can go back: that is what {customer} has to their credit on {order}."


class NothingToCredit(OrderError):
    """All of the invoice is credited, or no amount was given."""

    code = "nothing_to_credit"
    sentence = "Nothing is credited: {invoice} has {left} left to credit, and no amount above zero was given."


class TooMuchCredited(OrderError):
    """More would be credited than the invoice has left."""

    code = "too_much_credited"
    sentence = "At most {most} is left to credit of {what} on {invoice}."


class AlreadyReversed(OrderError):
    """A payment is taken back once."""

    code = "already_reversed"
    sentence = "That payment was taken back before. Record a new one if money came in again."


class NotAnIssuedInvoice(OrderError):
    """Only an issued invoice can be credited."""

    code = "not_an_issued_invoice"
    sentence = "{invoice} is not an issued invoice, so there is nothing to credit. A draft can be dropped."


class NothingToExport(OrderError):
    """Every document of the period is in an export already."""

    code = "nothing_to_export"
    sentence = "Nothing to export: every document issued {period} is in an export already, or none was issued."
