"""What a plan counts of products and recipes: places of a load, the mold, who is there, weight on a place."""

import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.products.services import product_copy
from catalog.rates.models import Station
from catalog.recipes.models import Recipe
from catalog.recipes.services import recipe_copy
from tests.factories import BY, NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.catalog.products.test_products import mold_make, sound_form_data
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.forms_on_pages import forms_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def _steps() -> list[dict[str, str]]:
    oven = Station.objects.get(code="oven")
    return [
        {"name": "Bake", "kind": "bake", "station": str(oven.pk), "minutes": "42"},
        {"name": "Unmold", "kind": "finish", "minutes": "5"},
        {"name": "Box", "kind": "pack", "minutes": "5"},
    ]


def _saved(owner: Client, **more: Any) -> Any:
    return owner.post(reverse("product-new"), sound_form_data(**more))


class TestProduct:
    def test_places_and_the_step_that_frees_the_mold_are_saved_and_stand_in_one_line(self, owner: Client) -> None:
        steps = _steps()
        steps[1]["frees_mold"] = "on"
        more = {"mold": str(mold_make().pk), "places_oven": "2", "places_refrigerator": "4"}
        _saved(owner, steps=steps, **more)
        product = Product.objects.get(name="Walnut round")
        assert product.load_places == {"oven": 2, "refrigerator": 4}
        assert [step.frees_mold for step in product.steps.all()] == [False, True, False]
        stored = book_current().product(product.code)
        assert (stored.places_at("oven"), stored.places_at("rack"), stored.mold_free_after) == (2, 1, 2)
        page = page_text(owner.get(reverse("product", args=[product.pk])))
        assert "A load takes 2 oven places and 4 refrigerator places." in page
        assert "Somebody is needed the whole time in 2 of its 3 steps." in page
        assert "The mold is free again after “Unmold”." in page

    def test_what_is_not_entered_is_one_place_and_a_mold_until_the_last_step(self, owner: Client) -> None:
        _saved(owner, steps=_steps(), mold=str(mold_make().pk))
        product = Product.objects.get(name="Walnut round")
        assert product.load_places == {}
        assert book_current().product(product.code).mold_free_after is None
        page = page_text(owner.get(reverse("product", args=[product.pk])))
        assert "A load takes 1 oven place." in page
        assert "The mold is free again after the last step." in page

    def test_a_mold_that_leaves_says_when_it_is_back(self, owner: Client) -> None:
        more = {"mold": str(mold_make().pk), "mold_leaves": "on", "mold_back_days": "3"}
        _saved(owner, steps=_steps(), **more)
        product = Product.objects.get(name="Walnut round")
        assert (product.mold_leaves, product.mold_back_days) == (True, 3)
        page = page_text(owner.get(reverse("product", args=[product.pk])))
        assert "leaves with the customer and is back or replaced 3 days after the event." in page

    def test_saving_it_as_shown_changes_nothing_and_a_copy_has_it_too(self, owner: Client) -> None:
        steps = _steps()
        steps[0] |= {"frees_mold": "on", "attended": "throughout"}
        _saved(owner, steps=steps, mold=str(mold_make().pk), places_rack="3")
        product = Product.objects.get(name="Walnut round")
        before = book_current().product(product.code)
        address = reverse("product-edit", args=[product.pk])
        shown = next(form for form in forms_of(owner.get(address)) if "places_rack" in form.fields)
        assert owner.post(address, shown.data(do="save")).status_code == 302
        assert book_current().product(product.code) == before
        copy = product_copy(product_id=product.pk, name="Walnut round, small", by=BY, at=NOW)
        same = book_current().product(copy.code)
        assert (same.load_places, same.mold_free_after) == ((("rack", 3),), 1)
        assert same.steps[0].attended == "throughout"

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"places_oven": "0"}, "The oven places must be 1 or more."),
            ({"places_freezer": "10001"}, "The freezer places must be 10000 or less."),
            ({"mold_leaves": "on"}, "Choose the mold that leaves with the customer, or clear that it leaves."),
            ({"mold_back_days": "3"}, "Check that the mold leaves, or clear the days until it is back."),
            ({"mold_back_days": "366"}, "The days until the mold is back must be 365 or less."),
            ({"steps-0-frees_mold": "on"}, "Choose the mold under “Mold and load”, or clear this check mark."),
        ],
    )
    def test_what_cannot_be_is_named(self, owner: Client, more: dict[str, str], sentence: str) -> None:
        response = owner.post(reverse("product-new"), sound_form_data(steps=_steps()) | more)
        assert response.status_code == 422
        assert sentence in page_text(response)
        assert not Product.objects.filter(name="Walnut round").exists()

    @pytest.mark.parametrize(
        ("more", "fold"),
        [
            ({}, ""),
            ({"covered": "on"}, "What it stands on, its cover, its box, the rule"),
            ({"places_bench": "2"}, "Places one load takes"),
            ({"mold_leaves": "on"}, "Mold that leaves with the customer"),
        ],
    )
    def test_a_fold_says_that_something_is_filled_in_and_is_open_where_it_is_wrong(
        self, owner: Client, more: dict[str, str], fold: str
    ) -> None:
        _saved(owner, mold=str(mold_make().pk), **more)
        address = reverse("product-edit", args=[Product.objects.get(name="Walnut round").pk])
        page = page_text(owner.get(address))
        assert page.count("filled in") == bool(fold)
        assert f"{fold} filled in" in page if fold else True
        wrong = owner.post(reverse("product-new"), sound_form_data(places_oven="0"))
        opened = re.findall(r'<details class="taking" open><summary>([^<]*[^< ])', wrong.content.decode())
        assert opened == ["Places one load takes"]

    def test_a_mold_is_freed_once_and_not_where_it_leaves(self, owner: Client) -> None:
        steps = [step | {"frees_mold": "on"} for step in _steps()]
        data = sound_form_data(steps=steps, mold=str(mold_make().pk))
        page = page_text(owner.post(reverse("product-new"), data))
        assert page.count("The mold is free after an earlier step already. Check one step only.") == 4
        data = sound_form_data(steps=[steps[0], *_steps()[1:]], mold=data["mold"], mold_leaves="on")
        response = owner.post(reverse("product-new"), data)
        assert "The mold leaves with the customer, so no step sets it free." in page_text(response)


