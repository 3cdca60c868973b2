"""Credit notes take an invoice back, whole or in part, to the cent and never more than is left."""

from datetime import timedelta

import pytest

from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.selectors import creditable
from orders.invoices.services import invoice_draft
from orders.records.errors import NotAnIssuedInvoice, NothingToCredit, TooMuchCredited
from tests.factories import BY, kitchen_make
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.invoices.test_invoices import check_en16931
from tests.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("prices", ["net", "gross"])
def test_a_full_credit_is_the_invoice_again(prices: str) -> None:
    kitchen_make(prices=prices)
    invoice = invoice_make(order_make())
    note = credit(invoice)
    assert (note.kind, note.number, note.credits) == ("381", "C-00001", invoice)
    for name in ("net_minor", "tax_minor", "total_minor"):
        assert getattr(note, name) == getattr(invoice, name)
    fields = ("name", "kind", "quantity", "unit_code", "unit_price_minor", "amount_minor", "net_minor", "tax_code")
    assert list(note.lines.values_list(*fields[:2], *fields[5:])) == list(
        invoice.lines.values_list(*fields[:2], *fields[5:])
    )
    check_en16931(note)
    assert Invoice.objects.get(pk=invoice.pk).status == "paid"


@pytest.mark.parametrize("prices", ["net", "gross"])
def test_parts_add_up_to_the_invoice(prices: str) -> None:
    kitchen_make(prices=prices)
    invoice = invoice_make(order_make())
    lines = list(invoice.lines.filter(kind="line"))
    notes = [
        credit(invoice, {lines[0].pk: 3_333}),
        credit(invoice, {lines[0].pk: 1_111, lines[1].pk: lines[1].amount_minor}),
        credit(invoice),
    ]
    check_en16931(notes[0])
    for name in ("net_minor", "tax_minor", "total_minor"):
        assert sum(getattr(note, name) for note in notes) == getattr(invoice, name)
    with pytest.raises(NothingToCredit):
        credit(invoice)


def test_never_more_than_the_row_has_left() -> None:
    invoice = invoice_make(order_make())
    line = invoice.lines.filter(kind="line")[0]
    credit(invoice, {line.pk: 1_000})
    with refused(TooMuchCredited, match=line.name):
        credit(invoice, {line.pk: line.amount_minor - 999})
    with pytest.raises(NothingToCredit):
        credit(invoice, {})
    with pytest.raises(TooMuchCredited):
        credit(invoice, {line.pk: -5})


def test_a_discount_on_the_whole_counts_against_its_rate() -> None:
    from decimal import Decimal

    from tests.factories import table_make

    kitchen_make()
    order = order_make(table=table_make(discount=Decimal("0.2")))
    invoice = invoice_make(order)
    assert invoice.lines.filter(kind="allowance").exists()
    rows = [row for row in creditable(invoice) if row.line.kind == "line" and row.line.tax_code != "service"]
    with refused(TooMuchCredited, match="taxed as"):
        credit(
            invoice,
            {row.line.pk: row.left for row in rows}
            | {row.line.pk: row.left for row in creditable(invoice) if row.line.kind == "charge"},
        )
    assert credit(invoice).total_minor == invoice.total_minor


def test_whole_pieces_are_credited_as_pieces() -> None:
    invoice = invoice_make(order_make())
    line = invoice.lines.filter(kind="line")[0]
    note = credit(invoice, {line.pk: 12 * line.unit_price_minor})
    (row,) = note.lines.all()
    assert (row.quantity, row.unit_code, row.unit_price_minor, row.credits) == (12, "H87", line.unit_price_minor, line)


def test_the_same_form_sent_twice_credits_once() -> None:
    invoice = invoice_make(order_make())
    line = invoice.lines.all()[0]
    first = credit(invoice, {line.pk: 100}, idempotency_key="k" * 32)
    assert credit(invoice, {line.pk: 100}, idempotency_key="k" * 32) == first
    assert Invoice.objects.filter(kind="381").count() == 1


def test_a_draft_or_a_credit_note_cannot_be_credited() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    with pytest.raises(NotAnIssuedInvoice):
        credit(draft)
    note = credit(invoice_make(order_make()))
    with pytest.raises(NotAnIssuedInvoice):
        credit(note)


def test_crediting_a_paid_invoice_leaves_money_with_the_customer() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.due_minor)
    line = invoice.lines.filter(kind="line")[0]
    note = credit(invoice, {line.pk: 2_000}, at=LATER + timedelta(days=1))
    assert order_money(order).credit == note.total_minor
    pay(order, note.total_minor, "refund", at=LATER + timedelta(days=2))
    assert order_money(order).balance == 0
    assert Invoice.objects.get(pk=invoice.pk).status == "paid"


def test_a_part_credit_without_payment_leaves_it_issued() -> None:
    invoice = invoice_make(order_make())
    credit(invoice, {invoice.lines.all()[0].pk: 100})
    assert Invoice.objects.get(pk=invoice.pk).status == "issued"
