"""The inputs of cooling in services: copies have them, concurrent changes are detected, and a Book contains them."""

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from catalog.book.services import book_import, book_text
from catalog.products.models import Product
from catalog.products.services import product_copy, product_version
from catalog.recipes.models import Recipe
from catalog.recipes.services import recipe_copy, recipe_version
from catalog.recipes.step_services import StepData, recipe_steps_replace
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.book.forms import whole_kitchen

pytestmark = pytest.mark.django_db

CHANGES = {"stands_on": "board", "covered": True, "carried": "insulated", "cooling_rule": "cooked"}
WORDS: dict[str, list[Any]] = {
    "stands_on": [None, "board"],
    "covered": [None, True],
    "carried": [None, "bare", "insulated"],
    "cooling_rule": [None, "cooked", "ambient"],
}


def degrees(coldest: int, hottest: int) -> st.SearchStrategy[str]:
    """Make temperatures as a Book writes them."""
    return st.decimals(coldest, hottest, places=2).map(lambda number: format(number, "f"))


@st.composite
def compositions(draw: st.DrawFn) -> dict[str, str]:
    """Draw percentages that add up to 100."""
    cuts = sorted(draw(st.lists(st.integers(0, 10_000), min_size=5, max_size=5)))
    shares = [end - start for start, end in zip([0, *cuts], [*cuts, 10_000], strict=True)]
    names = ("water", "protein", "fat", "carb", "fibre", "ash")
    return {name: format(Decimal(share) / 100, "f") for name, share in zip(names, shares, strict=True)}


@given(data=st.data())
def test_any_kitchen_that_cools_comes_out_byte_for_byte(data: st.DataObject) -> None:
    book = whole_kitchen()
    put(book["stations"]["cold-room"], "air", data.draw(st.sampled_from([None, "fan", "blast"])))
    put(book["moulds"][0], "wall", data.draw(st.sampled_from([None, "glass", "silicone", "plastic", "card"])))
    put(book["recipes"][1], "air", data.draw(st.sampled_from([None, "0.01", "0.5", "0.74"])))
    put(book["recipes"][1], "loss_of", data.draw(st.sampled_from([None, "all"])))
    put(book["ingredients"][1], "composition", data.draw(st.none() | compositions()))
    for key, words in WORDS.items():
        put(book["products"][1], key, data.draw(st.sampled_from(words)))
    put(book["products"][1]["steps"][1], "leaves_c", data.draw(st.none() | degrees(-5, 150)))
    profile = book["kitchen"]["profile"]
    profile["room_c"], profile["away_c"] = data.draw(degrees(0, 50)), data.draw(degrees(-20, 60))
    put(profile, "food_safety", data.draw(st.sampled_from([None, "anz", "ca", "eu", "uk", "uk-cook-chill"])))
    # Whether the way is cold is the profile's to say where no vehicles are listed.
    del book["vehicles"]
    put(profile, "vehicle_cold", data.draw(st.sampled_from([None, True])))
    book_import(data=json.dumps(book).encode())
    text = book_text()
    assert_stated(book, json.loads(text))
    book_import(data=text.encode())
    assert book_text() == text


def put(item: dict[str, Any], key: str, value: Any) -> None:
    item.pop(key, None)
    if value is not None:
        item[key] = value


def assert_stated(book: dict[str, Any], out: dict[str, Any]) -> None:
    """Assert that every stated value was imported and exported, and no other value was added."""
    places: tuple[tuple[Callable[[dict[str, Any]], dict[str, Any]], tuple[str, ...]], ...] = (
        (lambda b: b["stations"]["cold-room"], ("air",)),
        (lambda b: b["moulds"][0], ("wall",)),
        (lambda b: b["recipes"][1], ("air", "loss_of")),
        (lambda b: b["ingredients"][1], ("composition",)),
        (lambda b: b["products"][1], tuple(WORDS)),
        (lambda b: b["products"][1]["steps"][1], ("leaves_c",)),
        (lambda b: b["kitchen"]["profile"], ("food_safety", "vehicle_cold")),
    )
    for place, keys in places:
        assert [place(out).get(key) for key in keys] == [place(book).get(key) for key in keys]
    for key, default in (("room_c", 24), ("away_c", 25)):
        stated = Decimal(book["kitchen"]["profile"][key])
        assert Decimal(out["kitchen"]["profile"].get(key, default)) == stated


def test_a_copy_of_a_product_cools_as_the_first_does() -> None:
    tart = cooling_kitchen_make()
    Product.objects.filter(pk=tart.pk).update(**CHANGES)
    copy = product_copy(product_id=tart.pk, name="Small tart", by="odile", at=timezone.now())
    assert {name: getattr(copy, name) for name in CHANGES} == CHANGES
    first = list(tart.steps.values_list("kind", "leaves_c"))
    assert Decimal(80) in [warmth for _, warmth in first]
    assert list(copy.steps.values_list("kind", "leaves_c")) == first


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_to_how_a_product_cools_is_noticed(name: str) -> None:
    tart = cooling_kitchen_make()
    before = product_version(tart)
    Product.objects.filter(pk=tart.pk).update(**{name: CHANGES[name]})
    assert product_version(Product.objects.get(pk=tart.pk)) != before


def test_a_change_to_how_warm_a_step_leaves_is_noticed() -> None:
    tart = cooling_kitchen_make()
    before = product_version(tart)
    tart.steps.filter(kind="bake").update(leaves_c=Decimal(79))
    assert product_version(tart) != before


@pytest.mark.parametrize(("name", "value"), [("air", Decimal("0.5")), ("loss_of", "all"), ("shelf_stable", True)])
def test_air_and_loss_of_a_recipe_are_noticed_and_copied(name: str, value: Any) -> None:
    cooling_kitchen_make()
    recipe = Recipe.objects.filter(lines__isnull=False).first()
    assert recipe is not None
    before = recipe_version(recipe)
    Recipe.objects.filter(pk=recipe.pk).update(**{name: value})
    recipe.refresh_from_db()
    assert recipe_version(recipe) != before
    copy = recipe_copy(recipe_id=recipe.pk, name="Another", by="odile", at=timezone.now())
    # That it is safe at room temperature is answered anew.
    assert getattr(copy, name) == (False if name == "shelf_stable" else value)


def test_a_recipes_step_keeps_how_warm_it_leaves_and_nothing_that_is_a_products() -> None:
    cooling_kitchen_make()
    recipe = Recipe.objects.first()
    assert recipe is not None
    draft = StepData(name="Boil", kind="cook", minutes=Decimal(5))
    recipe_steps_replace(recipe=recipe, steps=[replace(draft, leaves_c=Decimal(90), takes=("custard",))])
    (step,) = recipe.steps.all()
    assert (step.name, step.kind, step.minutes, step.leaves_c) == ("Boil", "cook", 5, 90)
    assert not hasattr(step, "takes")
