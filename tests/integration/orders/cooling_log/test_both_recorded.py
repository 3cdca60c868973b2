"""Two orders that each break the rule alone, each with its own record of what is measured, and their common batch."""

import pytest
from django.urls import reverse

from orders.approvals.services import quote_record_approval
from orders.cooling_log.common_batches import together_unanswered
from orders.cooling_log.measurables import measurable
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.quotes.models import Quote
from orders.records.cooling_errors import BatchMissing, BrokenTogether
from tests.cooling_kitchen import measuring, override_make
from tests.factories import BY, NOW, draft_make, line_make, pdf_stored, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import YES
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.cooling_log.test_batch_as_made import mark_of, ordered
from tests.integration.orders.cooling_log.test_together import custard
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen, shares_nothing
from tests.starting import order_start

pytestmark = pytest.mark.django_db
__all__ = ["custard"]


@pytest.fixture
def both(custard: Item) -> tuple[Order, Order]:
    """Two orders, each of which breaks the rule alone by the same steps and amount."""
    return ordered(12), ordered(12)


def started(both: tuple[Order, Order]) -> None:
    for order in both:
        order_start(order_id=order.pk, together=measuring(), by=BY, at=START)


def discarded(custard: Item, *, common: bool | None) -> RecordData:
    facts = {"started_at": START, "action": "discarded", "part": 0, "note": "Too warm"}
    return RecordData(custard, [read(3, 90)], "not_met", common=common, **facts)  # type: ignore[arg-type]  # a test's facts


def test_neither_starts_without_a_reason_for_the_common_batch(both: tuple[Order, Order], custard: Item) -> None:
    for order in both:
        mark = mark_of(order, custard)
        assert (mark.alone, mark.unanswered) == (True, False)
        assert mark.together is not None
        assert set(mark.together.numbers) == {one.number for one in both}
        assert [one.item for one in together_unanswered(order)] == [custard]
        with refused(BrokenTogether, match="not cold in time as one batch"):
            order_start(order_id=order.pk, by=BY, at=YES)


def test_which_batch_was_measured_is_asked_and_what_was_discarded_is_gone_for_both(
    both: tuple[Order, Order], custard: Item
) -> None:
    started(both)
    (one,) = (one for one in measurable(both[0]) if one.item == custard)
    assert one.is_common
    with refused(BatchMissing, match="may be made as one batch for"):
        cooling_record_add(order_id=both[1].pk, data=discarded(custard, common=None), by="tomas", at=AFTER)
    cooling_record_add(order_id=both[1].pk, data=discarded(custard, common=True), by="tomas", at=AFTER)
    assert [mark_of(order, custard).to_remake for order in both] == [True, True]


def test_recording_the_second_approval_asks_for_the_reason(custard: Item) -> None:
    first = ordered(12)
    quote = draft_make(table=table_make(lines=(line_make("custard-tart", 12),), extras=()))
    Quote.objects.filter(pk=quote.pk).update(override_reason="a test's price")
    override_make(quote)
    with shares_nothing():
        sent = pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW))
    page = signed_in("owner").get(reverse("quote-record-approval", args=[sent.pk]))
    assert f"as one batch with {first.number} it has another size and is not cold in time" in text(page)
    assert "Alone it is." not in text(page)
    assert 'name="together-what"' in page.content.decode()
    facts = {"quote_id": sent.pk, "name": "Ida Fenwick", "reason": "by phone", "by": BY, "at": YES}
    with refused(BrokenTogether, match="not cold in time as one batch"):
        quote_record_approval(**facts)
    quote_record_approval(**facts, together=measuring())
    assert together_unanswered(ordered_of(sent)) == ()


def ordered_of(quote: Quote) -> Order:
    return Order.objects.select_related("quote__inquiry").prefetch_related("lines__product").get(quote=quote)
