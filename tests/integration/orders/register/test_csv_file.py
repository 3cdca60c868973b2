"""The CSV file is streamed, and to the byte what the plain writer makes of the same documents."""

from datetime import timedelta
from random import Random
from typing import Any

import pytest
from django.urls import reverse

from orders.invoices.models import Invoice, InvoiceTax
from orders.invoices.running_sums import issued_counted
from orders.orders.models import Order
from orders.register import csv_file
from orders.register.csv_file import csv_pieces, rates_of
from orders.register.filters import RegisterFilter, register
from orders.register.selectors import register_rows
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.register.test_register import signed_in
from tests.plain_csv import content_of, csv_bytes

pytestmark = pytest.mark.django_db
TODAY = LATER.date()
NAMES = (
    "Ida Fenwick",
    "=1+1",
    "  @sum",
    "＝x",
    "\tTab",
    "\r\nline",
    'O’Hara, "Ann"',
    "",
    "-9",
    "Ünal",
    "\u00a0=x",
    "3 Elms",
)
TAXES = (("Sales tax", "0.08"), ("Sales tax", "0.080"), ("Sales tax", "0.1"), ("VAT", "0.19"), ("VAT", "0"))


def document_make(order: Order, at: int, rng: Random, invoices: list[Invoice]) -> Invoice:
    """Issue a document of one of four currencies, with taxes, names and reasons of every kind."""
    note = bool(invoices) and rng.random() < 0.3
    net, tax = (rng.choice((0, 1, 9, 10, 99, 100, 101, 999, 1000, rng.randint(0, 10**9))) for _ in range(2))
    prepaid = 0 if note else rng.choice((0, net, -5))
    buyer = {"name": rng.choice(NAMES), "tax_number": rng.choice(("", "12-3", "+49"))}
    document = Invoice.objects.create(
        order=order,
        kind="381" if note else "380",
        credits=rng.choice(invoices) if note else None,
        reason=rng.choice(NAMES) if note else "",
        created_at=LATER,
        supply_on=TODAY,
        due_on=None if note else TODAY + timedelta(days=rng.randint(0, 9)),
        currency=rng.choice(("USD", "EUR", "JPY", "KWD")),
        buyer=rng.choice((buyer, buyer, {})),
        net_minor=net,
        tax_minor=tax,
        total_minor=net + tax,
        prepaid_minor=prepaid,
        due_minor=net + tax - prepaid,
    )
    for position, (name, rate) in enumerate(rng.sample(TAXES, rng.randint(0, 4))):
        InvoiceTax.objects.create(
            invoice=document,
            position=position,
            tax_code=str(position),
            tax_name=name,
            rate=rate,
            taxable_minor=net,
            tax_minor=tax // (position + 1),
        )
    issued = {"issued_at": LATER, "issued_on": TODAY - timedelta(days=rng.randint(0, 90))}
    own = Invoice.objects.filter(pk=document.pk)
    own.update(status="issued", number=f"{'C' if note else 'I'}-{at + 90_000}", **issued)
    status = rng.choice(("issued", "part_paid", "paid"))
    if status != "issued":
        own.update(status=status)
    document.refresh_from_db()
    issued_counted(document)
    return document


@pytest.fixture
def many() -> None:
    """Three hundred documents, and some that were paid and credited by the services."""
    rng, order = Random(7), order_make()
    invoices: list[Invoice] = []
    for at in range(300):
        document = document_make(order, at, rng, invoices)
        if not document.is_credit_note:
            invoices.append(document)
    paid, open_ = order_make(), order_make()
    pay(paid, 700, "deposit")
    pay(paid, invoice_make(paid).due_minor + 3)
    credit(invoice_make(open_), reason="=Twelve tarts.")


def plain(documents: Any, *, standing: bool) -> bytes:
    return csv_bytes(content_of(list(register_rows(documents, standing=standing)), standing=standing))


@pytest.mark.parametrize("standing", [True, False])
def test_the_stream_is_the_plain_file_to_the_byte(many: None, standing: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_file, "CHUNK", 37)
    for chosen in (
        RegisterFilter(),
        RegisterFilter(kind="381"),
        RegisterFilter(standing="open"),
        RegisterFilter(standing="paid", first=TODAY - timedelta(days=40)),
        RegisterFilter(find="nobody"),
    ):
        documents = register(chosen, today=TODAY)
        pieces = list(csv_pieces(documents, rates_of(documents), standing=standing))
        assert b"".join(pieces) == plain(documents, standing=standing), chosen
        assert len(pieces) == 2 + -(-documents.count() // 37), "piece by piece"


def test_the_bookkeepers_download_is_that_stream(many: None) -> None:
    client = signed_in("bookkeeper")
    for query, chosen in (("", RegisterFilter()), ("kind=381", RegisterFilter(kind="381"))):
        response = client.get(f"{reverse('money-register-csv')}?{query}")
        assert response.streaming
        assert response.getvalue() == plain(register(chosen, today=TODAY), standing=True)


def test_a_document_that_came_meanwhile_with_a_tax_of_its_own_is_left_out() -> None:
    invoice_make(order_make())
    documents = Invoice.objects.exclude(status="draft")
    rates, before = rates_of(documents), plain(documents, standing=False)
    for at in range(9):
        document_make(Order.objects.get(), at, Random(at), [])
    late = [row.pk for row in register_rows(documents, standing=False) if set(row.taxes) - set(rates)]
    assert len(late) > 1
    assert b"".join(csv_pieces(documents.filter(pk__in=[*late, 1]), rates, standing=False)) != b""
    present = documents.exclude(pk__in=late)
    text = b"".join(csv_pieces(documents, rates, standing=False))
    assert text.count(b"\r\n") == present.count() + 1 + len(set(present.values_list("currency", flat=True)))
    assert text != before
