"""Other quantities and other pans: exact amounts, what a cook can measure, volumes of pans."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.molds.services import MoldData, mold_save
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.recipes.scaling import Pan, handy_measure, pan_factor
from catalog.web.display.measures import spoken
from costing.measures.measure import Measure, parse_measure
from costing.measures.units import FACTORS
from tests.factories import BY, NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.recipes.test_recipes import seen

CUPS = {"cups": "cup", "cup": "cup", "tbsp": "tbsp", "tsp": "tsp"}
VULGAR = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}


def read_spoons(text: str, cup: str) -> Fraction:
    """Read “about 2 ¼ cups + 2 tbsp + ½ tsp” back into millilitres, by hand."""
    total = Fraction(0)
    for part in text.removeprefix("about ").split(" + "):
        *numbers, unit = part.split()
        amount = sum((VULGAR[n] if n in VULGAR else Fraction(n) for n in numbers), Fraction(0))
        total += amount * FACTORS[CUPS[unit], cup]  # type: ignore[index]
    return total


@given(
    st.fractions(min_value=Fraction(1, 4), max_value=400),
    st.sampled_from(["cup", "tbsp", "tsp", "fl_oz", "pint", "quart"]),
    st.sampled_from(["us", "metric"]),
)
def test_spoons_and_cups_add_up_to_within_an_eighth_of_a_teaspoon(amount: Fraction, unit: str, cup: str) -> None:
    measure = Measure(amount, unit)
    text = handy_measure(measure, cup, None, pounds=True)  # type: ignore[arg-type]
    exact = measure.in_base(cup)  # type: ignore[arg-type]
    read = read_spoons(text, cup)
    assert abs(read - exact) <= FACTORS["tsp", cup] / 8  # type: ignore[index]
    assert text.startswith("about ") is (read != exact)


@pytest.mark.parametrize(
    ("measure", "pounds", "expected"),
    [
        ("1 cup", True, "1 cup"),
        ("1/4 cup", True, "¼ cup"),
        ("16 tbsp", True, "1 cup"),
        ("4 tbsp", False, "¼ cup"),
        ("7 tsp", True, "2 tbsp + 1 tsp"),
        ("1/64 tsp", True, "under ¼ tsp"),
        ("2 lb", True, "2 lb"),
        ("20 oz", True, "1 lb 4 oz"),
        ("1234 g", False, "1.234 kg"),
        ("1234.4 g", False, "about 1.234 kg"),
        ("2.34 g", False, "about 2.3 g"),
        ("5 g", True, "5 g"),
        ("7/3 each", True, "about 2 ¼"),
        ("500 ml", True, "500 ml"),
    ],
)
def test_amounts_are_written_as_a_cook_takes_them(measure: str, pounds: bool, expected: str) -> None:
    read = parse_measure(measure)
    grams = read.in_base() if read.kind == "mass" else None
    assert handy_measure(read, "us", grams, pounds=pounds) == expected


@pytest.mark.parametrize(
    ("kept", "written"), [("1 1/2 cup", "1 ½ cups"), ("0.25 tsp", "¼ tsp"), ("12 each", "12"), ("3 fl_oz", "3 fl oz")]
)
def test_kept_measures_read_naturally(kept: str, written: str) -> None:
    assert spoken(parse_measure(kept)) == written


def _round(diameter: int, height: int | None) -> Pan:
    return Pan("round", Fraction(diameter), None, None, None if height is None else Fraction(height))


class TestPans:
    """Volumes by elementary geometry: a cylinder is πd²h/4, a block is l·w·h."""

    def test_a_ring_half_again_as_wide_takes_two_and_a_quarter_times_as_much(self) -> None:
        assert pan_factor(_round(20, 5), _round(30, 5)) == Fraction(9, 4)

    def test_height_counts(self) -> None:
        assert pan_factor(_round(20, 4), _round(20, 6)) == Fraction(3, 2)

    def test_without_a_height_the_depth_is_taken_as_the_same(self) -> None:
        assert pan_factor(_round(20, None), _round(30, 6)) == Fraction(9, 4)

    def test_round_to_tray(self) -> None:
        tray = Pan("tray", None, Fraction(40), Fraction(30), Fraction(3))
        factor = pan_factor(_round(24, 5), tray)
        assert factor is not None
        assert float(factor) == pytest.approx(40 * 30 * 3 / (math.pi / 4 * 24**2 * 5), abs=5e-5)

    def test_a_pan_without_measures_gives_no_factor(self) -> None:
        assert pan_factor(Pan("round", None, None, None, None), _round(20, 5)) is None


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
        assert sentence in seen(response)

    def test_a_recipe_for_another_pan_says_that_time_does_not_scale_and_can_be_kept(self, client: Client) -> None:
        recipe = Recipe.objects.get(code="walnut-sponge")
        sizes = {"diameter_from": "20", "height_from": "5", "diameter_to": "30", "height_to": "5"}
        address = reverse("recipe-pan", args=[recipe.pk])
        text = seen(client.get(address, sizes))
        assert "Baking time does not scale the same way." in text
        assert "give the new format’s own time" in text
        response = client.post(address, sizes | {"name": "Walnut sponge, 30 cm"})
        copy = Recipe.objects.get(name="Walnut sponge, 30 cm")
        assert response["Location"] == reverse("recipe-edit", args=[copy.pk])
        assert [line.amount for line in copy.lines.all()] == ["2041 g", "45 each", "2041 g"]
        assert copy.steps.count() == recipe.steps.count()

    def test_molds_bring_their_measures(self, client: Client) -> None:
        keep = {"shape": "round", "owned": 2, "height_cm": Decimal(5)}
        small = mold_save(mold_id=None, keep=MoldData(name="Small", diameter_cm=Decimal(20), **keep), by=BY, at=NOW)  # type: ignore[arg-type]
        large = mold_save(mold_id=None, keep=MoldData(name="Large", diameter_cm=Decimal(30), **keep), by=BY, at=NOW)  # type: ignore[arg-type]
        recipe = Recipe.objects.get(code="walnut-sponge")
        query = {"mold_from": str(small.pk), "mold_to": str(large.pk)}
        response = client.get(reverse("recipe-pan", args=[recipe.pk]), query)
        assert response.context["scaled"].factor == Fraction(9, 4)

    def test_missing_measures_are_asked_for_by_name(self, client: Client) -> None:
        recipe = Recipe.objects.get(code="walnut-sponge")
        response = client.get(reverse("recipe-pan", args=[recipe.pk]), {"diameter_from": "20"})
        assert response.status_code == 422
        assert "Choose the mould you want it for, or give its measures" in seen(response)
