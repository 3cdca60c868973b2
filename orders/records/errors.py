"""Refusals of quotes, orders and invoices: codes with parameters. ``orders.records.presenters`` has their sentences."""

from catalog.records.errors import Refusal


class OrderError(Refusal):
    """Base of the refusals of quotes, orders and invoices."""

    code = "order"


class TransitionNotAllowed(OrderError):
    """The document's status does not allow the event."""

    code = "transition_not_allowed"


class ChangedMeanwhile(OrderError):
    """Its status was changed between reading and writing."""

    code = "changed_meanwhile"


class InquiryClosed(OrderError):
    """A closed inquiry cannot be changed."""

    code = "inquiry_closed"


class InquiryHasQuoteOut(OrderError):
    """One of its quotes waits for an answer."""

    code = "inquiry_has_quote_out"


class NotADraft(OrderError):
    """A sent or withdrawn quote cannot be edited."""

    code = "not_a_draft"


class OverrideNeedsReason(OrderError):
    """A price below the floor margin needs a recorded reason."""

    code = "override_needs_reason"


class EmptyTable(OrderError):
    """A quote needs at least one line."""

    code = "empty_table"


class BelowFloor(OrderError):
    """The goods would earn less than the kitchen's floor margin and no reason is recorded."""

    code = "below_floor"


class AllergensUnchecked(OrderError):
    """A dessert was not checked for every allergen, and nobody said that it goes out all the same."""

    code = "allergens_unchecked"


class WindowTooEarly(OrderError):
    """The desserts cannot be ready by the window."""

    code = "window_too_early"


class WindowTaken(OrderError):
    """The kitchen cannot make it for the window beside what it has promised, however the work is arranged."""

    code = "window_taken"


class OutsideHours(OrderError):
    """Nothing is handed over at the time of the window."""

    code = "outside_hours"


class DayOverLimit(OrderError):
    """A day would have more events or guests than the owner wants, and she did not say that she saw that."""

    code = "day_over_limit"


class NeverCold(OrderError):
    """A dessert may never get as cold as the rule asks where it chills."""

    code = "never_cold"


class OutTooLong(OrderError):
    """A dessert would be out of the cold for longer than it may."""

    code = "out_too_long"


class CoolingRuleBroken(OrderError):
    """Something breaks the cooling rule in force, and nobody recorded what is measured instead."""

    code = "cooling_rule_broken"


class AllergensChanged(OrderError):
    """A dessert of a sent quote holds an allergen by now that the quote does not name; ``products`` says which."""

    code = "allergens_changed"


class KitchenMustTell(OrderError):
    """The same for the customer, who is not left to find out."""

    code = "kitchen_must_tell"


class CallNoteMissing(OrderError):
    """A call about new allergens is recorded without saying whom it reached."""

    code = "call_note_missing"


class NeverColdByNow(OrderError):
    """Something on a quote may never get cold where it chills; no record of what is measured allows it."""

    code = "never_cold_by_now"


class KitchenMustCheck(OrderError):
    """The same, for the customer who approves: the kitchen has to settle it first."""

    code = "kitchen_must_check"


class NotJudgedNow(OrderError):
    """The catalog has an error in what a quote consists of, so neither its cooling nor its allergens can be judged."""

    code = "not_judged_now"


class KitchenMustLook(OrderError):
    """The same, for the customer who approves: the kitchen is informed, and what was typed is with them."""

    code = "kitchen_must_look"


class KitchenNotInformed(OrderError):
    """The same, and the kitchen is not informed either: the messages of one day are used up."""

    code = "kitchen_not_informed"


class QuoteOver(OrderError):
    """Nothing is made from a quote that was declined or withdrawn, or that has expired."""

    code = "quote_over"


class OrderCanceled(OrderError):
    """Nothing is measured for a canceled order."""

    code = "order_canceled"


class AlreadyInvoiced(OrderError):
    """The order has an invoice that stands."""

    code = "already_invoiced"


class CanceledOrder(OrderError):
    """A canceled order can be invoiced only for money the kitchen retains."""

    code = "canceled_order"


class DoesNotAddUp(OrderError):
    """The totals of the rows differ from the stored content."""

    code = "does_not_add_up"


class NotInvoiced(OrderError):
    """An order is closed only when it is invoiced."""

    code = "not_invoiced"


