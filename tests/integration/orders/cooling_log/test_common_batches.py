"""What two orders break only together is asked about at the second confirmation and the start of production."""

from datetime import timedelta
from decimal import Decimal
from typing import Final

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from orders.approvals.services import quote_record_approval
from orders.cooling_log.breach_services import breaches_note
from orders.cooling_log.common_batches import together_unanswered, together_write
from orders.cooling_log.selectors import cooling_marks
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.quotes.models import Quote
from orders.records.cooling_errors import BatchMissing, BrokenTogether, HourNotInTime, MeasureMissing
from orders.records.states import OrderStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import MEASURED, measuring, measuring_submitted
from tests.factories import BY, NOW, draft_make, line_make, pdf_stored, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import YES, order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, read
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen, shares_nothing
from tests.starting import on_its_first_day, order_start

pytestmark = pytest.mark.django_db
REASON: Final = f"{MEASURED}. By Tomas"
MET = (read(2, 68), read(6, 40))


@pytest.fixture
def custard() -> Item:
    """Boiled custard in one tub: thin enough for one order, not for two."""
    made = batch_kitchen_make(
        profile={"diameter_cm": "12", "height_cm": "1.2", "air_c": "1"}, vessels=1, ice_bath=False, chill_min="600"
    )
    made.steps.filter(kind="cook").update(leaves_c=Decimal(60))
    catalog_changed()
    return Item("recipe", made.pk)


def small_table() -> dict[str, object]:
    return {"table": table_make(lines=(line_make("custard-tart", 6),), extras=())}


def sent() -> Quote:
    quote = draft_make(**small_table())
    Quote.objects.filter(pk=quote.pk).update(valid_until=YES + timedelta(days=7), override_reason="a test's price")
    with shares_nothing():
        return pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW))


def state(order: Order) -> str:
    found = Order.objects.prefetch_related("lines__product").select_related("quote__inquiry").get(pk=order.pk)
    (mark,) = cooling_marks([found])[order.pk].values()
    return mark.state


def measure(order: Order, custard: Item, *, common: bool | None) -> None:
    data = RecordData(custard, MET, "met", started_at=START, part=0, common=common)
    cooling_record_add(order_id=order.pk, data=data, by="tomas", at=AFTER)


class TestConfirming:
    def test_recording_the_second_approval_asks_for_the_owners_reason(self, custard: Item) -> None:
        order_make(**small_table())
        quote = sent()
        facts = {"quote_id": quote.pk, "name": "Ida Fenwick", "reason": "by phone", "by": BY, "at": YES}
        with refused(BrokenTogether, match="not cold in time as one batch with O-00001"):
            quote_record_approval(**facts)
        assert Order.objects.count() == 1
        with refused(MeasureMissing, match="Choose what is measured instead"):
            quote_record_approval(**facts, together=measuring(what="other"))
        with refused(HourNotInTime, match="Baked custard: enter after how many hours it is read for 70"):
            quote_record_approval(**facts, together=measuring("3", "6"))
        quote_record_approval(**facts, together=measuring())
        assert Order.objects.count() == 2

    def test_the_page_asks_for_the_reason_where_one_is_needed_and_calls_it_nothing_optional(
        self, custard: Item
    ) -> None:
        owner = signed_in("owner")
        address = reverse("quote-record-approval", args=[sent().pk])
        assert 'name="together-what"' not in owner.get(address).content.decode()
        order_make(**small_table())
        page = owner.get(address)
        assert "Baked custard: not cold in time when made as one batch with O-00001." in text(page)
        assert 'name="together-what"' in page.content.decode()
        assert "(optional)" not in text(page).partition("What is measured")[2]
        page = owner.post(address, {"name": "Ida Fenwick", "how": "phone"}).content.decode()
        assert 'name="together-what"' in page
        assert Order.objects.count() == 1


