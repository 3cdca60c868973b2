"""What somebody signs with: refused where it names a need, and made a message where it is more than a name."""

from datetime import datetime
from typing import Final

from orders.approvals.errors import NameNamesNeed
from orders.approvals.models import Message
from orders.approvals.signed_names import Signed, names_need, signed_with
from orders.quotes.draft.message_needs import reason_needs
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.records.errors import NameMissing
from orders.records.need_errors import NeedInReason
from orders.records.transitions import audit

#: The event where who signs states that the name is only a name.
ONLY_NAME: Final = "state_only_name"


def check_signed(quote: Quote, signed: str, *, by_customer: bool) -> None:
    """Refuse an approval without a name, or with one that names a need as well.

    Raises NameMissing, and NameNamesNeed for the customer, whose words then have to be made a message; what somebody
    in the kitchen enters is NeedInReason, where the list lacks what is recognized.
    """
    if not signed.strip():
        raise NameMissing()
    if not names_need(signed, quote.inquiry.customer.name):
        return
    if by_customer:
        raise NameNamesNeed()
    if needs := reason_needs(signed, quote.inquiry):
        raise NeedInReason(what=str(quote), needs=needs)


def signed_name_read(quote: Quote, signed: str, *, only_name: bool, by_customer: bool, by: str, at: datetime) -> None:
    """Make a message of what stands where a name stands, in the caller's transaction, where it is more than a name.

    It stops nothing for the customer; somebody has to state what it says. What looks like a name that nobody has on
    record is one where who entered it states so with ``only_name``, which stays on record of a customer; otherwise it
    is a message too.
    """
    name = quote.inquiry.customer.name
    found = signed_with(signed, name)
    if found is Signed.ON_RECORD:
        return
    if found is Signed.NAME and only_name:
        if by_customer:
            audit(quote, ONLY_NAME, by=by, at=at)
        return
    Message.objects.create(quote=quote, kind=Message.Kind.CHANGE, text=signed, by=name, at=at)
    quote_mail_ask("kitchen_change", quote, at=at, words=signed)
