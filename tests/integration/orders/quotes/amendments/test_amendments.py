"""A confirmed order is changed by an amendment: its own content, its own approval, the same order."""

from datetime import timedelta

import pytest

from orders.approvals.models import Approval
from orders.approvals.selectors import why_closed
from orders.approvals.services import ApprovalEvidence, quote_decline
from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.amendments.presenters import amended_of
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw, quotes_expire
from orders.records.amend_errors import BelowBegun, NothingAmended, OrderNotOpen, QuoteAmended
from orders.records.errors import OrderError, TransitionNotAllowed
from orders.records.presenters import sentence
from orders.records.states import OrderStatus, QuoteStatus
from tests.each import each
from tests.factories import BY, pdf_stored
from tests.integration.orders.amending import AGREED, BEGUN, agree, amend_begin, amend_send
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen

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


def test_a_change_that_changes_nothing_is_not_sent() -> None:
    order = order_make()
    with pytest.raises(NothingAmended):
        amend_send(order)


def test_less_than_is_in_production_is_refused_with_what_fits() -> None:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    sent = amend_send(order, {line.product: line.units - 12})
    Order.objects.filter(pk=order.pk).update(status=OrderStatus.IN_PRODUCTION)
    with pytest.raises(BelowBegun) as refused:
        agree(sent)
    assert f"Enter {line.units} or more" in sentence(refused.value)
    order.refresh_from_db()
    assert order.quote_id != sent.pk  # nothing of it was done


def test_a_delivered_or_canceled_order_is_not_changed() -> None:
    order = order_make()
    order_cancel(order_id=order.pk, reason="Off", by=BY, at=BEGUN)
    with pytest.raises(OrderNotOpen):
        amend_begin(order)


@each("ending", ["decline", "withdraw", "expire", "discard", "cancel"])
def test_what_comes_to_nothing_leaves_the_order_and_its_event_as_they_were(ending: str) -> None:
    order = order_make()
    first, line = order.quote, content_read(order.quote.content).lines[0]
    draft = amend_begin(order, {line.product: line.units + 12})
    inquiry = Inquiry.objects.get(pk=draft.inquiry_id)
    before = inquiry.window_start, inquiry.place, inquiry.minutes
    Inquiry.objects.filter(pk=inquiry.pk).update(
        window_start=inquiry.window_start + timedelta(hours=1),
        window_end=inquiry.window_end + timedelta(hours=1),
        place="Another barn",
        minutes=95,
    )
    order = Order.objects.get(pk=order.pk)
    event = order.event
    assert (event.window_start, event.place, event.minutes) == before  # sheets stay as agreed meanwhile
    if ending != "discard":
        Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
        draft = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=BEGUN))
    at = BEGUN + timedelta(hours=1)
    if ending == "decline":
        quote_decline(quote_id=draft.pk, reason="", evidence=ApprovalEvidence(), at=at)
    elif ending in ("withdraw", "discard"):
        quote_withdraw(quote_id=draft.pk, by=BY, at=at)
    elif ending == "expire":
        assert quotes_expire(at=BEGUN + timedelta(days=60)) == 1
    else:
        order_cancel(order_id=order.pk, reason="Off", by=BY, at=at)
    order, inquiry = Order.objects.get(pk=order.pk), Inquiry.objects.get(pk=inquiry.pk)
    assert (inquiry.window_start, inquiry.place, inquiry.minutes) == before
    assert order.event_in_force is None
    assert order.quote == first
    assert Quote.objects.get(pk=draft.pk).status not in (QuoteStatus.DRAFT, QuoteStatus.SENT)
    with pytest.raises((OrderError, TransitionNotAllowed)):
        agree(draft, at=at)


def test_another_time_and_place_are_the_orders_once_approved() -> None:
    order = order_make()
    draft = amend_begin(order)
    Inquiry.objects.filter(pk=draft.inquiry_id).update(place="Another barn", guests=90)
    draft.refresh_from_db()
    Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
    sent = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=BEGUN))
    shown = amended_of(sent)
    assert shown is not None
    assert {row.label for row in shown.rows} >= {"Place", "Guests", "Total"}
    assert shown.same_total
    agree(sent)
    order = Order.objects.get(pk=order.pk)
    assert order.event.place == "Another barn"
    assert content_read(order.quote.content).event.place == "Another barn"
    assert order.event_in_force is None
