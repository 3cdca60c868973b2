"""One “Leaves at” answers for its own heating: every other step of the recipe is asked about, or stops by its words."""

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.never_hot_claims import never_hot_claims
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from orders.quotes.models import Quote
from orders.quotes.send.check import send_check
from orders.records.cooling_errors import NeverHotUnseen
from orders.records.models import AuditEntry
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import override_make
from tests.factories import BY, NOW, draft_make
from tests.integration.catalog.cooling.test_maybe_hot import asked, stops
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
BOIL = {"name": "Boil", "kind": "cook", "leaves_c": "88", "depth_cm": "2"}
FLAKES = {"name": "Toast the flakes", "kind": "cook", "leaves_c": "40"}
COOL = {"name": "Cool", "kind": "chill", "minutes": 600}


def steps_make(*steps: dict[str, Any]) -> Recipe:
    """Make the kitchen with a custard of some steps; what leaves hot stands in its vessel, its chills in the cold."""
    custard = batch_kitchen_make(chill_min="1200", depth_cm=Decimal(2))
    vessel = custard.steps.exclude(vessel=None).first().vessel  # type: ignore[union-attr]
    cold = Station.objects.get(code="cold-room")
    custard.steps.all().delete()
    for at, step in enumerate(steps):
        extra = {"vessel": vessel} if "leaves_c" in step else {"station": cold} if step["kind"] == "chill" else {}
        RecipeStep.objects.create(recipe=custard, position=at, **step, **extra)
    catalog_changed()
    return custard


def mix(name: str, words: str = "", **columns: Any) -> dict[str, Any]:
    return {"name": name, "kind": "mix", "text": words, **columns}


def claimed() -> list[str]:
    return [each for one in never_hot_claims(["custard-tart"], book_current()) for each in one.asked]


@pytest.mark.parametrize("food_safety", ["us", "eu"])
@pytest.mark.parametrize(
    "steps",
    [
        (BOIL, COOL, mix("Bring to the boil again, whisk"), COOL),
        (mix("Boil the custard in the pot and let it stand", minutes=300), BOIL, COOL),
        (FLAKES, mix("Boil milk, thicken with yolks on the stove"), COOL),
        (BOIL | {"leaves_c": "70"}, mix("Boil milk, thicken with yolks on the stove"), COOL),
        (BOIL, COOL, mix("Get it together", "Cook the custard to 185 °F"), COOL),
    ],
)
def test_what_speaks_of_heat_beside_a_stated_step_stops(food_safety: str, steps: tuple[dict[str, Any], ...]) -> None:
    steps_make(*steps)
    Kitchen.objects.update(food_safety=food_safety)
    catalog_changed()
    assert asked() == "heat_in_step"
    assert "heat_in_step" in stops()


@pytest.mark.parametrize(
    ("steps", "found"),
    [
        ((BOIL, mix("Through the sieve"), COOL), []),
        ((BOIL, COOL, mix("Whisk")), []),
        ((BOIL, COOL, mix("Through the sieve")), ["Through the sieve"]),
        ((mix("Program 6"), BOIL, COOL, mix("Again"), COOL), ["Program 6", "Again"]),
        ((BOIL | {"name": "Glaze", "leaves_c": "32", "kind": "mix"}, mix("Program 6"), COOL), ["Program 6"]),
    ],
)
def test_every_other_step_is_answered_for_one_by_one(steps: tuple[dict[str, Any], ...], found: list[str]) -> None:
    steps_make(*steps)
    assert asked() == ""
    assert claimed() == found


def test_what_can_make_nobody_ill_is_not_asked_about() -> None:
    steps_make(BOIL, COOL, mix("Through the sieve"))
    source = "Water activity 0.80, lab, 2026"
    Recipe.objects.filter(code="custard").update(shelf_stable=True, shelf_stable_source=source)
    catalog_changed()
    assert claimed() == []


def kinds(quote: Quote) -> list[str]:
    return [one.kind for one in send_check(quote, at=NOW).to_read]


