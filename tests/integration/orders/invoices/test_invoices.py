"""Invoices are made from the approved content, numbered when issued, and never change afterwards."""

import hashlib
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from pypdf import PdfReader

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from costing.money.rounding import half_up
from orders.approvals.services import quote_record_approval
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.inquiries.models import Customer
from orders.invoices.content import totals_of
from orders.invoices.files import invoice_document, invoice_pdf_make, pdf_context
from orders.invoices.models import Invoice, InvoiceLine
from orders.invoices.payments import payment_reverse
from orders.invoices.selectors import invoice_rows, paid_and_credited
from orders.invoices.services import invoice_discard, invoice_draft, invoice_issue
from orders.mail.services import mail_send
from orders.orders.services import order_cancel
from orders.quotes.models import Quote
from orders.records.errors import AlreadyInvoiced, CanceledOrder, DoesNotAddUp, TransitionNotAllowed
from orders.records.models import AuditEntry, NumberSeries
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored, table_make
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def check_en16931(invoice: Invoice) -> None:
    """BR-CO-10 to -17 over the stored rows; see tests/unit/orders/invoices/test_totals.py for gross prices."""
    rows, taxes = list(invoice.lines.all()), list(invoice.taxes.all())
    nets = {kind: sum(row.net_minor for row in rows if row.kind == kind) for kind in InvoiceLine.Kind.values}
    assert invoice.net_minor == nets["line"] + nets["allowance"] + nets["charge"]
    assert invoice.tax_minor == sum(tax.tax_minor for tax in taxes)
    assert invoice.total_minor == invoice.net_minor + invoice.tax_minor
    assert invoice.due_minor == invoice.total_minor - invoice.prepaid_minor
    for tax in taxes:
        assert tax.taxable_minor == sum(row.net_minor for row in rows if row.tax_code == tax.tax_code)
        slack = 0 if invoice.prices == "net" else 1
        assert abs(tax.tax_minor - half_up(tax.taxable_minor * Fraction(tax.rate))) <= slack
    for row in rows:
        assert row.kind != "line" or row.unit_price_minor >= 0  # BR-27
        assert (row.kind == "allowance") == (row.amount_minor < 0)


@pytest.mark.parametrize("prices", ["net", "gross"])
def test_the_invoice_is_what_was_approved_to_the_cent(prices: str) -> None:
    kitchen_make(prices=prices, rush_rate="0.1")
    order = order_make()
    invoice = invoice_make(order)
    content = content_read(order.quote.content)
    assert content.prices == prices
    assert (invoice.net_minor, invoice.tax_minor) == (content.net_minor, content.tax_minor)
    assert invoice.total_minor == content.total_minor == order.total_minor
    taxes = [(tax.tax_code, tax.rate, tax.taxable_minor, tax.tax_minor) for tax in invoice.taxes.all()]
    assert taxes == [(tax.code, tax.rate, tax.taxable_minor, tax.tax_minor) for tax in content.taxes]
    assert invoice.lines.filter(kind="charge").exists()
    check_en16931(invoice)


def test_a_draft_has_no_number_and_can_be_discarded() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert (draft.number, draft.status) == (None, "draft")
    assert invoice_draft(order_id=order.pk, by=BY, at=LATER).pk == draft.pk
    invoice_discard(invoice_id=draft.pk, by=BY, at=LATER)
    assert not Invoice.objects.exists()
    assert not NumberSeries.objects.filter(pk="invoice").exists()


def test_numbers_have_no_gaps_and_a_refused_issue_takes_none() -> None:
    first = invoice_make(order_make())
    with pytest.raises(TransitionNotAllowed):
        invoice_issue(invoice_id=first.pk, by=BY, at=LATER)
    second = invoice_make(order_make())
    assert [first.number, second.number] == ["I-00001", "I-00002"]


def test_the_dates_are_the_kitchens() -> None:
    order = order_make()
    evening = LATER.replace(hour=22, minute=30)  # the next day in UTC
    invoice = invoice_make(order, at=evening)
    assert invoice.issued_on == evening.date()
    assert invoice.due_on == evening.date() + timedelta(days=content_read(order.quote.content).balance_days)
    assert invoice.supply_on == order.window_start.astimezone(LATER.tzinfo).date()


def test_what_was_paid_before_is_taken_off() -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    pay(order, 5_000)
    invoice = invoice_make(order)
    assert invoice.prepaid_minor == order.deposit_minor + 5_000
    assert invoice.due_minor == order.total_minor - order.deposit_minor - 5_000
    assert invoice.status == "issued"


def test_discarding_a_draft_is_on_record_and_an_issued_invoice_is_not_discarded() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert invoice_discard(invoice_id=draft.pk, by="kim", at=LATER) == order
    entry = AuditEntry.objects.get(document="invoice", document_pk=draft.pk, by="kim")
    assert (entry.event, entry.before, entry.after, entry.at) == ("discard", "draft", "", LATER)
    invoice = invoice_make(order)
    with refused(TransitionNotAllowed, match=r"^I-00001 is issued, so you cannot discard it\.$"):
        invoice_discard(invoice_id=invoice.pk, by=BY, at=LATER)
    with refused(TransitionNotAllowed, match=r"^I-00001 is issued, so you cannot issue it\.$"):
        invoice_issue(invoice_id=invoice.pk, by=BY, at=LATER)


