"""The PDF of a sent quote."""

from datetime import datetime
from functools import partial
from typing import Any, Final

from catalog.outbox.models import Outbox
from orders.documents.agreed import content_agreed
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.quotes.amendments.presenters import amended_of
from orders.quotes.mails import quote_mail_ask_once
from orders.quotes.models import Quote

PDF_TEMPLATE: Final = "orders/quotes/send/pdf.html"


def quote_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of a sent quote, for the outbox, and request the mail with its link."""
    quote_document(quote_id=row.payload["quote"], at=at, mail=row.payload.get("mail", ""))


def quote_document(*, quote_id: int, at: datetime, mail: str = "") -> Document:
    """Return the PDF of a sent quote; it is made if it does not exist.

    ``mail`` requests that kind of mail in the commit that stores a new PDF, or now if the PDF exists and the mail was
    not requested.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    quote = Quote.objects.select_related("pdf", "inquiry__customer").get(pk=quote_id)
    return pdf_once(
        quote,
        template=PDF_TEMPLATE,
        context=lambda: pdf_context(quote),
        what=str(quote),
        file_name=f"quote-{quote.number}-revision-{quote.revision}.pdf",
        at=at,
        with_it=partial(quote_mail_ask_once, mail, quote, at=at) if mail else None,
    )


def pdf_context(quote: Quote) -> dict[str, Any]:
    """Return the template context of a quote's PDF, approved or not; of an approved one with the window chosen."""
    content = content_agreed(quote)
    facts = {"sha256": quote.content_sha256, "pictures": content.pictures, "amended": amended_of(quote)}
    return {"content": content, **facts}
