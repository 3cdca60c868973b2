"""The PDF of an approved quote, with the approval on it."""

from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Any

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.records.people import names_of_people
from orders.approvals.models import Approval
from orders.approvals.selectors import not_answered, waits_for_reply
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.orders.models import Order
from orders.quotes.draft.allergens import NOTHING_CHANGED
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.files import PDF_TEMPLATE, pdf_context
from orders.quotes.mails import quote_mail_ask_once
from orders.quotes.models import Quote


def approval_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of an approved quote, for the outbox, and request the mail that brings it."""
    approval_document(approval_id=row.payload["approval"], at=at, mail=row.payload.get("mail", ""))


def approval_document(*, approval_id: int, at: datetime, mail: str = "") -> Document:
    """Return the PDF of an approved quote with the approval on it; it is made if it does not exist.

    ``mail`` requests that kind of mail in the commit that stores a new PDF, or now if the PDF exists and the mail was
    not requested.

    Raises
    ------
    Approval.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    approval = Approval.objects.select_related("quote__inquiry__customer", "pdf").get(pk=approval_id)
    quote = approval.quote
    return pdf_once(
        approval,
        template=PDF_TEMPLATE,
        context=lambda: _context(approval),
        what=str(quote),
        file_name=f"quote-{quote.number}-revision-{quote.revision}-approved.pdf",
        at=at,
        with_it=partial(quote_mail_ask_once, mail, quote, at=at) if mail else None,
    )


def _context(approval: Approval) -> dict[str, Any]:
    order = Order.objects.filter(quote__number=approval.quote.number).first()
    answer = {
        "approval": approval,
        "order": order,
        "recorded_by": names_of_people().get(approval.recorded_by, approval.recorded_by),
        "payment_details": kitchen().payment_details,
        **_messages(approval.quote),
    }
    return pdf_context(approval.quote) | answer


def _messages(quote: Quote) -> dict[str, Any]:
    """Return what of the customer's messages is open, as their page says it; the rest stays as it was sent."""
    open_ = messages_open([quote.inquiry]).get(quote.inquiry_id, ())
    since = replace(NOTHING_CHANGED, messages=open_)
    return {"since": since, "not_answered": not_answered(quote, waits_for_reply(quote))}
