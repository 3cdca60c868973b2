"""A slot is held once: an approval takes its place in the kitchen's plan, or is refused with what works instead."""

from dataclasses import replace
from functools import partial
from typing import Any
from unittest.mock import patch

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from orders.approvals import placing
from orders.approvals.links import link_create
from orders.approvals.looking import slot_check_ask
from orders.approvals.models import Message
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.planning.models import KitchenPlan, WindowCheck
from orders.planning.slot_services import plan_locked
from orders.planning.slots import ASKING, LOOKING, Slot, slot_found
from orders.quotes.models import Quote
from orders.records.slot_errors import NoSlot, SlotUndecided, TimeTaken, TimeUnsure
from orders.records.states import QuoteStatus
from tests.factories import BY, line_make, sent_make, table_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.approvals.rings import FIT, SOON, approve, cakes, filled, record, rings_make
from tests.starting import order_start

pytestmark = pytest.mark.django_db
BRIEFLY = replace(ASKING, slowly=LOOKING.slowly)


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    rings_make()


def looked_for() -> None:
    """Let the outbox look in its own way, as long as a customer waits: what it finds here is the same."""
    for row in Outbox.objects.filter(kind="slot_check", status="waiting"):
        with patch("orders.approvals.looking.LOOKING", BRIEFLY):
            assert outbox_run(row_id=row.pk, at=row.run_after)


def mails(quote: Quote) -> list[str]:
    rows = Outbox.objects.filter(kind="mail", about=f"quote:{quote.pk}").order_by("pk")
    return [row.payload["mail"] for row in rows]


def test_the_last_slot_goes_to_one() -> None:
    """Seen: thirty tables for one half hour were all confirmed."""
    filled()
    version, last = KitchenPlan.objects.get().version, cakes()
    with pytest.raises(NoSlot):
        approve(last)
    last.refresh_from_db()
    assert last.status == QuoteStatus.SENT
    assert not Order.objects.filter(quote=last).exists()
    assert KitchenPlan.objects.get().version == version


def test_each_approval_has_its_loads_in_the_plan() -> None:
    quotes = filled()
    plan = KitchenPlan.objects.get()
    assert {one["of"] for one in plan.placed if one["of"]} == {quote.pk for quote in quotes}
    assert plan.version == FIT
    assert all(one["for"] for one in plan.placed if not one["of"]), "of what nobody takes nothing is made"


def test_what_is_canceled_is_free_again() -> None:
    first, *_ = filled()
    last = cakes()
    order_cancel(order_id=first.order.pk, reason="Rain", by=BY, at=SOON)
    approve(last)
    placed = {one["of"] for one in KitchenPlan.objects.get().placed}
    assert first.pk not in placed
    assert last.pk in placed


def test_an_order_in_production_stays_where_it_is() -> None:
    first = cakes()
    approve(first)
    before = [one["at"] for one in KitchenPlan.objects.get().placed if one["of"] == first.pk]
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    for _ in range(FIT - 1):
        approve(cakes())
    assert [one["at"] for one in KitchenPlan.objects.get().placed if one["of"] == first.pk] == before


def test_more_than_there_ever_is_is_refused_and_the_kitchen_reads_it(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A proof comes after some looking, which a busy machine may not finish in what a customer waits for.
    monkeypatch.setattr(placing, "slot_found", partial(slot_found, budget=replace(ASKING, seconds=30.0)))
    quote = cakes(40)
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=SOON)]), follow=True)
    with pytest.raises(TimeTaken):
        approve(quote)
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256}
    page = client.post(reverse("quote-page-approve", args=[quote.pk]), form)
    assert page.status_code == 409
    words = text(page)
    assert "We can no longer make it for Saturday, February 6, 2027, 3:30 PM to 4:00 PM" in words
    assert "Nothing was approved, and this quote stays open." in words
    mail = Outbox.objects.get(payload__mail="kitchen_stopped", about=f"quote:{quote.pk}")
    assert "Ring, 10 in: from" in mail.payload["words"]
    assert "wanted to approve; not recorded yet. Ring, 10 in: from" in Message.objects.get(quote=quote).text
    assert not Outbox.objects.filter(kind="slot_check").exists(), "a proved no is not looked for again"


def test_what_is_not_proved_is_looked_for_in_the_background(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: SOON)
    filled()
    last = cakes()
    with pytest.raises(TimeUnsure):
        approve(last)
    client.get(reverse("link-login", args=[link_create(quote_id=last.pk, at=SOON)]), follow=True)
    form = {"name": "Ida Fenwick", "content_sha256": last.content_sha256}
    page = client.post(reverse("quote-page-approve", args=[last.pk]), form)
    assert page.status_code == 409
    assert "We have to check whether we can still make" in text(page)
    assert Outbox.objects.filter(kind="slot_check").count() == 1
    assert "We are checking whether we can make it for this time." in text(
        client.get(reverse("quote-page", args=[last.pk]))
    )
    looked_for()
    assert "kitchen_no_time" in mails(last)
    assert "time_works" not in mails(last)
    page = client.get(reverse("quote-page", args=[last.pk]))
    assert "We could not find a time to make it yet" in text(page)


