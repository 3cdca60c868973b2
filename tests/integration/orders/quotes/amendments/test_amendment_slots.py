"""A change of an order swaps its place in the kitchen's plan in the commit that approves it."""

import pytest

from catalog.kitchen.models import Kitchen
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning.models import KitchenPlan
from orders.quotes.models import Quote
from orders.records.slot_errors import NoSlot
from orders.records.states import QuoteStatus
from tests.factories import BY, pdf_stored
from tests.integration.orders.amending import agree, amend_begin, amend_send
from tests.integration.orders.approvals.rings import SOON, cakes, filled, rings_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    rings_make()


def _placed() -> set[int]:
    return {one["of"] for one in KitchenPlan.objects.get().placed if one["of"]}


def test_what_changes_no_count_stays_where_it_is_in_a_full_kitchen() -> None:
    first, *others = filled()
    order = first.order
    before = sorted(one["at"] for one in KitchenPlan.objects.get().placed if one["of"] == first.pk)
    draft = amend_begin(order, at=SOON)
    Inquiry.objects.filter(pk=draft.inquiry_id).update(guests=99)
    sent = pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=SOON))
    agree(sent, at=SOON)
    assert _placed() == {sent.pk, *(one.pk for one in others)}
    assert sorted(one["at"] for one in KitchenPlan.objects.get().placed if one["of"] == sent.pk) == before


def test_more_than_there_is_room_for_is_refused_and_the_order_keeps_its_place() -> None:
    first, *_ = filled()
    sent = amend_send(first.order, {"walnut-cake": 12}, at=SOON)
    before = KitchenPlan.objects.get().placed
    with pytest.raises(NoSlot):
        agree(sent, at=SOON)
    assert Quote.objects.get(pk=sent.pk).status == QuoteStatus.SENT
    assert Order.objects.get(pk=first.order.pk).quote == first
    assert KitchenPlan.objects.get().placed == before


def test_what_is_taken_off_is_free_for_others() -> None:
    first, *_ = filled()
    sent = amend_send(first.order, {"walnut-cake": 2}, at=SOON)
    agree(sent, at=SOON)
    assert first.pk not in _placed()
    assert sent.pk in _placed()
    assert cakes(2).status == QuoteStatus.SENT
