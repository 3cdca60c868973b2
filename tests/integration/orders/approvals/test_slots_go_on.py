"""A slot has its drive too, and the stored plan goes on whatever it lacks or whatever changed since."""

from datetime import timedelta

import pytest

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, Vehicle
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe
from costing.plan.problem import VEHICLE
from orders.cooling_log.models import CoolingRecord
from orders.orders.models import Order
from orders.planning.models import KitchenPlan
from orders.planning.placements import Fact
from orders.planning.plans import plan_days
from orders.planning.problem import cooled_from
from orders.planning.selectors import kitchen_days
from orders.planning.slots import Budget, slot_found
from orders.quotes.models import Quote
from orders.records.slot_errors import TimeTaken
from tests.factories import BY, EVENT, draft_make, line_make, table_make
from tests.integration.orders.approvals.rings import (
    FIT,
    SOON,
    approve,
    cakes,
    filled,
    ordered_beside_the_plan,
    rings_make,
)
from tests.sending import quote_send_seen
from tests.starting import order_start

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen) -> None:
    rings_make()


def vans(count: int) -> None:
    Vehicle.objects.bulk_create(Vehicle(name=f"Van {number}", position=number) for number in range(count))
    catalog_changed()


def of(quote: Quote) -> dict[str, Fact]:
    """Return where the loads of a quote are in the stored plan."""
    return {one["batch"]: one for one in KitchenPlan.objects.get().placed if one["of"] == quote.pk}


def test_an_approval_takes_the_vehicle_until_it_is_back() -> None:
    vans(1)
    first = cakes(1)
    approve(first)
    assert [end - begin for begin, end in [of(first)["/drive"]["at"]]] == [110]
    with pytest.raises(TimeTaken) as refused:
        approve(cakes(1))
    assert [one.cause for one in refused.value.answer.in_the_way] == [VEHICLE]
    approve(cakes(1, window_start=EVENT + timedelta(hours=2)))
    approve(cakes(1, hand_over="pickup"))


def test_a_day_that_is_kept_takes_the_vehicle_too() -> None:
    vans(1)
    draft = draft_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    quote_send_seen(quote_id=draft.pk, by=BY, at=SOON, reserve_day=True)
    with pytest.raises(TimeTaken):
        approve(cakes(1))


def test_a_vehicle_that_nobody_entered_refuses_nothing_and_lets_nothing_go_without_a_place() -> None:
    quotes = filled(2)
    for quote in quotes:
        assert {"/drive", "/walnut-cake/1"} <= of(quote).keys()


def test_a_plan_stored_without_drives_stays_and_gets_them() -> None:
    first = cakes()
    approve(first)
    before = of(first)
    row = KitchenPlan.objects.get()
    KitchenPlan.objects.update(placed=[one for one in row.placed if one["batch"] != "/drive"])
    vans(2)
    approve(cakes(1))
    assert of(first) == before


def test_a_quote_of_which_only_the_drive_is_not_stored_has_its_place() -> None:
    draft = draft_make(table=table_make(lines=(line_make("walnut-cake", 4),), extras=()))
    quote = quote_send_seen(quote_id=draft.pk, by=BY, at=SOON, reserve_day=True)
    placed = [one for one in KitchenPlan.objects.get().placed if one["batch"] != "/drive"]
    KitchenPlan.objects.update(placed=placed)
    found = slot_found(quote, at=SOON)
    assert found is not None
    assert found.holds
    assert {one["batch"] for one in found.placed if one["of"] == quote.pk} == {"/drive", "/walnut-cake/1"}


def _earlier(one: Fact, of_quote: int) -> Fact:
    """Return a load of a quote, or what is made for it alone, an hour earlier."""
    if one["batch"] == "/drive" or {one["of"] or taking[0] for taking in one.get("for", [[one["of"]]])} != {of_quote}:
        return one
    earlier = [minute - 60 for minute in one["at"]]
    return {**one, "at": [*earlier[:-1], one["at"][-1]] if one["of"] else earlier}


