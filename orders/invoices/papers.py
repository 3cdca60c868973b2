"""Payment requests and receipts: issued with a number and a content of their own. They are no invoices."""

from datetime import datetime

from django.db import transaction

from catalog.kitchen.selectors import kitchen, local_day
from orders.documents.agreed import content_agreed
from orders.documents.content import sha256_of
from orders.documents.store import pdf_ask
from orders.invoices.models import Payment, PaymentPaper
from orders.invoices.order_money import order_money
from orders.invoices.paper_content import receipt_text, request_text
from orders.invoices.paper_mails import ABOUT
from orders.invoices.schedule import schedule_of
from orders.orders.models import Order
from orders.records.cancel_errors import NothingToRequest
from orders.records.numbers import number_next
from orders.records.states import ORDERS_AHEAD
from orders.records.transitions import audit

Kind = PaymentPaper.Kind


@transaction.atomic(durable=True)
def request_issue(*, order_id: int, mail: bool, by: str, at: datetime) -> PaymentPaper:
    """Issue a request for the next payment of an order's schedule; one that asks for just that is returned.

    Raises NothingToRequest where nothing of the schedule is open, or an invoice asks for the whole.
    """
    order = Order.objects.select_for_update(of=("self",)).select_related("quote").get(pk=order_id)
    money, day = order_money(order), local_day(at)
    rows = schedule_of(order, received=money.received, today=day)
    asked = next((one for one in rows if one.open), None)
    if asked is None or money.invoiced or order.status not in ORDERS_AHEAD:
        raise NothingToRequest(order=order.number)
    known = order.papers.filter(kind=Kind.REQUEST, due_on=asked.due_on, amount_minor=asked.open).last()
    if known is not None:
        if mail:
            _pdf_asked(known, mail=True, at=at)
        return known
    number = number_next("request")
    content = content_agreed(order.quote)
    text = request_text(order, content, money, asked, number=number, day=day, kitchen=kitchen())
    paper = _added(order, Kind.REQUEST, number, text, asked.open, by=by, at=at, due_on=asked.due_on)
    params = {"number": number, "amount_minor": asked.open, "currency": order.currency}
    audit(order, "request", by=by, at=at, params=params)
    _pdf_asked(paper, mail=mail, at=at)
    return paper


def receipt_issue(payment: Payment, amount_minor: int, *, by: str, at: datetime) -> PaymentPaper:
    """Issue the receipt of a payment in the caller's transaction, which has locked the order.

    ``amount_minor`` is all of it, also where it was divided among invoices: ``payment`` is then its first part.
    """
    order = payment.order
    number, day = number_next("receipt"), local_day(at)
    text = receipt_text(payment, amount_minor, content_agreed(order.quote), order_money(order), number=number, day=day)
    paper = _added(order, Kind.RECEIPT, number, text, amount_minor, by=by, at=at, payment=payment)
    _pdf_asked(paper, mail=False, at=at)
    return paper


def _added(
    order: Order, kind: str, number: str, text: str, amount_minor: int, *, by: str, at: datetime, **others: object
) -> PaymentPaper:
    return PaymentPaper.objects.create(
        order=order,
        kind=kind,
        number=number,
        amount_minor=amount_minor,
        currency=order.currency,
        issued_at=at,
        issued_on=local_day(at),
        issued_by=by,
        content=text,
        content_sha256=sha256_of(text),
        **others,
    )


def _pdf_asked(paper: PaymentPaper, *, mail: bool, at: datetime) -> None:
    about, payload = f"{ABOUT}:{paper.pk}", {"paper": paper.pk, "mail": mail}
    pdf_ask(kind="paper_pdf", payload=payload, about=about, what=paper.kind_and_number, at=at)