def test_what_is_found_in_the_background_is_approved_then() -> None:
    filled()
    last = cakes()
    with pytest.raises(TimeUnsure):
        approve(last)
    slot_check_ask(quote_id=last.pk, at=SOON)
    Mold.objects.update(owned=8)
    catalog_changed()
    looked_for()
    assert mails(last)[-1] == "time_works"
    assert any(one["of"] == last.pk for one in KitchenPlan.objects.get().placed)
    approve(last)


def test_the_owner_reads_what_is_in_the_way_and_adds_it(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    filled()
    last = cakes()
    with pytest.raises(SlotUndecided):
        record(last)
    monkeypatch.setattr("django.utils.timezone.now", lambda: SOON)
    address, form = reverse("quote-record-approval", args=[last.pk]), {"name": "Ida", "how": "phone"}
    page = text(owner.post(address, form))
    assert "No plan was found yet in which all of Q-00006 revision 1 is ready in time." in page
    assert "In the way, as the work is planned now: Somebody would have to be there Friday" in page
    assert "What is short can be added: Add people or hours on those days" in page
    assert "Decide yourself" not in page
    assert Outbox.objects.filter(kind="slot_check").count() == 1
    Mold.objects.update(owned=8)
    catalog_changed()
    assert owner.post(address, form).status_code == 302
    assert Order.objects.filter(quote=last).exists()


def test_a_plan_that_moved_is_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    for _ in range(FIT - 1):
        approve(cakes())
    rival, last, found = cakes(), cakes(), []

    def meanwhile(quote: Quote, **more: Any) -> Slot | None:
        slot = slot_found(quote, **more)
        found.append(slot)
        if len(found) == 1:
            approve(rival)
        return slot

    monkeypatch.setattr(placing, "slot_found", meanwhile)
    with pytest.raises(NoSlot):
        approve(last)
    assert found[0] is not None
    assert found[0].holds
    assert Order.objects.filter(quote=rival).exists()
    assert not Order.objects.filter(quote=last).exists()


def test_a_plan_computed_on_an_older_version_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    last, rival, seen = cakes(), cakes(), []

    def meanwhile(quote: Quote, **more: Any) -> Slot | None:
        slot = slot_found(quote, **more)
        seen.append(slot)
        if len(seen) == 1:
            approve(rival)
        return slot

    slot_check_ask(quote_id=last.pk, at=SOON)
    monkeypatch.setattr("orders.approvals.looking.slot_found", meanwhile)
    looked_for()
    assert len(seen) == 2
    placed = {one["of"] for one in KitchenPlan.objects.get().placed if one["of"]}
    assert placed == {rival.pk, last.pk}
    assert WindowCheck.objects.get(quote=last).answered_at is not None


def test_a_kitchen_that_states_too_little_is_asked_nothing() -> None:
    Station.objects.update(places=None)
    catalog_changed()
    for _ in range(FIT + 2):
        approve(cakes())
    assert not KitchenPlan.objects.exists()


def test_a_plan_goes_on_when_the_catalog_changes() -> None:
    quotes = filled()
    Product.objects.filter(code="walnut-cake").update(load=2)
    catalog_changed()
    Mold.objects.update(owned=12)
    catalog_changed()
    last = cakes()
    approve(last)
    assert {one["of"] for one in KitchenPlan.objects.get().placed if one["of"]} == {
        quote.pk for quote in (*quotes, last)
    }


def test_where_the_catalog_left_too_little_for_what_is_promised_it_is_named() -> None:
    """Seen: nothing may wait any more, and the next approval read that the kitchen checks, without a word of rings."""
    filled()
    ProductStep.objects.filter(product__code="walnut-cake").update(hold_max=0)
    catalog_changed()
    tarts = sent_make(table=table_make(lines=(line_make("custard-tart", 6),), extras=()))
    found = slot_found(tarts, at=SOON)
    assert found is not None
    assert found.waits
    assert found.undecided
    assert "mold:Ring, 10 in" in {one.cause for one in found.answer.in_the_way}
    assert found.answer.over


def test_the_plan_is_read_once_while_it_is_locked() -> None:
    """Seen: it was read whole twice, which was a third of what others wait for."""
    filled(1)
    with transaction.atomic(), CaptureQueriesContext(connection) as asked:
        plan_locked()
    assert sum('"placed"' in one["sql"] for one in asked.captured_queries) == 1
