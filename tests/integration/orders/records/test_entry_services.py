"""Each service that changes money or a document is a transaction of its own: inside another one it refuses to run."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import transaction

from orders.approvals.services import quote_approve, quote_decline, quote_record_approval
from orders.invoices.credit_notes import credit_note_issue
from orders.invoices.payments import payment_record, payment_reverse
from orders.invoices.services import invoice_discard, invoice_draft, invoice_issue
from orders.orders.services import order_cancel, order_close, order_deliver, order_start
from orders.quotes.send.services import quote_revise, quote_send, quote_withdraw
from orders.register.services import export_make

SERVICES: list[Callable[..., Any]] = [
    quote_send,
    quote_revise,
    quote_withdraw,
    quote_approve,
    quote_record_approval,
    quote_decline,
    order_start,
    order_deliver,
    order_close,
    order_cancel,
    invoice_draft,
    invoice_issue,
    invoice_discard,
    credit_note_issue,
    payment_record,
    payment_reverse,
    export_make,
]


@pytest.mark.django_db
@pytest.mark.parametrize("service", SERVICES, ids=[service.__name__ for service in SERVICES])
def test_a_service_refuses_to_run_in_another_transaction(service: Callable[..., Any]) -> None:
    """In another transaction the work, and the number assigned, could still be rolled back."""
    with transaction.atomic(), pytest.raises(RuntimeError, match="durable"):
        service()