class TestRecipe:
    def test_what_waits_on_one_place_is_entered_in_the_kitchens_weight(self, owner: Client) -> None:
        Kitchen.objects.update(measures="us")
        step = {"name": "Boil", "kind": "cook", "minutes": "30", "attended": "ends"}
        owner.post(
            reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")], steps=[step], kg_per_place="10")
        )
        recipe = Recipe.objects.get(name="Nib brittle")
        assert recipe.kg_per_place == Decimal("4.535924")
        stored = book_current().recipe(recipe.code)
        assert (str(stored.kg_per_place), stored.steps[0].attended) == ("1133981/250000", "ends")
        page = page_text(owner.get(reverse("recipe", args=[recipe.pk])))
        assert "Weight per shelf place 10 lb" in page
        assert "Somebody is needed at its beginning and end." in page
        address = reverse("recipe-edit", args=[recipe.pk])
        shown = next(form for form in forms_of(owner.get(address)) if "kg_per_place" in form.fields)
        assert shown.fields["kg_per_place"] == ["10"]
        assert owner.post(address, shown.data(do="save")).status_code == 302
        assert book_current().recipe(recipe.code) == stored
        copy = recipe_copy(recipe_id=recipe.pk, name="Other brittle", by=BY, at=NOW)
        assert copy.kg_per_place == recipe.kg_per_place

    def test_a_unit_may_be_written(self, owner: Client) -> None:
        for written, kilograms in (("4.5 kg", "4.5"), ("900 g", "0.9"), ("16 oz", "0.453592")):
            data = recipe_form_data([("1 kg", "Granulated sugar")], kg_per_place=written, name=f"Of {written}")
            owner.post(reverse("recipe-new"), data)
            assert Recipe.objects.get(name=f"Of {written}").kg_per_place == Decimal(kilograms)

    @pytest.mark.parametrize("value", ["0", "-1", "22047 lb"])
    def test_a_weight_out_of_range_is_named(self, owner: Client, value: str) -> None:
        Kitchen.objects.update(measures="us")
        response = owner.post(
            reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")], kg_per_place=value)
        )
        assert "The amount on one place must be more than 0 and at most 22,046 lb." in page_text(response)
