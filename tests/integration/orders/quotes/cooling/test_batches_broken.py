"""A batch that breaks the cooling rule stops a quote as a dessert does, and is marked and measured as one."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.recipes.models import RecipeStep
from catalog.vessels.models import Vessel
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.selectors import cooling_marks, measurable
from orders.quotes.cooling.selectors import Item, ruled_now
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_send
from orders.records.errors import CoolingRuleBroken
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import override_make
from tests.factories import BY, NOW, draft_make
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


def batch(quote: Quote) -> Item:
    """Return the only batch of a quote that breaks the rule."""
    (item,) = [one.item for one in ruled_now(quote).broken if one.item.kind == "recipe"]
    return item


def test_a_batch_that_breaks_the_rule_is_found_with_the_recipe_it_is_of() -> None:
    recipe = batch_kitchen_make()
    assert batch(draft_make()) == Item("recipe", recipe.pk)


def test_one_that_keeps_it_is_not() -> None:
    batch_kitchen_make(depth_cm=Decimal(1))
    assert [one.item.kind for one in ruled_now(draft_make()).broken if one.item.kind == "recipe"] == []


def test_the_order_of_the_day_counts_not_the_recipe_as_written() -> None:
    recipe = batch_kitchen_make(vessels=20)
    Vessel.objects.update(owned=40)
    catalog_changed()
    few = draft_make()
    assert Item("recipe", recipe.pk) not in [one.item for one in ruled_now(few).broken]
    few.lines.filter(product__code="custard-tart").update(units=396)
    assert Item("recipe", recipe.pk) in [one.item for one in ruled_now(few).broken]


def test_it_is_not_sent_until_somebody_records_what_is_measured_instead() -> None:
    batch_kitchen_make()
    quote = draft_make()
    with pytest.raises(CoolingRuleBroken):
        quote_send(quote_id=quote.pk, by=BY, at=NOW)
    override_make(quote)
    assert quote_send(quote_id=quote.pk, by=BY, at=NOW).sent_at == NOW


def test_an_order_is_marked_and_the_batch_can_be_measured() -> None:
    recipe = batch_kitchen_make(depth_cm=Decimal(1))
    order = order_make()
    assert Item("recipe", recipe.pk) not in cooling_marks([order]).get(order.pk, {})
    RecipeStep.objects.filter(recipe=recipe, leaves_c__isnull=False).update(depth_cm=None)
    catalog_changed()
    mark = cooling_marks([order])[order.pk][Item("recipe", recipe.pk)]
    assert (mark.name, mark.state) == (recipe.name, "owed")
    one = next(one for one in measurable(order) if one.item == mark.item)
    assert one.limits.legs
    CoolingRecord.objects.create(
        order=order,
        recipe=recipe,
        item=recipe.name,
        rule="a rule",
        outcome="not_met",
        action="discarded",
        recorded_by=BY,
        recorded_at=NOW,
    )
    RecipeStep.objects.filter(recipe=recipe).update(leaves_c=None, vessel=None)
    catalog_changed()
    assert cooling_marks([order])[order.pk][mark.item].name == recipe.name
