"""A product's own steps are asked about one by one, like a recipe's: no list of words for heat is complete."""

from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.never_hot_claims import cold_by_silence
from catalog.pantry.models import Ingredient
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe
from orders.orders.services import order_start
from orders.quotes.send.check import send_check
from orders.records.cooling_errors import NeverHotUnseen, StepsUnanswered
from orders.records.models import AuditEntry
from tests.factories import BY, NOW, draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db

SECOND_HEATINGS = [
    "Return to the deck",
    "Crisp up the tops",
    "Finish in the hot box",
    "Flash",
    "Refresh for service",
    "Bring to serving warmth",
    "Oppvarming",
]


def step_add(name: str, kind: str = "finish", **columns: Any) -> Product:
    """Add a step to the tart, after its stay in the cold."""
    tart = Product.objects.get(code="custard-tart")
    ProductStep.objects.create(product=tart, position=9, name=name, kind=kind, **columns)
    catalog_changed()
    return tart


def asked() -> list[str]:
    return [each for one in cold_by_silence(["custard-tart"], book_current()) for each in one.asked]


@pytest.fixture(autouse=True)
def _kitchen() -> None:
    kitchen_make()


@pytest.mark.parametrize("name", SECOND_HEATINGS)
def test_a_step_after_the_chill_is_asked_about(name: str) -> None:
    step_add(name, minutes=25)
    assert asked() == [name]


@pytest.mark.parametrize("columns", [{"text": "at 300 F"}, {"text": "As before."}])
def test_so_is_a_plain_one_with_words_beside_it(columns: dict[str, Any]) -> None:
    step_add("Cut", **columns)
    assert asked() == [f"Cut: {columns['text']}"]


@pytest.mark.parametrize(
    "name", ["Assemble", "Fill", "Slice and pack", "Decorate and lid", "Chill", "Cool on the rack"]
)
def test_a_plainly_cold_one_is_not(name: str) -> None:
    step_add(name)
    assert asked() == []


def test_nor_is_a_stay_in_the_cold_or_what_says_how_warm_it_is() -> None:
    step_add("Overnight", "chill", minutes=600)
    step_add("Glaze it", leaves_c=30)
    step_add("Rewarm", temperature_c=30)
    assert asked() == []


def test_what_holds_nothing_that_asks_for_the_cold_is_not_asked_about() -> None:
    step_add("Flash")
    Recipe.objects.update(shelf_stable=True, shelf_stable_source="Water activity 0.80, measured by R. Lind, 2026-01-04")
    catalog_changed()
    assert asked() == []


def test_a_products_steps_are_asked_about_beside_a_recipe_of_the_same_code() -> None:
    tart = step_add("Flash")
    Recipe.objects.filter(code="custard").update(never_hot_reason="Cold")
    custard = Recipe.objects.get(code="custard")
    custard.steps.update(name="Program 6", kind="mix")
    Product.objects.filter(pk=tart.pk).update(code="custard")
    catalog_changed()
    found = cold_by_silence(["custard"], book_current())
    assert [(one.kind, one.asked) for one in found] == [("recipe", ("Program 6",)), ("product", ("Flash",))]


def test_it_is_answered_before_the_quote_goes_and_once() -> None:
    tart, quote = step_add("Flash"), draft_make(at=NOW)
    page = signed_in("owner").get(reverse("quote-send", args=[quote.pk]))
    assert "Is this step cold?" in text(page)
    assert f"{tart.name}: “Flash”." in text(page)
    edit = reverse("product-edit", args=[tart.pk])
    assert f'<a href="{edit}">No, it is warm: enter how warm it leaves</a>' in page.content.decode()
    with pytest.raises(NeverHotUnseen):
        quote_send_seen(quote_id=quote.pk, read=[], by=BY, at=NOW)
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    assert AuditEntry.objects.get(event="never_hot_read").params["products"] == ["Flash"]
    check = send_check(draft_make(at=NOW), at=NOW)
    assert not [one for one in check.to_read if one.kind == "never_hot"]


def test_one_that_came_after_the_approval_is_answered_before_the_start() -> None:
    order = order_make()
    step_add("Flash")
    with pytest.raises(StepsUnanswered):
        order_start(order_id=order.pk, by=BY, at=NOW)


def test_its_page_has_no_good_news_beside_it() -> None:
    tart = step_add("Flash")
    page = text(signed_in("owner").get(reverse("product-cooling", args=[tart.pk])))
    assert "count as cold." in page
    assert "Flash" in page


def test_a_product_without_milk_egg_cream_starch_or_gelatin_is_not_asked_about() -> None:
    square = Product.objects.get(code="quince-square")
    Ingredient.objects.update(name="Quince", ndb="09252", allergens=[], allergen_answers={})
    Recipe.objects.update(name="Paste")
    ProductStep.objects.create(product=square, position=9, name="Flash", kind="finish")
    catalog_changed()
    assert cold_by_silence(["quince-square"], book_current()) == ()
