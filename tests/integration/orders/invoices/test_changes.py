"""A change after the invoice: a further invoice or credit notes, which add up to what is in force."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.documents.content import content_read
from orders.invoices.change_services import change_credit_issue, change_invoice_draft
from orders.invoices.changes import change_to_bill
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.orders.services import order_close, order_deliver
from orders.records.amend_errors import ChangeNotSettled, NothingToSettle
from orders.records.errors import CreditDiffers
from tests.each import each
from tests.factories import BY, EVENT, user_make
from tests.integration.orders.amending import amend
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
#: When the further document is issued; the change was begun after the invoice.
SOON = LATER


def _units(order: Order) -> dict[str, int]:
    return {line.product.code: line.units for line in order.lines.select_related("product")}


def _first(order: Order) -> str:
    return next(iter(_units(order)))


def _fresh(order: Order) -> Order:
    return Order.objects.select_related("quote").get(pk=order.pk)


def further_make(order: Order) -> Invoice:
    draft = change_invoice_draft(order_id=order.pk, by=BY, at=SOON)
    return invoice_issue(invoice_id=draft.pk, by=BY, at=SOON)


def notes_make(order: Order, key: str = "k" * 32) -> list[Invoice]:
    found = change_to_bill(_fresh(order))
    assert found is not None
    return change_credit_issue(order_id=order.pk, idempotency_key=key, seen_minor=found.credit_minor, by=BY, at=SOON)


def changed(order: Order, by: int, **facts: Any) -> Order:
    code = _first(order)
    return amend(order, {code: _units(order)[code] + by}, at=LATER, **facts)


def test_before_an_invoice_the_invoice_follows_the_change() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    order = changed(order, 12)
    assert not Invoice.objects.filter(pk=draft.pk).exists()
    assert change_to_bill(_fresh(order)) is None
    assert invoice_make(order).total_minor == order.total_minor


def test_more_is_a_further_invoice_of_the_difference() -> None:
    order = order_make()
    pay(order, 2000, "deposit")
    first = invoice_make(order)
    order = changed(order, 12)
    further = further_make(order)
    assert further.settles == order.quote
    assert first.total_minor + further.total_minor == order.total_minor
    assert further.prepaid_minor == 0  # what the first leaves open is asked for there
    assert order_money(order).balance == order.total_minor - 2000
    assert change_to_bill(_fresh(order)) is None
    with pytest.raises(NothingToSettle):
        change_invoice_draft(order_id=order.pk, by=BY, at=SOON)


def test_less_is_a_credit_note_of_the_difference() -> None:
    order = order_make()
    first = invoice_make(order)
    order = changed(order, -12)
    (note,) = notes_make(order)
    assert note.credits == first
    assert first.total_minor - note.total_minor == order.total_minor
    assert change_to_bill(_fresh(order)) is None
    again = change_credit_issue(order_id=order.pk, idempotency_key="k" * 32, seen_minor=0, by=BY, at=SOON)
    assert [one.pk for one in again] == [note.pk]


def test_a_credit_is_refused_where_it_is_not_what_was_reviewed() -> None:
    order = order_make()
    invoice_make(order)
    order = changed(order, -12)
    with pytest.raises(CreditDiffers):
        change_credit_issue(order_id=order.pk, idempotency_key="x", seen_minor=1, by=BY, at=SOON)


@each("steps", [(12, -12), (-12, 12), (12, -24), (18, 6, -12), (-6, -12, 30)])
def test_changes_one_after_the_other_add_up_to_what_is_in_force(steps: tuple[int, ...]) -> None:
    order = order_make()
    invoice_make(order)
    for place, step in enumerate(steps):
        order = changed(order, step)
        found = change_to_bill(_fresh(order))
        assert found is not None
        if found.further:
            further_make(order)
        if found.credits:
            notes_make(order, f"key-{order.pk}-{place}")
        money = order_money(_fresh(order))
        assert money.invoiced - money.credited == order.total_minor


def test_two_changes_before_anything_is_settled_make_one_document() -> None:
    order = order_make()
    first = invoice_make(order)
    order = changed(changed(order, 12), 6)
    further = further_make(order)
    assert first.total_minor + further.total_minor == order.total_minor


def test_what_was_credited_for_another_reason_is_not_asked_for_again() -> None:
    order = order_make()
    first = invoice_make(order)
    row = first.lines.order_by("position").first()
    assert row is not None
    broken = credit(first, {row.pk: row.unit_price_minor})
    order = changed(order, 12)
    further = further_make(order)
    assert first.total_minor + further.total_minor == order.total_minor
    assert order_money(order).balance == order.total_minor - broken.total_minor


def test_another_discount_is_settled_too() -> None:
    order = order_make()
    invoice_make(order)
    for place, discount in enumerate(["0.1", "0.02", "0"]):
        order = amend(order, at=LATER, discount=Decimal(discount))
        found = change_to_bill(_fresh(order))
        assert found is not None
        if found.further:
            further_make(order)
        if found.credits:
            notes_make(order, f"key-{order.pk}-{place}")
        money = order_money(_fresh(order))
        assert money.invoiced - money.credited == content_read(order.quote.content).total_minor


def test_one_payment_of_two_invoices_is_divided_among_them() -> None:
    order = order_make()
    first = invoice_make(order)
    order = changed(order, 12)
    further = further_make(order)
    paid = pay(order, order.total_minor, idempotency_key="one receipt")
    assert pay(order, order.total_minor, idempotency_key="one receipt") == paid
    assert sum(Payment.objects.values_list("amount_minor", flat=True)) == order.total_minor
    for invoice in (first, further):
        invoice.refresh_from_db()
        assert invoice.status == "paid"


def test_an_order_is_closed_only_when_its_change_is_settled() -> None:
    order = order_make()
    first = invoice_make(order)
    order = changed(order, 12)
    pay(order, first.total_minor)
    order_deliver(order_id=order.pk, note="As ordered.", owner=True, by=BY, at=EVENT)
    with pytest.raises(ChangeNotSettled):
        order_close(order_id=order.pk, by=BY, at=EVENT)
    further = further_make(order)
    pay(order, further.total_minor)
    assert order_close(order_id=order.pk, by=BY, at=EVENT).status == "closed"


def test_the_owner_reviews_the_difference_before_it_gets_a_number(client: Client) -> None:
    client.force_login(user_make())
    order = order_make()
    invoice_make(order)
    order = changed(order, 12)
    page = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Invoice or credit the change" in page
    address = reverse("order-settle-change", args=[order.pk])
    assert "To invoice in addition" in client.get(address).content.decode()
    assert client.post(address, {"do": "invoice"}).status_code == 302
    draft = Invoice.objects.get(status="draft")
    assert draft.settles == order.quote
    assert "Open draft invoice" in client.get(reverse("order", args=[order.pk])).content.decode()
