"""A load that is not full is made for several orders in the stored plan; what becomes of one leaves the others be."""

from datetime import timedelta
from typing import Any

import pytest

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from orders.cooling_log.models import CoolingRecord
from orders.orders.services import order_cancel
from orders.planning.models import KitchenPlan
from orders.planning.placements import Fact
from orders.planning.plans import plan_days
from orders.planning.selectors import kitchen_days
from orders.planning.slots import _reaching_in, slot_found
from orders.quotes.models import Quote
from orders.records.slot_errors import NoSlot
from tests.factories import BY, EVENT
from tests.integration.orders.amending import agree, amend_send
from tests.integration.orders.approvals.rings import SOON, approve, cakes, rings_make
from tests.starting import order_start

pytestmark = pytest.mark.django_db


LOAD = "product:walnut-cake"


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    """Cakes keep for an hour and fill the oven for an hour and a half: there is time for one load, of four at most."""
    rings_make(hold=0)
    Station.objects.filter(code="oven").update(places=1)
    ProductStep.objects.filter(product__code="walnut-cake", kind="chill").update(hold_max=60)
    catalog_changed()


def two_tables(first: int = 2, second: int = 2) -> tuple[Quote, Quote]:
    """Return two approved tables that are made in one load."""
    quotes = cakes(first), cakes(second)
    for one in quotes:
        approve(one)
    return quotes


def loads(placed: list[Fact] | None = None) -> list[Fact]:
    """Return the loads of cakes in the stored plan."""
    placed = KitchenPlan.objects.get().placed if placed is None else placed
    return [one for one in placed if one.get("component") == LOAD]


def of(load: Fact) -> list[list[Any]]:
    """Return the quotes that take of a load, and how much."""
    return sorted([of, amount] for of, _, _, amount in load["for"])


def test_two_tables_are_made_in_the_load_for_which_there_is_room() -> None:
    """Seen: each table had a load of its own, so the second was refused."""
    first, second = two_tables()
    (load,) = loads()
    assert of(load) == [[first.pk, 2], [second.pk, 2]]
    with pytest.raises(NoSlot):
        approve(cakes(1))


def test_the_other_keeps_its_load_when_one_is_canceled_and_the_next_has_the_room() -> None:
    first, second = two_tables()
    (before,) = loads()
    order_cancel(order_id=first.order.pk, reason="Rain", by=BY, at=SOON)
    third = cakes(1)
    approve(third)
    (load,) = loads()
    assert of(load) == [[second.pk, 2], [third.pk, 1]]
    assert (load["at"], load["most"]) == (before["at"], 4)


def test_the_other_keeps_its_load_when_one_is_changed() -> None:
    first, second = two_tables()
    (before,) = loads()
    sent = amend_send(first.order, {"walnut-cake": 1}, at=SOON)
    agree(sent, at=SOON)
    (load,) = loads()
    assert of(load) == [[second.pk, 2], [sent.pk, 1]]
    assert load["at"] == before["at"]
    more = amend_send(second.order, {"walnut-cake": 4}, at=SOON)
    with pytest.raises(NoSlot):
        agree(more, at=SOON)
    assert [of(one) for one in loads()] == [of(load)]


def test_what_is_begun_for_one_order_takes_nothing_more() -> None:
    first, _ = two_tables(1, 1)
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    before = loads()
    with pytest.raises(NoSlot):
        approve(cakes(1))
    assert loads() == before


def test_less_is_taken_of_a_load_that_is_begun_for_another_order() -> None:
    """Seen: what an order took less was a need without a place, and the load takes nothing more."""
    first, second = two_tables()
    (before,) = loads()
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    sent = amend_send(second.order, {"walnut-cake": 1}, at=SOON)
    agree(sent, at=SOON)
    (load,) = loads()
    assert of(load) == [[first.pk, 2], [sent.pk, 1]]
    assert load["at"] == before["at"]


def test_a_plan_stored_with_a_load_for_each_order_goes_on() -> None:
    """As it was stored before loads served several orders; what is in production stays where it is."""
    first = cakes(2)
    approve(first)
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    row = KitchenPlan.objects.get()
    (load,) = loads(row.placed)
    own = {"of": first.pk, "batch": load["for"][0][1], "at": load["at"], "in": load["in"]}
    mine = [(own["of"], own["batch"]), (0, load["batch"])]
    others = [
        {
            **one,
            "for": [
                [first.pk, own["batch"], *rest] if batch == load["batch"] else [of, batch, *rest]
                for of, batch, *rest in one["for"]
            ],
        }
        if "for" in one
        else one
        for one in row.placed
        if (one["of"], one["batch"]) not in mine
    ]
    KitchenPlan.objects.update(placed=[own, *others])
    found = slot_found(cakes(1), at=SOON)
    assert found is not None
    (there,) = loads(found.placed)
    assert (there["at"], of(there)) == (load["at"], [[first.pk, 2]])
    assert len(found.placed) == len(row.placed)


def test_what_is_begun_before_an_event_for_a_later_one_counts_for_it() -> None:
    """What an order takes of a load lasts no time; that load is begun hours before it leaves."""
    approve(cakes(2))
    placed = [one for one in KitchenPlan.objects.get().placed if one["of"] or one.get("component") == LOAD]
    assert _reaching_in(placed, EVENT - timedelta(hours=3)) == [EVENT.date() + timedelta(days=1)]
    assert _reaching_in(placed, EVENT - timedelta(hours=30)) == []


def test_the_log_of_one_order_moves_the_load_with_the_other() -> None:
    """In the oven half an hour sooner than planned: the load of both is where the record of one says."""
    first, second = two_tables()
    stored = plan_days(kitchen_days(EVENT.date(), EVENT.date())).plan
    (before,) = (one for one in stored.placed if one.component == LOAD)
    kitchen = kitchen_days(EVENT.date(), EVENT.date())
    began = kitchen.moment(before.boundaries[2]) - timedelta(minutes=30)
    product = Product.objects.get(code="walnut-cake")
    facts = {"product": product, "item": product.name, "outcome": "met", "recorded_by": BY, "recorded_at": SOON}
    CoolingRecord.objects.create(order=first.order, started_at=began, **facts)
    found = plan_days(kitchen_days(EVENT.date(), EVENT.date()), stored=stored, now=began)
    (place,) = (one for one in found.plan.placed if one.component == LOAD)
    assert all(one.drive for one in found.over)
    assert place.boundaries[2] == before.boundaries[2] - 30
    assert {taking.batch for taking in place.takings} == {
        f"{one.order.number}/walnut-cake/1" for one in (first, second)
    }