class TestStarting:
    def test_the_start_of_production_asks_for_it_and_the_kitchen_cannot_answer(self, custard: Item) -> None:
        first, _ = order_make(**small_table()), order_make(**small_table())
        cook = signed_in("kitchen")
        answer = cook.post(reverse("order-start", args=[first.pk]), measuring_submitted("together"))
        assert answer.status_code == 422
        assert "let the owner enter why it is made all the same" in text(answer)
        assert Order.objects.get(pk=first.pk).status == OrderStatus.CONFIRMED

    def test_the_owners_reason_is_of_these_orders_and_asked_once(
        self, custard: Item, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        first, second = order_make(**small_table()), order_make(**small_table())
        seen = on_its_first_day(first, monkeypatch)
        owner = signed_in("owner")
        owner.post(reverse("order-start", args=[first.pk]), measuring_submitted("together") | seen)
        assert Order.objects.get(pk=first.pk).status == OrderStatus.IN_PRODUCTION
        assert REASON in text(owner.get(reverse("order", args=[first.pk])))
        order_start(order_id=second.pk, by=BY, at=NOW)
        third = order_make(**small_table())
        with refused(BrokenTogether, match="O-00003"):
            order_start(order_id=third.pk, by=BY, at=NOW)


def test_the_reason_stands_on_the_sheets_once_and_names_the_orders(custard: Item) -> None:
    first, second = order_make(**small_table()), order_make(**small_table())
    cook = signed_in("kitchen")
    address = f"{reverse('sheet-prep')}?first={first.window_start.date()}&last={first.window_start.date()}"
    page = text(cook.get(address))
    assert page.count("when made as one batch for O-00001 and O-00002") == 1
    order_start(order_id=first.pk, together=measuring(), by=BY, at=NOW)
    page = text(cook.get(address))
    shown = f"when made as one batch for O-00001 and O-00002. Made so by the owner’s word: {REASON}."
    assert page.count(shown) == 1
    assert second.number in page


def test_different_answers_of_two_orders_are_shown_each_with_its_order(custard: Item) -> None:
    """The latest alone was shown for both."""
    first, second = order_make(**small_table()), order_make(**small_table())
    found = together_unanswered(first)
    together_write(second, found, "Two tubs. By Nell", by=BY, at=NOW)
    together_write(first, found, "Three tubs. By Tomas", by=BY, at=NOW)
    page = text(signed_in("kitchen").get(reverse("order", args=[first.pk])))
    assert "Made so by the owner’s word: O-00001: Three tubs. By Tomas; O-00002: Two tubs. By Nell." in page


class TestMeasuring:
    def test_a_reading_says_which_batch_it_is_of(self, custard: Item) -> None:
        first, _ = order_make(**small_table()), order_make(**small_table())
        with refused(BatchMissing, match="Choose whether that batch was measured"):
            measure(first, custard, common=None)

    def test_a_batch_for_one_order_alone_does_not_clear_the_other(self, custard: Item) -> None:
        first, second = order_make(**small_table()), order_make(**small_table())
        measure(first, custard, common=False)
        assert (state(first), state(second)) == ("met", "owed")

    def test_a_reading_of_the_common_batch_clears_both(self, custard: Item) -> None:
        first, second = order_make(**small_table()), order_make(**small_table())
        measure(first, custard, common=True)
        assert (state(first), state(second)) == ("met", "met")

    def test_the_page_asks_for_the_batch(self, custard: Item) -> None:
        first, _ = order_make(**small_table()), order_make(**small_table())
        page = text(signed_in("kitchen").get(reverse("order-cooling", args=[first.pk])))
        assert "One batch for all these orders" in page
        assert "Baked custard: O-00001 and O-00002" in page


def test_the_history_names_no_edit_where_nobody_edited(custard: Item) -> None:
    owner = signed_in("owner")
    first, _ = order_make(**small_table()), order_make(**small_table())
    order_start(order_id=first.pk, together=measuring(), by=BY, at=START)
    breaches_note(at=START)
    page = text(owner.get(reverse("order", args=[first.pk])))
    assert "Baked custard, as one batch with other orders" in page
    assert "by an edit" not in page