def test_the_review_asks_and_the_answer_is_recorded_until_the_steps_change() -> None:
    steps_make(BOIL, COOL, mix("Program 6"))
    quote = draft_make(at=NOW)
    override_make(quote)
    page = text(signed_in("owner").get(reverse("quote-send", args=[quote.pk])))
    assert "Is this step cold?" in page
    assert "Yes, this is cold: “Program 6”" in page
    with pytest.raises(NeverHotUnseen):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW, read=[])
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    entry = AuditEntry.objects.get(event="never_hot_read")
    assert entry.params["products"] == ["Program 6"]
    assert "never_hot" not in kinds(draft_make(at=NOW))
    RecipeStep.objects.filter(name="Program 6").update(name="Program 7")
    catalog_changed()
    assert "never_hot" in kinds(draft_make(at=NOW))


def test_the_written_procedure_names_the_steps() -> None:
    steps_make(BOIL, COOL, mix("Program 6"))
    procedure = text(signed_in("owner").get(reverse("procedure")))
    assert "Baked custard, at “Program 6”: not answered yet whether anything heats it." in procedure


def test_the_page_of_the_recipe_names_them() -> None:
    custard = steps_make(BOIL, COOL, mix("Program 6"), mix("Whisk"))
    page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
    assert "These steps count as cold. No temperature is stated for them." in page
    assert "enter how warm it leaves. Program 6" in page


def test_the_pages_name_the_quote_that_answered_and_raise_no_alarm() -> None:
    custard = steps_make(BOIL, COOL, mix("Program 6"))
    quote = draft_make(at=NOW)
    override_make(quote)
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    owner = signed_in("owner")
    tart = Product.objects.get(code="custard-tart")
    for page in (reverse("recipe-cooling", args=[custard.pk]), reverse("product-cooling", args=[tart.pk])):
        answer = owner.get(page)
        words = "“Program 6” in Baked custard counts as cold by the answer in a quote, until the recipe changes:"
        assert f"{words} {quote}" in text(answer), page
        assert reverse("quote", args=[quote.pk]) in answer.content.decode(), page
        assert "These steps" not in text(answer), page
    RecipeStep.objects.filter(name="Program 6").update(name="Program 7")
    catalog_changed()
    page = text(owner.get(reverse("recipe-cooling", args=[custard.pk])))
    assert "These steps count as cold." in page
    assert "by the answer in a quote" not in page


def test_recording_an_approval_heads_them_by_what_they_are() -> None:
    steps_make(BOIL, COOL, mix("Program 6"))
    quote = draft_make(at=NOW)
    override_make(quote)
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    page = text(signed_in("owner").get(reverse("quote-record-approval", args=[quote.pk])))
    assert "These steps count as cold, by your word. Nothing heats Baked custard at these steps" in page
    assert "Never hot, by your word." not in page


def test_the_review_names_every_step_that_speaks_of_heat() -> None:
    steps_make(BOIL, COOL, mix("Boil again"), COOL, mix("Simmer it down"), mix("Whisk"))
    quote = draft_make(at=NOW)
    owner = signed_in("owner")
    page = text(owner.get(reverse("quote-cooling", args=[quote.pk])))
    assert "The step “Boil again” of Baked custard speaks of heat" in page
    assert "These speak of heat too: “Simmer it down”." in page
    Recipe.objects.update(never_hot=True)
    RecipeStep.objects.filter(name="Boil").delete()
    catalog_changed()
    page = text(owner.get(reverse("quote-cooling", args=[quote.pk])))
    assert "its step “Boil again” speaks of heat" in page
    assert "These speak of heat too: “Simmer it down”." in page


def test_steps_that_nobody_answered_are_all_named() -> None:
    custard = steps_make(mix("Boil the milk"), mix("Whisk"), mix("Simmer it down"), COOL)
    Recipe.objects.update(never_hot=False)
    catalog_changed()
    page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
    assert "speaks of heat, and no step states it" in page
    assert "These speak of heat too: “Simmer it down”." in page