def test_what_is_in_production_stays_when_what_others_are_made_of_changes() -> None:
    """Seen: one order that is made otherwise by now had everything planned anew, what was begun too."""
    first = cakes()
    approve(first)
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    tarts = table_make(lines=(line_make("custard-tart", 24),), extras=())
    draft = draft_make(table=tarts, window_start=EVENT - timedelta(days=1))
    other = quote_send_seen(quote_id=draft.pk, by=BY, at=SOON, reserve_day=True)
    # As the owner's kitchen has it, all is made an hour before it has to be, and the last wait is as much longer.
    early = [_earlier(one, first.pk) for one in KitchenPlan.objects.get().placed]
    KitchenPlan.objects.update(placed=early)
    before = of(first)
    ProductStep.objects.filter(product__code="custard-tart", kind="finish").update(minutes=70)
    catalog_changed()
    found = slot_found(cakes(1), at=SOON)
    assert found is not None
    there = {one["batch"]: one for one in found.placed if one["of"] == first.pk}
    assert there["/walnut-cake/1"]["at"] == before["/walnut-cake/1"]["at"]
    assert any(one["of"] == other.pk for one in found.placed)


def test_what_has_no_place_makes_nobody_wait_again_after_each_change(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen: after any change in the catalog the first customer read that the kitchen has to check."""
    with monkeypatch.context() as beside:
        ordered_beside_the_plan(beside)
        for _ in range(2 * FIT):
            approve(cakes())
    late = cakes(1, window_start=EVENT + timedelta(days=3))
    found = slot_found(late, at=SOON, budget=Budget(30.0, 60, 60, slowly=True))
    assert found is not None
    assert found.over
    KitchenPlan.objects.create(pk=1, placed=found.placed, over=found.over, revision=0)
    assert Order.objects.count() == 2 * FIT
    approve(late)


def test_what_left_before_anything_is_begun_makes_nobody_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as beside:
        ordered_beside_the_plan(beside)
        for _ in range(2 * FIT):
            approve(cakes())
    approve(cakes(1, window_start=EVENT + timedelta(days=10)))


def test_the_log_says_where_a_stored_load_is() -> None:
    vans(2)
    first = cakes(1)
    approve(first)
    order_start(order_id=first.order.pk, by=BY, at=SOON)
    kitchen = kitchen_days(EVENT.date(), EVENT.date())
    stored = plan_days(kitchen).plan
    began = EVENT.replace(hour=9, minute=0)
    product = Product.objects.get(code="walnut-cake")
    facts = {"product": product, "item": product.name, "outcome": "met", "recorded_by": BY, "recorded_at": SOON}
    CoolingRecord.objects.create(order=first.order, started_at=began, **facts)
    kitchen = kitchen_days(EVENT.date(), EVENT.date())
    found = plan_days(kitchen, stored=stored, now=began)
    before, place = (
        next(one for one in plan.placed if one.component == "product:walnut-cake") for plan in (stored, found.plan)
    )
    assert kitchen.minute(began) in place.boundaries
    assert kitchen.minute(began) not in before.boundaries


def test_the_log_of_a_batch_is_read_for_each_order_it_was_made_for() -> None:
    vans(2)
    both = [cakes(1), cakes(1)]
    for one in both:
        approve(one)
    recipe, began = Recipe.objects.order_by("pk")[0], EVENT.replace(hour=9, minute=0)
    facts = {"recipe": recipe, "item": recipe.name, "outcome": "met", "recorded_by": BY, "recorded_at": SOON}
    keys = [one.order.pk for one in both]
    CoolingRecord.objects.create(order=both[0].order, started_at=began, common=keys, **facts)
    assert cooled_from(keys) == {key: {f"recipe:{recipe.code}": (began,)} for key in keys}
    # Nobody pressed that production begins, and yet something of both is made.
    assert kitchen_days(EVENT.date(), EVENT.date()).begun == {one.order.number for one in both}
