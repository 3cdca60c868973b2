"""What orders can refuse: codes with parameters. Their sentences stand in ``orders.records.presenters``."""

from catalog.records.errors import Refusal


class OrderError(Refusal):
    """Base of the refusals of quotes, orders and invoices."""

    code = "order"


class TransitionNotAllowed(OrderError):
    """The document's status does not allow the event."""

    code = "transition_not_allowed"


class ChangedMeanwhile(OrderError):
    """Somebody else moved it between reading and writing."""

    code = "changed_meanwhile"


class TableChanged(ChangedMeanwhile):
    """The table was saved in another window after this one was opened."""

    code = "table_changed"


class InquiryClosed(OrderError):
    """A closed inquiry is read, not changed."""

    code = "inquiry_closed"


class InquiryHasQuoteOut(OrderError):
    """A customer may still say yes to a quote of it."""

    code = "inquiry_has_quote_out"


class NotADraft(OrderError):
    """What was sent never changes."""

    code = "not_a_draft"


class OverrideNeedsReason(OrderError):
    """Going below the floor is on record with its reason."""

    code = "override_needs_reason"


class EmptyTable(OrderError):
    """A quote without a line offers nothing."""

    code = "empty_table"


class BelowFloor(OrderError):
    """The goods would earn less than the kitchen's floor margin and no reason is on record."""

    code = "below_floor"


class WindowTooEarly(OrderError):
    """The desserts cannot be ready by the window."""

    code = "window_too_early"


class NeverCold(OrderError):
    """A dessert never gets as cold as the rule asks where it chills."""

    code = "never_cold"


class OutTooLong(OrderError):
    """A dessert would be out of the cold for longer than it may."""

    code = "out_too_long"


class AlreadyInvoiced(OrderError):
    """The order has an invoice that stands."""

    code = "already_invoiced"


class CanceledOrder(OrderError):
    """A canceled order is invoiced only for what the kitchen keeps."""

    code = "canceled_order"


class DoesNotAddUp(OrderError):
    """The stored content gives other sums than its rows."""

    code = "does_not_add_up"


class NotInvoiced(OrderError):
    """An order is closed only when it is invoiced."""

    code = "not_invoiced"


class NotPaid(OrderError):
    """An order is closed only when all of it is paid."""

    code = "not_paid"


class CreditLeft(OrderError):
    """An order is closed only when nothing is left to the customer's credit."""

    code = "credit_left"


class DecideTheMoney(OrderError):
    """Money came in for an order that is canceled: somebody must say what happens with it."""

    code = "decide_the_money"


class TooMuchBack(OrderError):
    """A refund of more than the customer has to their credit."""

    code = "too_much_back"


class RecordedBefore(OrderError):
    """A form that recorded money was changed and sent again."""

    code = "recorded_before"


class NothingToCredit(OrderError):
    """All of the invoice is credited, or no amount was given."""

    code = "nothing_to_credit"


class TooMuchCredited(OrderError):
    """More would be credited than the invoice has left."""

    code = "too_much_credited"


class AlreadyReversed(OrderError):
    """A payment is reversed once."""

    code = "already_reversed"


class NotAnIssuedInvoice(OrderError):
    """Only an issued invoice can be credited."""

    code = "not_an_issued_invoice"


class NothingToExport(OrderError):
    """Every document of the period is in an export already."""

    code = "nothing_to_export"


class LinkNeedsSentQuote(OrderError):
    """A draft is nobody's business yet."""

    code = "link_needs_sent_quote"


class NoAddress(OrderError):
    """Mail needs an address that can be written to."""

    code = "no_address"


class ValidityPassed(OrderError):
    """An offer that ends before it begins."""

    code = "validity_passed"


class EventPassed(OrderError):
    """Nobody orders for yesterday."""

    code = "event_passed"


class PriceChanged(OrderError):
    """What the owner looked at is not what would be sent."""

    code = "price_changed"


class AlreadyApproved(OrderError):
    """A yes is a yes: another revision would undo it behind the customer's back."""

    code = "already_approved"


class AnotherDraft(OrderError):
    """Two drafts of one number would overtake each other."""

    code = "another_draft"


class QuoteReplaced(OrderError):
    """The kitchen sent a newer revision."""

    code = "quote_replaced"


class QuoteExpired(OrderError):
    """The day it was valid until has passed."""

    code = "quote_expired"


class QuoteWithdrawn(OrderError):
    """The kitchen withdrew it."""

    code = "quote_withdrawn"


class QuoteDeclined(OrderError):
    """The customer said no."""

    code = "quote_declined"


class ContentDiffers(OrderError):
    """What is approved must be what was shown."""

    code = "content_differs"


class NameMissing(OrderError):
    """An approval names who gave it."""

    code = "name_missing"


class ReasonMissing(OrderError):
    """A yes given otherwise is on record with how it came."""

    code = "reason_missing"


class MessageMissing(OrderError):
    """An empty message helps nobody."""

    code = "message_missing"


class TooManyMessages(OrderError):
    """Whoever holds the link may write, but not flood the kitchen."""

    code = "too_many_messages"


class TotalsDiffer(OrderError):
    """Rows, taxes and total of a quote must agree before anybody is bound by it."""

    code = "totals_differ"


class CannotRender(OrderError):
    """The PDF could not be made."""

    code = "cannot_render"
