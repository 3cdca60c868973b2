"""Payment requests and receipts: numbered, frozen, with PDF and mail, for the owner and the customer."""

from typing import Any
from unittest.mock import patch

import pytest
from django.core import mail
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.web.display import kitchen_display
from orders.documents.content import sha256_of
from orders.invoices.models import PaymentPaper
from orders.invoices.paper_content import paper_read
from orders.invoices.paper_files import paper_context
from orders.invoices.papers import request_issue
from orders.invoices.payments import payment_reverse
from orders.orders.models import Order
from orders.records.cancel_errors import NothingToRequest
from tests.factories import BY, approved_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, YES, invoice_make, order_make, pay
from tests.integration.orders.private_link import entered
from tests.refusals import refused

pytestmark = pytest.mark.django_db

BANK = {"bank_holder": "Larkspur Lane Desserts LLC", "bank_routing": "111000025", "bank_account": "000123456789"}


def ask(order: Order, *, mail: bool = False, at: Any = LATER) -> PaymentPaper:
    """Request the next payment of an order."""
    return request_issue(order_id=order.pk, mail=mail, by=BY, at=at)


def printed(paper: PaymentPaper) -> str:
    """Return the page of a paper's PDF."""
    with kitchen_display(Kitchen.objects.get()):
        template = f"orders/invoices/{paper.kind}_pdf.html"
        return " ".join(render_to_string(template, {**paper_context(paper), "marked": False}).split())


def test_a_request_is_for_the_next_payment_with_a_number_of_its_own() -> None:
    kitchen_make(**BANK, payments_before=[{"days": 14}])
    order = order_make()
    first = ask(order)
    assert (first.number, first.amount_minor, first.due_on) == ("PR-00001", order.deposit_minor, order.deposit_due_on)
    assert first.content_sha256 == sha256_of(first.content)
    assert ask(order) == first, "once for what is open"
    pay(order, order.deposit_minor - 500, "deposit")
    assert ask(order).amount_minor == 500
    pay(order, 500, "deposit")
    third = ask(order)
    assert (third.number, third.amount_minor) == ("PR-00003", order.total_minor - order.deposit_minor)
    page = printed(third)
    assert "It is not an invoice" in page
    assert "Routing number</th><td>111000025" in page
    assert "Reference</th><td>PR-00003" in page
    Kitchen.objects.update(bank_account="999")
    assert paper_read(third.content)["bank"]["bank_account"] == "000123456789", "what was issued stays"


def test_what_was_due_before_it_is_requested_is_due_now() -> None:
    kitchen_make(payments_before=[{"days": 14}])
    order = order_make()
    assert order.deposit_due_on is not None
    late, early = ask(order), ask(order_make(), at=YES)
    assert late.due_on is not None
    assert late.due_on < late.issued_on
    assert "Amount due now" in printed(late)
    assert "Amount due by" not in printed(late)
    assert "Amount due by" in printed(early)
    words = {paper: render_to_string("orders/mail/request_words.html", paper_context(paper)) for paper in (late, early)}
    assert "Please pay it now." in words[late]
    assert "is due by" in words[early]


def test_nothing_is_requested_that_an_invoice_asks_for_or_that_is_paid() -> None:
    kitchen_make(payments_before=[{"days": 14}])
    paid, billed = order_make(), order_make()
    pay(paid, paid.total_minor)
    invoice_make(billed)
    for order in (paid, billed):
        with refused(NothingToRequest, match=f"No payment of order {order.number} before its invoice is open"):
            ask(order)
    assert not PaymentPaper.objects.filter(kind="request").exists()


