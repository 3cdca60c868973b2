"""Credit notes credit an invoice in whole or in part, exact to the cent and never more than is left."""

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web.display import kitchen_display, minor
from costing.money.rounding import half_up
from orders.invoices.credit_notes import credit_totals
from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.selectors import creditable
from orders.invoices.services import invoice_draft
from orders.records.errors import NotAnIssuedInvoice, NothingToCredit, TooMuchCredited
from tests.factories import BY, kitchen_make, table_make
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


@pytest.mark.parametrize(("prices", "of_price"), [("net", Fraction("0.08")), ("gross", Fraction(8, 108))])
def test_the_first_notes_tax_is_the_tax_on_what_is_credited_to_the_cent(prices: str, of_price: Fraction) -> None:
    """Food is taxed with 8 %: on top of net prices, contained in gross ones."""
    kitchen_make(prices=prices)
    invoice = invoice_make(order_make())
    line = invoice.lines.filter(kind="line")[0]
    for amount in (1, 6, 7, 12, 13, 18, 19, 1_000, 1_006, 1_007, 2_345):
        totals = credit_totals(invoice, {line.pk: amount})
        assert totals.tax_minor == half_up(amount * of_price), amount
        assert totals.total_minor == amount + (totals.tax_minor if prices == "net" else 0)


def test_the_second_notes_tax_is_counted_on_from_the_first() -> None:
    """At 8 % net: 0.48 on 6, so none; 0.96 on 12, so 1 in all."""
    kitchen_make(prices="net")
    invoice = invoice_make(order_make())
    line = invoice.lines.filter(kind="line")[0]
    notes = [credit(invoice, {line.pk: 6}) for _ in range(3)]
    assert [(note.net_minor, note.tax_minor, note.total_minor) for note in notes] == [(6, 0, 6), (6, 1, 7), (6, 0, 6)]
    assert [note.prices for note in notes] == ["net"] * 3


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


@pytest.mark.parametrize("prices", ["net", "gross"])
def test_what_is_credited_in_full_at_one_rate_leaves_the_other_rates_to_credit(prices: str) -> None:
    kitchen_make(prices=prices)
    invoice = invoice_make(order_make())
    rows = creditable(invoice)
    codes = {row.line.tax_code for row in rows}
    assert len(codes) == 2
    for code in sorted(codes):
        note = credit(invoice, {row.line.pk: row.left for row in rows if row.line.tax_code == code})
        (tax,), (whole,) = note.taxes.all(), invoice.taxes.filter(tax_code=code)
        assert (tax.taxable_minor, tax.tax_minor) == (whole.taxable_minor, whole.tax_minor)
    assert Invoice.objects.get(pk=invoice.pk).status == "paid"


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
    with refused(NotAnIssuedInvoice, match=f"^draft invoice {draft.pk} is not an issued invoice"):
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


@pytest.mark.parametrize("prices", ["net", "gross"])
def test_a_note_carries_its_reason_and_what_the_invoice_says(prices: str) -> None:
    kitchen_make(prices=prices)
    invoice = invoice_make(order_make())
    issued = credit(invoice, {invoice.lines.all()[0].pk: 1_000}, reason="Twelve tarts.", at=LATER + timedelta(days=1))
    note = Invoice.objects.get(pk=issued.pk)
    for name in ("order", "supply_on", "currency", "prices", "seller", "buyer"):
        assert getattr(note, name) == getattr(invoice, name), name
    assert (note.reason, note.prepaid_minor, note.due_minor) == ("Twelve tarts.", 0, note.total_minor)
    assert (note.issued_on, note.due_on, note.issued_by) == (LATER.date() + timedelta(days=1), None, BY)


@pytest.mark.parametrize("mail", [None, False, True])
def test_a_note_is_mailed_only_when_that_is_asked_for(mail: bool | None) -> None:
    note = credit(invoice_make(order_make()), **({} if mail is None else {"mail": mail}))
    assert Outbox.objects.get(about=f"invoice:{note.pk}").payload == {"invoice": note.pk, "mail": bool(mail)}


def test_a_part_of_a_row_is_credited_as_one_amount_under_its_own_words() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    draft.lines.filter(position=1).update(name="x" * 200)
    invoice = invoice_make(order)
    first, second = invoice.lines.filter(kind="line")[:2]
    (row,) = credit(invoice, {first.pk: first.unit_price_minor + 1}).lines.all()
    assert (row.name, row.kind, row.credits) == (f"Part of the price: {first.name}", "line", first)
    assert (row.quantity, row.unit_code, row.unit_price_minor) == (1, "C62", first.unit_price_minor + 1)
    (row,) = credit(invoice, {second.pk: 1}).lines.all()
    assert row.name == "Part of the price: " + "x" * 181


def test_charges_and_discounts_are_credited_as_what_they_are() -> None:
    kitchen_make()
    invoice = invoice_make(order_make(table=table_make(discount=Decimal("0.1"))))
    charge, discount = invoice.lines.get(kind="charge"), invoice.lines.get(kind="allowance")
    for amount in (1, charge.amount_minor - 1):
        (row,) = credit(invoice, {charge.pk: amount}).lines.all()
        assert (row.name, row.kind, row.quantity, row.unit_code) == (charge.name, "charge", 1, "C62")
        assert (row.unit_price_minor, row.amount_minor) == (amount, amount)
    rest = credit(invoice)
    row = rest.lines.get(credits=discount)
    assert (row.name, row.kind, row.amount_minor) == (discount.name, "allowance", discount.amount_minor)
    assert not rest.lines.filter(credits=charge).exists()


def test_the_least_amount_of_a_later_row_is_credited() -> None:
    invoice = invoice_make(order_make())
    second = invoice.lines.filter(kind="line")[1]
    assert [(row.credits, row.amount_minor) for row in credit(invoice, {second.pk: 1}).lines.all()] == [(second, 1)]


def test_a_refusal_says_how_much_of_what_is_left_in_the_invoices_currency() -> None:
    kitchen_make()
    invoice = invoice_make(order_make(table=table_make(discount=Decimal("0.2"))))
    line, charge = invoice.lines.filter(kind="line")[0], invoice.lines.get(kind="charge")
    credit(invoice, {line.pk: line.amount_minor - 150})
    Kitchen.objects.update(currency="JPY")
    with kitchen_display(Kitchen.objects.get()):
        with refused(TooMuchCredited, match=rf"^At most \$1\.50 is left to credit of {line.name} on I-00001\.$"):
            credit(invoice, {line.pk: 151})
        credit(invoice, {line.pk: 150})
        with refused(TooMuchCredited, match=r"^At most \$0\.00 is left"):
            credit(invoice, {line.pk: 1})
        with refused(NothingToCredit, match=rf"^Nothing was credited: I-00001 has \{left_of(invoice)} left"):
            credit(invoice, {})
        taxed = [row for row in creditable(invoice) if row.line.tax_code == "food" and row.left > 0]
        most = minor(sum(row.left for row in creditable(invoice) if row.line.tax_code == "food"), "USD")
        words = rf"^At most \{most} is left to credit of items taxed as {line.tax_name} on I-00001\.$"
        with refused(TooMuchCredited, match=words):
            credit(invoice, {row.line.pk: row.left for row in taxed})
    assert charge.tax_code == "food"


def left_of(invoice: Invoice) -> str:
    return minor(sum(row.left for row in creditable(invoice)), invoice.currency)
