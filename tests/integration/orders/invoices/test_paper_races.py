"""Papers at one moment: two requests at once, and a request while the payment it asks for comes in."""

from threading import Lock

import pytest

from orders.invoices.models import Payment, PaymentPaper
from orders.invoices.order_money import order_money
from orders.invoices.paper_content import paper_read
from orders.invoices.papers import request_issue
from orders.invoices.services import invoice_draft, invoice_issue
from orders.records.cancel_errors import NothingToRequest
from orders.records.models import NumberSeries
from tests.factories import BY, kitchen_make
from tests.integration.orders.builders import LATER, order_make, pay
from tests.integration.orders.invoices.test_money_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def asked(order: int) -> PaymentPaper:
    return request_issue(order_id=order, mail=False, by=BY, at=LATER)


def test_two_requests_at_once_are_one_paper_with_one_number() -> None:
    order = order_make()
    papers = at_once(lambda: asked(order.pk))
    assert len({paper.pk for paper in papers}) == 1 == PaymentPaper.objects.filter(kind="request").count()
    assert NumberSeries.objects.get(pk="request").last == 1


def test_a_request_while_paying_asks_for_what_is_open_by_its_own_content() -> None:
    kitchen_make(payments_before=[{"days": 14}])
    order = order_make()
    half, turns, lock = order.deposit_minor // 2, iter(range(4)), Lock()

    def one() -> object:
        with lock:
            turn = next(turns)
        return asked(order.pk) if turn % 2 else pay(order, half, "deposit", idempotency_key=f"{turn}" * 32)

    at_once(one)
    money = order_money(order)
    assert money.received == 2 * half == sum(Payment.objects.values_list("amount_minor", flat=True))
    requests = PaymentPaper.objects.filter(kind="request")
    for paper in requests:
        # What had come in by then, and what it asks for, are of one moment: they fill the schedule exactly.
        content = paper_read(paper.content)
        rows = {one.due_on: one for one in order.scheduled.all()}
        row = rows[content["due_on"]]
        assert content["amount_minor"] == min(row.amount_minor, row.upto_minor - content["received_minor"])
    assert len({(one.due_on, one.amount_minor) for one in requests}) == len(requests)
    receipts = PaymentPaper.objects.filter(kind="receipt").order_by("pk")
    left = [paper_read(one.content)["left_minor"] for one in receipts]
    assert left == [money.total - half, money.total - 2 * half]
    assert [one.number for one in receipts] == ["RC-00001", "RC-00002"]


def test_a_request_and_the_invoice_at_once_never_ask_twice_after_the_invoice() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    turns, lock = iter(range(2)), Lock()

    def one() -> object:
        with lock:
            turn = next(turns)
        return asked(order.pk) if turn else invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)

    found = at_once(one, 2)
    papers = [one for one in found if isinstance(one, PaymentPaper)]
    refusals = [one for one in found if isinstance(one, NothingToRequest)]
    assert len(papers) + len(refusals) == 1
    with pytest.raises(NothingToRequest):
        asked(order.pk)