def test_each_payment_has_a_receipt_and_a_refund_has_none() -> None:
    kitchen_make()
    order = order_make()
    deposit = pay(order, order.deposit_minor, "deposit", reference="Slip 7")
    assert (deposit.receipt.number, deposit.receipt.amount_minor) == ("RC-00001", order.deposit_minor)
    content = paper_read(deposit.receipt.content)
    assert (content["left_minor"], content["received_minor"]) == (
        order.total_minor - order.deposit_minor,
        order.deposit_minor,
    )
    page = printed(deposit.receipt)
    for part in ("Receipt RC-00001", "bank transfer", "Slip 7", "Deposit received", "It is not an invoice."):
        assert part in page, part
    invoice = invoice_make(order)
    pay(order, invoice.due_minor + 300)
    refund = pay(order, 300, "refund")
    assert not PaymentPaper.objects.filter(payment=refund).exists()
    again = pay(order, 100, idempotency_key="k" * 32)
    pay(order, 100, idempotency_key="k" * 32)
    assert PaymentPaper.objects.filter(payment=again).count() == 1


def test_a_request_and_a_receipt_say_what_may_be_in_the_desserts_until_those_are_there() -> None:
    kitchen_make(cross_contact="Nuts are worked on the same bench.")
    order = order_make()
    request, receipt = ask(order), pay(order, order.deposit_minor, "deposit").receipt
    for paper in (request, receipt):
        assert "About allergens: Nuts are worked on the same bench." in printed(paper)
    Order.objects.update(status="delivered", delivered_at=LATER)
    assert "About allergens" not in printed(PaymentPaper.objects.get(pk=receipt.pk))


def test_the_mail_of_a_request_has_its_pdf_and_how_to_pay() -> None:
    kitchen_make(**BANK)
    order = order_make()
    paper = ask(order, mail=True)
    with patch("orders.documents.store.pdf_of", return_value=b"%PDF-1.7 in place of a request"):
        for kind in ("paper_pdf", "paper_mail"):
            row = Outbox.objects.get(kind=kind)
            assert outbox_run(row_id=row.pk, at=row.run_after)
    sent = mail.outbox[-1]
    assert sent.subject == f"Payment request {paper.number} from Larkspur Lane Desserts: {order.title}"
    assert f"Reference: {paper.number}" in sent.body
    assert "not an invoice" in sent.body
    assert [file[0] for file in sent.attachments] == [f"payment-request-{paper.number}.pdf"]


def test_the_order_page_requests_once_and_links_requests_and_receipts() -> None:
    kitchen_make()
    order, owner = order_make(), signed_in("owner")
    page = reverse("order", args=[order.pk])
    assert "Request the next payment" in text(owner.get(page))
    for _ in range(2):
        answer = owner.post(reverse("order-request", args=[order.pk]), follow=True)
    assert "Payment request PR-00001 issued." in text(answer)
    assert PaymentPaper.objects.count() == 1
    pay(order, order.deposit_minor, "deposit")
    words = owner.get(page)
    assert "Receipt RC-00001" in text(words)
    assert "Request the next payment" not in text(words), "the rest is asked for by the invoice"
    answer = owner.post(reverse("order-request", args=[order.pk]), follow=True)
    assert "No payment of order" in text(answer)


def test_the_customer_gets_the_papers_of_their_own_order_alone(client: Client) -> None:
    kitchen_make()
    quote, other = approved_make(), approved_make()
    order, theirs = Order.objects.get(quote=quote), Order.objects.get(quote=other)
    paper, wrong = ask(order), ask(theirs)
    payment = pay(order, 1_000, "deposit")
    visitor = entered(client, quote)
    page = visitor.get(f"/q/{quote.pk}/")
    assert "Payment request PR-00001" in text(page)
    for key in (paper.pk, payment.receipt.pk):
        address = reverse("quote-page-paper-pdf", args=[quote.pk, key])
        assert address in page.content.decode()
        assert visitor.get(address).status_code == 202, "it is being made"
    assert visitor.get(reverse("quote-page-paper-pdf", args=[quote.pk, wrong.pk])).status_code == 404
    assert Client().get(reverse("quote-page-paper-pdf", args=[quote.pk, paper.pk])).status_code == 404
    payment_reverse(payment_id=payment.pk, note="on the wrong order", by=BY, at=LATER)
    assert visitor.get(reverse("quote-page-paper-pdf", args=[quote.pk, payment.receipt.pk])).status_code == 404
