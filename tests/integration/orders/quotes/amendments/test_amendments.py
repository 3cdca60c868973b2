"""A confirmed order is changed by an amendment: its own content, its own approval, the same order."""

from datetime import timedelta

import pytest

from orders.approvals.models import Approval
from orders.approvals.selectors import why_closed
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.amend_errors import QuoteAmended
from orders.records.states import OrderStatus, QuoteStatus
from tests.integration.orders.amending import AGREED, agree, amend_begin, amend_send
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


def test_an_approved_change_is_the_same_order_with_other_counts() -> None:
    order = order_make()
    first, before = order.quote, content_read(order.quote.content)
    code = before.lines[0].product
    sent = amend_send(order, {code: before.lines[0].units + 12})

    order.refresh_from_db()
    assert order.quote == first  # nothing changes before the approval
    agree(sent)
    changed = Order.objects.get(pk=order.pk)
    after = content_read(changed.quote.content)
    assert changed.number == order.number
    assert changed.status == OrderStatus.CONFIRMED
    assert changed.quote == sent
    assert [line.units for line in changed.lines.all()] == [line.units for line in after.lines]
    assert after.lines[0].units == before.lines[0].units + 12
    assert after.lines[0].unit_price_minor == before.lines[0].unit_price_minor
    assert changed.total_minor == after.total_minor > before.total_minor
    assert changed.deposit_minor == order.deposit_minor
    assert changed.deposit_due_on == order.deposit_due_on
    first.refresh_from_db()
    assert first.status == QuoteStatus.AMENDED
    assert content_read(first.content) == before
    assert Approval.objects.filter(quote__in=[first, sent]).count() == 2
    assert isinstance(why_closed(first, AGREED + timedelta(hours=1)), QuoteAmended)


def test_a_change_is_begun_once_and_has_what_is_in_force() -> None:
    order = order_make()
    draft = amend_begin(order)
    assert amend_begin(order) == draft
    assert draft.amends == order
    agreed = {line.product: line.unit_price_minor for line in content_read(order.quote.content).lines}
    assert {line.product.code: line.unit_price_minor for line in draft.lines.all()} == agreed
    assert Quote.objects.filter(number=draft.number).count() == 2
