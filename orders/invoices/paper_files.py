"""The PDF of a payment request or a receipt."""

from datetime import datetime
from typing import Any

from catalog.outbox.models import Outbox
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.invoices.how_to_pay_content import how_to_pay
from orders.invoices.models import Payment, PaymentPaper
from orders.invoices.paper_content import paper_read
from orders.invoices.paper_mails import paper_mail_ask
from orders.invoices.selectors import traces_of


def paper_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF, for the outbox; then request the mail if one was wanted."""
    paper_document(paper_id=row.payload["paper"], at=at, mail=bool(row.payload.get("mail")))


def paper_document(*, paper_id: int, at: datetime, mail: bool = False) -> Document:
    """Return the PDF of a request or a receipt; it is made if it does not exist.

    Raises
    ------
    PaymentPaper.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    paper = PaymentPaper.objects.select_related("pdf", "order__quote", "order__customer").get(pk=paper_id)

    def ask() -> None:
        paper_mail_ask(paper, at=at)

    return pdf_once(
        paper,
        template=f"orders/invoices/{paper.kind}_pdf.html",
        context=lambda: paper_context(paper),
        what=str(paper),
        file_name=f"{paper.get_kind_display().replace(' ', '-')}-{paper.number}.pdf",
        at=at,
        with_it=ask if mail else None,
    )


def paper_context(paper: PaymentPaper) -> dict[str, Any]:
    """Return the template context of the PDF: fixed when it was issued, but for what is said about traces.

    The kitchen's logo is the one of what was approved."""
    content, approved = paper_read(paper.content), content_read(paper.order.quote.content)
    context = {
        "paper": paper,
        "content": content,
        "seller": content["seller"],
        "buyer": content["buyer"],
        "order": paper.order,
        "cross_contact": traces_of(paper.order),
        "logo": approved.logo,
        "logo_has_name": approved.logo_has_name,
        "pictures": [approved.logo] if approved.logo else [],
    }
    if paper.kind == PaymentPaper.Kind.RECEIPT:
        return context | {"method": Payment.Method(content["method"]).label}
    amount, currency = paper.amount_minor, paper.currency
    return context | {
        "pay": how_to_pay(content["bank"], reference=paper.number, amount_minor=amount, currency=currency)
    }
