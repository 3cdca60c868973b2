"""The pages of other quantities and other pans."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from catalog.molds.services import MoldData, mold_save
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from costing.measures.measure import parse_measure
from tests.factories import BY, NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.recipes.test_recipes import page_text


@pytest.mark.django_db
class TestScreens:
    @pytest.fixture(autouse=True)
    def _owner(self, client: Client) -> None:
        kitchen_make()
        user_make()
        client.login(username="maren", password=PASSWORD)

    def test_a_weight_scales_every_line_exactly(self, client: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        response = client.get(reverse("recipe-scale", args=[recipe.pk]), {"amount": "12 lb"})
        scaled, card = response.context["scaled"], response.context["page"].card
        wanted = parse_measure("12 lb").in_base()
        assert scaled.grams == wanted
        assert sum(line.grams for line in scaled.lines) * (1 - card.draft.loss) == wanted
        assert scaled.batches == 2
        # 9 cups × 5.013… is no fraction that anybody reads.
        assert not any("/" in line.exact for line in scaled.lines)

    def test_units_of_a_product_ask_for_its_fill(self, client: Client) -> None:
        tart = Product.objects.get(code="custard-tart")
        recipe = Recipe.objects.get(code="paste")
        query = {"product": str(tart.pk), "units": "48"}
        response = client.get(reverse("recipe-scale", args=[recipe.pk]), query)
        assert response.context["scaled"].grams == 48 * 60

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ({"amount": "3 cups"}, "is not a weight"),
            ({"amount": ""}, "Enter a weight such as 5 kg"),
            ({"product": "999"}, "Choose a product from the list."),
            ({"amount": "999999999 kg"}, "more than any kitchen makes"),
        ],
    )
    def test_a_question_that_cannot_be_answered_says_how_to_ask(
        self, client: Client, query: dict[str, str], sentence: str
    ) -> None:
        recipe = Recipe.objects.get(code="paste")
        response = client.get(reverse("recipe-scale", args=[recipe.pk]), query)
        assert response.status_code == 422
        assert sentence in page_text(response)

    def test_a_recipe_for_another_pan_says_that_time_does_not_scale_and_can_be_saved(self, client: Client) -> None:
        recipe = Recipe.objects.get(code="walnut-sponge")
        sizes = {"diameter_from": "20", "height_from": "5", "diameter_to": "30", "height_to": "5"}
        address = reverse("recipe-pan", args=[recipe.pk])
        text = page_text(client.get(address, sizes))
        assert "Baking time does not scale the same way." in text
        assert "enter the new pan’s own time" in text
        response = client.post(address, sizes | {"name": "Walnut sponge, 30 cm"})
        copy = Recipe.objects.get(name="Walnut sponge, 30 cm")
        assert response["Location"] == reverse("recipe-edit", args=[copy.pk])
        assert [line.amount for line in copy.lines.all()] == ["4.5 lb", "45 each", "4.5 lb"]
        assert copy.steps.count() == recipe.steps.count()

    def test_molds_bring_their_measures(self, client: Client) -> None:
        common = {"shape": "round", "owned": 2, "height_cm": Decimal(5)}
        small = mold_save(mold_id=None, data=MoldData(name="Small", diameter_cm=Decimal(20), **common), by=BY, at=NOW)  # type: ignore[arg-type]
        large = mold_save(mold_id=None, data=MoldData(name="Large", diameter_cm=Decimal(30), **common), by=BY, at=NOW)  # type: ignore[arg-type]
        recipe = Recipe.objects.get(code="walnut-sponge")
        query = {"mold_from": str(small.pk), "mold_to": str(large.pk)}
        response = client.get(reverse("recipe-pan", args=[recipe.pk]), query)
        assert response.context["scaled"].factor == Fraction(9, 4)

    def test_missing_measures_are_asked_for_by_name(self, client: Client) -> None:
        recipe = Recipe.objects.get(code="walnut-sponge")
        response = client.get(reverse("recipe-pan", args=[recipe.pk]), {"diameter_from": "20"})
        assert response.status_code == 422
        assert "Choose the new mold, or enter its size" in page_text(response)
