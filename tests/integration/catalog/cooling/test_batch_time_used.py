"""A batch that its own steps have out of the cold for too long stops like a product that they have out so long."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.time_used import batch_time_used
from catalog.kitchen.models import Kitchen
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from orders.quotes.cooling.selectors import broken
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import NOW, draft_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
TART = "custard-tart"
COLD = ("chill", "Back into the cold", "60")


def stood_make(*steps: tuple[str, str, str], food_safety: str = "us", **hot: Any) -> Recipe:
    """Let the custard be cold first, and go through these steps then, each with its minutes; ``hot`` as there."""
    custard = batch_kitchen_make(
        profile={"food_safety": food_safety}, chill_min="1200", **{"depth_cm": Decimal(2), **hot}
    )
    cold_room = Station.objects.get(code="cold-room")
    for at, (kind, name, minutes) in enumerate(steps, 10):
        RecipeStep.objects.create(
            recipe=custard,
            position=at,
            kind=kind,
            name=name,
            minutes=Decimal(minutes),
            station=cold_room if kind == "chill" else None,
        )
    catalog_changed()
    return custard


def why() -> list[str]:
    return [one.why for one in broken({TART: 24}, book_current()) if one.item.kind == "recipe"]


@pytest.mark.parametrize(
    ("steps", "stops"),
    [
        ([("rest", "Stand on the bench", "1200")], True),
        ([("work", "Beat by hand", "540")], True),
        ([("rest", "Stand", "600"), COLD], True),
        ([("rest", "Stand", "130"), COLD, ("work", "Beat", "130")], True),
        ([("rest", "Stand on the bench", "30"), COLD, ("work", "Beat", "20")], False),
    ],
)
def test_its_minutes_out_of_the_cold_are_added_up(steps: list[tuple[str, str, str]], *, stops: bool) -> None:
    stood_make(*steps)
    assert why() == (["time_out_used"] if stops else [])


def test_so_are_they_after_an_ice_bath() -> None:
    custard = stood_make(("rest", "Stand", "600"), ice_bath=True, bath_to_c=Decimal(4))
    custard.steps.filter(position=9).delete()
    catalog_changed()
    assert why() == ["time_out_used"]


def test_a_stated_temperature_does_not_make_it_begin_anew() -> None:
    custard = stood_make(("rest", "Stand", "1200"), COLD)
    tub = custard.steps.get(name="Boil").vessel
    custard.steps.filter(position=10).update(leaves_c=Decimal(18), vessel=tub)
    catalog_changed()
    book = book_current()
    assert batch_time_used(book.recipe(custard.code), Fraction(2), book).minutes == 1200


def test_so_are_they_where_it_is_never_hot() -> None:
    custard = stood_make(("rest", "Stand", "600"))
    custard.steps.filter(name="Boil").update(kind="work", name="Stir", leaves_c=None, vessel=None, temperature_c=None)
    Recipe.objects.update(never_hot=True, never_hot_reason="Pasteurized egg and cream, by their labels")
    catalog_changed()
    assert why() == ["time_out_used"]


def test_a_rule_without_a_time_asks_about_four_hours() -> None:
    stood_make(("rest", "Stand", "600"), food_safety=Kitchen.FoodSafety.EU)
    assert why() == ["time_out_used_house"]


def test_a_source_answers_it() -> None:
    stood_make(("rest", "Stand", "600"))
    source = "Letter of the county laboratory, aw 0.81, May 2026"
    Recipe.objects.update(shelf_stable=True, shelf_stable_source=source)
    catalog_changed()
    assert why() == []


def test_the_pages_say_it() -> None:
    custard = stood_make(("rest", "Stand on the bench", "1200"))
    quote = draft_make(at=NOW)
    owner = signed_in("owner")
    page = text(owner.get(reverse("recipe-cooling", args=[custard.pk])))
    says = "have it out of the cold for 20 h in all (Stand on the bench), and your rule allows 4 h."
    assert "Its time out of the cold is used up. Its own steps" in page
    assert says in page
    assert says in text(owner.get(reverse("quote-send", args=[quote.pk])))
    procedure = text(owner.get(reverse("procedure")))
    assert f"{custard.name}: its time out of the cold is used up. Its own steps" in procedure


def test_its_page_leads_to_its_steps_and_asks_nothing() -> None:
    custard = stood_make(("rest", "Stand", "600"))
    page = signed_in("owner").get(reverse("recipe", args=[custard.pk])).content.decode()
    note = page.split("Its time out of the cold is used up.", 1)[1].split("</div>", 1)[0]
    assert reverse("recipe-edit", args=[custard.pk]) in note
    assert reverse("recipe-answers", args=[custard.pk]) not in note
