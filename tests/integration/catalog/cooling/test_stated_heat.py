"""A stated temperature makes it hot, whatever the kind of its step."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.selectors import products_unsaid
from catalog.recipes.models import Recipe, RecipeStep
from orders.quotes.cooling.selectors import broken
from orders.quotes.send.services import quote_send
from orders.records.errors import CoolingRuleBroken
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, NOW
from tests.integration.orders.quotes.cooling.drafts import TART, drafted
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def mixed_at(celsius: str) -> Recipe:
    """A custard that is heated in a step of the kind "mix" and then stands on the bench for 8 h."""
    recipe = batch_kitchen_make(leaves_c=None, vessel=None, kind="mix", temperature_c=Decimal(celsius))
    recipe.steps.filter(kind="chill").delete()
    RecipeStep.objects.create(recipe=recipe, position=9, name="On the bench", kind="rest", minutes=Decimal(480))
    catalog_changed()
    return recipe


def test_a_batch_mixed_at_a_hot_temperature_is_named_and_stops() -> None:
    mixed_at("95")
    (one,) = batch_colds([("custard", Fraction(2400))], book_current())
    assert one.missing is not None
    assert (one.missing.reason.code, one.heated) == ("not_said", True)
    quote = drafted()
    assert "Baked custard" in [each.name for each in broken({TART: 24}, book_current())]
    with refused(CoolingRuleBroken, match="Baked custard"):
        quote_send(quote_id=quote.pk, by=BY, at=NOW)


def test_below_the_hot_limit_it_is_not_hot() -> None:
    mixed_at("45")
    assert batch_colds([("custard", Fraction(2400))], book_current()) == []


def test_a_product_finished_at_a_hot_temperature_is_named() -> None:
    tart = cooling_kitchen_make()
    tart.steps.filter(kind="bake").update(kind="finish", leaves_c=None, temperature_c=Decimal(95))
    catalog_changed()
    assert products_unsaid([TART], book_current())[TART].reason.code == "leaves_not_said"
