"""Concurrent requests: a double click, two users on one draft, two exports of one month."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connections

from orders.invoices.models import Invoice, Payment
from orders.invoices.services import invoice_draft, invoice_issue
from orders.records.errors import OrderError
from orders.records.models import NumberSeries
from orders.register.models import ExportItem
from orders.register.services import export_make
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(work: Callable[[], Any], times: int = 4) -> list[Any]:
    """Do the work in threads that start together; a refusal is an outcome."""
    start = Barrier(times)

    def one(_: int) -> Any:
        try:
            start.wait(timeout=120)
            return work()
        except OrderError as refusal:
            return refusal
        finally:
            connections.close_all()

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(one, range(times)))


def test_a_double_click_records_and_credits_once() -> None:
    order = order_make()
    invoice = invoice_make(order)
    paid = at_once(lambda: pay(order, 10_000, idempotency_key="k" * 32))
    assert len({payment.pk for payment in paid}) == 1 == Payment.objects.count()
    line = invoice.lines.filter(kind="line")[0]
    notes = at_once(lambda: credit(invoice, {line.pk: 500}, idempotency_key="c" * 32))
    assert len({note.pk for note in notes}) == 1 == Invoice.objects.filter(kind="381").count()


def test_one_draft_is_issued_once_and_takes_one_number() -> None:
    order = order_make()
    drafts = at_once(lambda: invoice_draft(order_id=order.pk, by=BY, at=LATER).pk)
    assert len(set(drafts)) == 1
    outcomes = at_once(lambda: invoice_issue(invoice_id=drafts[0], by=BY, at=LATER))
    assert sum(isinstance(outcome, Invoice) for outcome in outcomes) == 1
    assert NumberSeries.objects.get(pk="invoice").last == 1


def test_an_invoice_is_never_credited_for_more_than_itself() -> None:
    invoice = invoice_make(order_make())
    keys = iter("abcd")
    outcomes = at_once(lambda: credit(invoice, idempotency_key=next(keys) * 32))
    notes = [outcome for outcome in outcomes if isinstance(outcome, Invoice)]
    assert [note.total_minor for note in notes] == [invoice.total_minor]


def test_a_document_goes_out_in_one_of_two_exports() -> None:
    for days in range(3):
        invoice_make(order_make(), at=LATER + timedelta(days=days))
    last = LATER.date() + timedelta(days=9)
    at_once(lambda: export_make(first_day=LATER.date(), last_day=last, currency="USD", by=BY, at=LATER))
    assert ExportItem.objects.count() == 3 == len(set(ExportItem.objects.values_list("invoice", flat=True)))