class NotPaid(OrderError):
    """An order is closed only when all of it is paid."""

    code = "not_paid"


class CreditLeft(OrderError):
    """An order is closed only when the customer has no credit left."""

    code = "credit_left"


class DecideTheMoney(OrderError):
    """Payments were received for an order being canceled: the owner must decide about them."""

    code = "decide_the_money"


class TooMuchBack(OrderError):
    """A refund exceeds the customer's credit."""

    code = "too_much_back"


class RecordedBefore(OrderError):
    """A form that recorded a payment was changed and submitted again."""

    code = "recorded_before"


class NothingToCredit(OrderError):
    """All of the invoice is credited, or no amount was given."""

    code = "nothing_to_credit"


class CreditDiffers(OrderError):
    """The credit note would not be what its review showed, because the invoice was credited meanwhile."""

    code = "credit_differs"


class TooMuchCredited(OrderError):
    """More would be credited than the invoice has left."""

    code = "too_much_credited"


class AlreadyReversed(OrderError):
    """The payment was reversed before."""

    code = "already_reversed"


class NotAnIssuedInvoice(OrderError):
    """Only an issued invoice can be credited."""

    code = "not_an_issued_invoice"


class NothingToExport(OrderError):
    """Every document of the period is in an export already."""

    code = "nothing_to_export"


class LinkNeedsSentQuote(OrderError):
    """Only a sent quote can have a private link."""

    code = "link_needs_sent_quote"


class PdfNotStored(OrderError):
    """A quote can be linked to and approved once its PDF is stored: the evidence names the PDF's hash."""

    code = "pdf_not_stored"


class NoAddress(OrderError):
    """Mail needs an address that can be written to."""

    code = "no_address"


class WordsUnproven(OrderError):
    """The kitchen's words about traces claim what an ingredient, or an extra of the quote, does not bear out."""

    code = "words_unproven"


class ClaimsUntrue(OrderError):
    """The name or description of a dessert or an extra claims to be free of what it contains, may or can contain."""

    code = "claims_untrue"


class NoteUnproven(OrderError):
    """Words to the customer claim what the desserts, or the kitchen's ingredients, do not bear out."""

    code = "note_unproven"


class NoteUnsettled(OrderError):
    """The allergy note names what no need stands for, and nobody says that there is none in it."""

    code = "note_unsettled"


class NeedsUnsettled(OrderError):
    """Some guests cannot eat some of what is sent, and nobody states that it is settled with the customer."""

    code = "needs_unsettled"


class HoldingUnseen(OrderError):
    """Nothing says how some desserts are held, and whoever sends them does not state that she has seen it."""

    code = "holding_unseen"


class RoomHoldingUnseen(OrderError):
    """Desserts with milk or egg are kept at room temperature, and whoever sends them has not stated that she saw it."""

    code = "room_holding_unseen"


class ValidityPassed(OrderError):
    """The quote's validity would end before it is sent."""

    code = "validity_passed"


class TermsDisagree(OrderError):
    """Two dates of a quote's terms cannot both hold; ``reason`` says which, and what would fit."""

    code = "terms_disagree"


class EventPassed(OrderError):
    """The event is in the past."""

    code = "event_passed"


class PriceChanged(OrderError):
    """The total that the owner was shown differs from the total that would be sent."""

    code = "price_changed"


class AlreadyApproved(OrderError):
    """An approved quote cannot be revised."""

    code = "already_approved"


class AnotherDraft(OrderError):
    """There is a draft of this number already."""

    code = "another_draft"


class ContentDiffers(OrderError):
    """The content shown differs from the content to approve."""

    code = "content_differs"


class NameMissing(OrderError):
    """An approval names who gave it."""

    code = "name_missing"


class ReasonMissing(OrderError):
    """A recorded approval needs a statement of how it was given."""

    code = "reason_missing"


class MessageMissing(OrderError):
    """A message needs a text."""

    code = "message_missing"


class TooManyMessages(OrderError):
    """There were too many messages within a day."""

    code = "too_many_messages"


class TotalsDiffer(OrderError):
    """Rows, taxes and total of a quote do not agree."""

    code = "totals_differ"


class CannotRender(OrderError):
    """The PDF could not be made."""

    code = "cannot_render"


class StillOpen(OrderError):
    """A person's data is erased when none of their quotes, orders, invoices and mails is open."""

    code = "still_open"