def test_drafting_and_issuing_are_on_record_with_who_did_it_and_when() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by="kim", at=LATER)
    later = LATER + timedelta(hours=1)
    issued = invoice_issue(invoice_id=draft.pk, by="maren", at=later)
    assert (draft.created_at, issued.issued_at, issued.issued_by) == (LATER, later, "maren")
    entries = AuditEntry.objects.filter(document="invoice", document_pk=draft.pk)
    assert [(entry.event, entry.before, entry.after, entry.by, entry.at) for entry in entries] == [
        ("draft", "", "draft", "kim", LATER),
        ("issue", "draft", "issued", "maren", later),
    ]


def test_every_row_of_the_invoice_is_the_approved_one() -> None:
    kitchen_make(prices="net", rush_rate="0.1")
    order = order_make(table=table_make(discount=Decimal("0.1"), rush=True))
    invoice, content = invoice_make(order), content_read(order.quote.content)
    rows = [
        (row.position, row.kind, row.name, row.quantity, row.unit_code, row.unit_price_minor, row.amount_minor)
        for row in invoice.lines.all()
    ]
    lines = [("line", e.name, Decimal(e.units), "H87", e.unit_price_minor, e.amount_minor) for e in content.lines]
    lines += [("line", e.name, Decimal(1), "C62", e.amount_minor, e.amount_minor) for e in content.extras]
    lines += [
        ("allowance" if e.kind == "discount" else "charge", e.name, Decimal(1), "C62", e.amount_minor, e.amount_minor)
        for e in content.charges
    ]
    assert {e.kind for e in content.charges} == {"discount", "surcharge", "delivery"}
    assert rows == [(place, *line) for place, line in enumerate(lines)]
    names = {tax.code: f"{content.tax_name}, {tax.name}" for tax in content.taxes}
    for row in invoice.lines.all():
        (tax,) = (tax for tax in content.taxes if tax.code == row.tax_code)
        assert (row.tax_name, row.untdid, row.rate) == (names[tax.code], tax.untdid, tax.rate)
    for place, (row, tax) in enumerate(zip(invoice.taxes.all(), content.taxes, strict=True)):
        assert (row.position, row.tax_name, row.untdid) == (place, names[tax.code], tax.untdid)
        assert (row.exempt_reason, row.rate) == (tax.exempt_reason, tax.rate)


def test_the_invoice_of_an_exempt_customer_says_why_no_tax_is_due() -> None:
    kitchen_make()
    quote = draft_make()
    Customer.objects.update(tax_exempt=True)
    Quote.objects.filter(pk=quote.pk).update(override_reason="a test's price")
    sent = pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW))
    quote_record_approval(quote_id=sent.pk, name="Ida", reason="By phone", by=BY, at=NOW)
    invoice = invoice_make(sent.order)
    (tax,) = invoice.taxes.filter(tax_code="food")
    assert (tax.untdid, tax.exempt_reason, tax.tax_minor) == ("E", "The customer is exempt from this tax.", 0)
    assert set(invoice.lines.filter(tax_code="food").values_list("untdid", flat=True)) == {"E"}
    note = credit(invoice)
    (tax,) = note.taxes.filter(tax_code="food")
    assert (tax.untdid, tax.exempt_reason) == ("E", "The customer is exempt from this tax.")


def test_a_quote_that_does_not_add_up_is_not_invoiced() -> None:
    content = content_read(order_make().quote.content)
    for wrong in ("net_minor", "tax_minor", "total_minor"):
        with refused(DoesNotAddUp, match=f"quote {content.number}"):
            totals_of(replace(content, **{wrong: getattr(content, wrong) + 1}))


def test_a_long_name_of_a_tax_fits_its_column() -> None:
    content = replace(content_read(order_make().quote.content), tax_name="x" * 90)
    assert {len(tax.tax.name) for tax in totals_of(content).taxes} == {80}


def test_a_payment_between_draft_and_issue_is_taken_off_when_it_is_issued() -> None:
    order = order_make()
    deposit = pay(order, order.deposit_minor, "deposit")
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert draft.due_minor == order.total_minor - order.deposit_minor
    pay(order, 5_000)
    payment_reverse(payment_id=deposit.pk, note="bounced", by=BY, at=LATER)
    invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)
    issued = Invoice.objects.get(pk=draft.pk)
    assert (issued.prepaid_minor, issued.due_minor) == (5_000, order.total_minor - 5_000)
    assert paid_and_credited(issued) == (0, 0)
    assert (issued.status, issued.payments.count()) == ("issued", 0)


def test_a_draft_all_of_which_is_paid_meanwhile_is_paid_when_it_is_issued() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    pay(order, order.total_minor)
    issued = invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)
    assert (issued.due_minor, issued.status) == (0, "paid")


