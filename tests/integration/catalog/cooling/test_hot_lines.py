"""A batch into which something hot goes is cooked food, and is not colder than what goes in can be by then."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.missing_presenters import missing_sentence
from catalog.pantry.models import Ingredient
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.vessels.models import Vessel
from costing.chilling import COOKED, PROFILES
from orders.quotes.cooling.selectors import broken
from tests.batch_kitchen import batch_kitchen_make

pytestmark = pytest.mark.django_db


def cream(leaves_c: str | None, *, minutes: str = "10", chill_first: bool = False) -> Recipe:
    """A cream of hot custard and as much cold milk, which leaves its mixing as stated and chills in a tub."""
    custard = batch_kitchen_make()
    custard.steps.all().delete()
    RecipeStep.objects.create(recipe=custard, name="Boil", kind="cook", leaves_c=Decimal(90), hold_max=Decimal(30))
    made = Recipe.objects.create(code="cream", name="Light cream")
    milk = Ingredient.objects.get(code="milk")
    RecipeLine.objects.create(recipe=made, position=1, component=custard, amount="1 kg")
    RecipeLine.objects.create(recipe=made, position=2, ingredient=milk, amount="1 kg")
    station = Station.objects.get(code="cold-room")
    if chill_first:
        made.steps.create(position=1, name="Chill first", kind="chill", station=station, minutes=Decimal(600))
    stated = None if leaves_c is None else Decimal(leaves_c)
    tub = Vessel.objects.get(name="Tub")
    made.steps.create(position=2, name="Fold", kind="mix", minutes=Decimal(minutes), leaves_c=stated, vessel=tub)
    made.steps.create(position=3, name="Chill", kind="chill", station=station, minutes=Decimal(600))
    catalog_changed()
    return made


def cold() -> BatchCold:
    (found,) = batch_colds([("cream", Fraction(2000))], book_current())
    return found


def test_a_batch_colder_than_its_hot_components_can_be_answers_nothing_and_stops() -> None:
    cream("20")
    missing = cold().missing
    assert missing is not None
    assert missing.reason.code == "colder_than_parts"
    assert missing_sentence(missing).startswith("“Fold” is stated to leave at 68 °F, and what goes in gives ")
    assert "Baked custard goes in hot" in missing_sentence(missing)
    Recipe.objects.get(code="custard").fills.update(recipe=Recipe.objects.get(code="cream"))
    catalog_changed()
    found = [one for one in broken({"custard-tart": 6}, book_current()) if one.code == "cream"]
    assert [one.why for one in found] == ["colder_than_parts"]


def test_what_it_can_be_is_judged_as_cooked_food() -> None:
    cream("50")
    (one,) = cold().times
    assert one.cycle.plan.rule.title == PROFILES[COOKED].title


def test_a_mixture_that_stands_long_enough_may_be_colder_but_stays_cooked_food() -> None:
    cream("30", minutes="40")
    (one,) = cold().times
    assert one.cycle.plan.rule.title == PROFILES[COOKED].title


def test_what_was_in_the_cold_before_is_another_matter() -> None:
    cream("20", chill_first=True)
    missing = cold().missing
    assert missing is None or missing.reason.code != "colder_than_parts"
