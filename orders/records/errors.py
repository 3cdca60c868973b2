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


class TableChanged(ChangedMeanwhile):
    """The table was kept in another window after this one was opened."""

    code = "table_changed"
    sentence = "The table of {what} was kept in another window meanwhile. Look at it before you keep yours over it."


class InquiryClosed(OrderError):
    """A closed inquiry is read, not changed."""

    code = "inquiry_closed"
    sentence = "{what} is closed. Open it again before you change it."


class InquiryHasQuoteOut(OrderError):
    """A customer may still say yes to a quote of it."""

    code = "inquiry_has_quote_out"
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


class NeverCold(OrderError):
    """A dessert never gets as cold as the rule asks where it chills."""

    code = "never_cold"
    sentence = "{reason} {instead}"


class OutTooLong(OrderError):
    """A dessert would be out of the cold for longer than it may."""

    code = "out_too_long"
    sentence = "{reason} {instead}"


class AlreadyInvoiced(OrderError):
    """The order has an invoice that stands."""

    code = "already_invoiced"
    sentence = "{order} is invoiced with {invoice}. Issue a credit note for that first if it has to be replaced."


class CanceledOrder(OrderError):
    """A canceled order is invoiced only for what the kitchen keeps."""

    code = "canceled_order"
    sentence = "{order} is cancelled and its money is not kept, so there is nothing to invoice."


class DoesNotAddUp(OrderError):
    """The frozen content gives other sums than its rows."""

    code = "does_not_add_up"
    sentence = "The rows of {what} do not add up to its totals, so nothing was issued."


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
    """Money came in for an order that is canceled: somebody must say what happens with it."""

    code = "decide_the_money"
    sentence = "{amount} came in for {order}. Say what happens with it before you cancel the order."


class TooMuchBack(OrderError):
    """A refund of more than the customer has to their credit."""

    code = "too_much_back"
    sentence = "At most {most} can go back: that is what {customer} has to their credit on {order}."


class RecordedBefore(OrderError):
    """A form that recorded money was changed and sent again."""

    code = "recorded_before"
    sentence = (
        "This form has recorded {amount} before. For other money open “Record money” afresh; "
        "a mistake is taken back on the order."
    )


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


class LinkNeedsSentQuote(OrderError):
    """A draft is nobody's business yet."""

    code = "link_needs_sent_quote"
    sentence = "{what} was never sent, so there is nothing to link to. Send it first."


class NoAddress(OrderError):
    """Mail needs an address that can be written to."""

    code = "no_address"
    sentence = "{who} has no e-mail address the mail can go to. Write one on the customer's page first."


class ValidityPassed(OrderError):
    """An offer that ends before it begins."""

    code = "validity_passed"
    sentence = "{what} would be valid until a day that has passed. Set a later day before you send it."


class EventPassed(OrderError):
    """Nobody orders for yesterday."""

    code = "event_passed"
    sentence = "The hand-over of {what} is in the past. Correct the day on the enquiry before you send it."


class PriceMoved(OrderError):
    """What the owner looked at is not what would be sent."""

    code = "price_moved"
    sentence = "The total is {now} now and was {seen} when you looked. Look at it again before you send it."


class AlreadyApproved(OrderError):
    """A yes is a yes: another revision would undo it behind the customer's back."""

    code = "already_approved"
    sentence = "{what} was approved and is an order. Begin another quote for what comes on top."


class AnotherDraft(OrderError):
    """Two drafts of one number would overtake each other."""

    code = "another_draft"
    sentence = "{what} is a draft of the same quote already. Change that one, or give it up first."


class QuoteReplaced(OrderError):
    """The kitchen sent a newer revision."""

    code = "quote_replaced"
    sentence = "The kitchen changed this quote on {day}. Here is the new one: nothing was approved yet."


class QuoteExpired(OrderError):
    """The day it was valid until has passed."""

    code = "quote_expired"
    sentence = "This quote was valid until {day}, so it can no longer be approved. Ask the kitchen for a new one."


class QuoteWithdrawn(OrderError):
    """The kitchen took it back."""

    code = "quote_withdrawn"
    sentence = "The kitchen took this quote back on {day}, so it can no longer be approved. Write to them for another."


class QuoteDeclined(OrderError):
    """The customer said no."""

    code = "quote_declined"
    sentence = "This quote was declined on {day}, so it can no longer be approved. Ask the kitchen for a new one."


class ContentDiffers(OrderError):
    """What is approved must be what was shown."""

    code = "content_differs"
    sentence = "What you were shown is not what is on offer now. Look at the quote again before you approve it."


class NameMissing(OrderError):
    """An approval names who gave it."""

    code = "name_missing"
    sentence = "Write your name, as you would sign."


class ReasonMissing(OrderError):
    """A yes given otherwise is on record with how it came."""

    code = "reason_missing"
    sentence = "Write down how the yes was given: by phone to whom, or on which paper."


class NothingSaid(OrderError):
    """An empty message helps nobody."""

    code = "nothing_said"
    sentence = "Write what should be different."


class TooMuchSaid(OrderError):
    """Whoever holds the link may write, but not flood the kitchen."""

    code = "too_much_said"
    sentence = "The kitchen got {count} messages about this quote within a day. Ring them, or write again tomorrow."


class TotalsDiffer(OrderError):
    """Rows, taxes and total of a letter must agree before anybody is bound by it."""

    code = "totals_differ"
    sentence = "The rows of {what} do not add up to its total, so it was not sent."


class CannotRender(OrderError):
    """The PDF could not be made."""

    code = "cannot_render"
    sentence = "The PDF of {what} could not be made: {why}"