def test_an_invoice_paid_before_is_paid_when_issued() -> None:
    order = order_make()
    pay(order, order.total_minor, "deposit")
    assert invoice_make(order).status == "paid"


def test_an_order_is_invoiced_once_until_it_is_credited() -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order)
    with refused(AlreadyInvoiced, match=rf"(?=.*{order.number})(?=.*I-00001)"):
        invoice_draft(order_id=order.pk, by=BY, at=LATER)
    credit(invoice)
    again = invoice_make(order, at=LATER + timedelta(days=1))
    assert (again.number, again.prepaid_minor) == ("I-00002", order.deposit_minor)


def test_a_canceled_order_is_invoiced_only_for_money_the_kitchen_retains() -> None:
    refunded, retained = order_make(), order_make()
    for order, money in ((refunded, "refund"), (retained, "keep")):
        pay(order, order.deposit_minor, "deposit")
        order_cancel(order_id=order.pk, reason="Off.", money=money, by=BY, at=LATER)
    with pytest.raises(CanceledOrder, match=refunded.number):
        invoice_draft(order_id=refunded.pk, by=BY, at=LATER)
    assert invoice_make(retained).number == "I-00001"


def test_an_issued_invoice_is_fixed_by_the_database_too() -> None:
    invoice = invoice_make(order_make())
    for change in ({"net_minor": 1, "total_minor": 1 + invoice.tax_minor}, {"due_on": None}, {"number": "I-9"}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Invoice.objects.filter(pk=invoice.pk).update(**change)
    with pytest.raises(DatabaseError), transaction.atomic():
        Invoice.objects.get(pk=invoice.pk).lines.update(net_minor=1)
    with pytest.raises(TransitionNotAllowed):
        invoice_discard(invoice_id=invoice.pk, by=BY, at=LATER)


def test_the_seller_on_it_is_the_one_who_quoted() -> None:
    order = order_make()
    Kitchen.objects.update(name="Another Name", payment_details="To account 12", tax_note="Not registered.")
    invoice = invoice_make(order)
    content = content_read(order.quote.content)
    assert invoice.seller["name"] == content.kitchen.name != "Another Name"
    assert invoice.buyer["name"] == content.customer.name
    assert invoice.note == "To account 12\n\nNot registered."


def test_issuing_asks_for_the_pdf_in_the_same_commit() -> None:
    invoice = invoice_make(order_make(), mail=True)
    row = Outbox.objects.get(kind="invoice_pdf")
    assert row.payload == {"invoice": invoice.pk, "mail": True}
    assert row.summary == "PDF of invoice I-00001"
    assert row.about == f"invoice:{invoice.pk}"


def test_an_invoice_is_mailed_only_when_that_is_asked_for() -> None:
    draft = invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)
    assert Outbox.objects.get(kind="invoice_pdf").payload == {"invoice": draft.pk, "mail": False}


@pytest.fixture
def issued() -> Invoice:
    order = order_make()
    pay(order, order.deposit_minor, "deposit", reference="B 2107")
    return invoice_make(order, mail=True)


def test_the_pdf_is_made_once_and_mailed_once(issued: Invoice, mailoutbox: list[Any]) -> None:
    row = Outbox.objects.get(kind="invoice_pdf")
    invoice_pdf_make(row=row, at=LATER)
    invoice_pdf_make(row=row, at=LATER)
    document = Document.objects.get(file_name="invoice-I-00001.pdf")
    assert hashlib.sha256(document.body).hexdigest() == document.sha256
    assert invoice_document(invoice_id=issued.pk, at=LATER) == document
    mail = Outbox.objects.get(kind="invoice_mail")
    mail_send(row=mail, at=LATER)
    (message,) = mailoutbox
    assert message.subject.startswith("Invoice I-00001 from ")
    assert message.to == ["ida@fenwick.example"]
    assert message.extra_headers["Message-ID"] == f"<outbox-{mail.message_key}@localhost>"
    assert message.attachments[0][1] == bytes(document.body)


def test_the_pdf_says_what_the_law_usually_asks_for(issued: Invoice) -> None:
    import io

    document = invoice_document(invoice_id=issued.pk, at=LATER)
    text = " ".join("".join(page.extract_text() for page in PdfReader(io.BytesIO(bytes(document.body))).pages).split())
    content = content_read(issued.order.quote.content)
    for words in (
        "Invoice I-00001",
        content.kitchen.name,
        content.customer.name,
        "B 2107",
        issued.content_sha256[:12],
    ):
        assert words in text
    for line in content.lines:
        assert line.name in text


def test_the_rows_of_the_pdf_are_lines_then_charges(issued: Invoice) -> None:
    context = pdf_context(issued)
    assert [row.kind for row in context["lines"]] == ["line"] * len(context["lines"])
    assert sum(row.net_minor for row in context["lines"] + context["charges"]) == issued.net_minor
    assert invoice_rows(issued)["sum_lines"] == context["sum_lines"]
