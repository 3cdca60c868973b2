"""A recipe's figures: compared with the Estimate, and with problems."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.book.selectors import book_current
from catalog.pantry.models import Ingredient, Pack, Part
from catalog.products.models import Product
from catalog.products.services import ProductData, ProductFields, product_save
from catalog.rates.models import Role
from catalog.recipes.cost_basis import LineDraft, RecipeDraft, cost_basis_load
from catalog.recipes.costs import RecipeCard, RecipeCosting
from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.presenters import line_problem
from catalog.recipes.services import RecipeData, recipe_save
from catalog.recipes.step_services import StepData
from catalog.taxes.models import TaxCategory
from costing import Brief, BriefLine, estimate
from tests.factories import BY, NOW, kitchen_make

pytestmark = pytest.mark.django_db
DAY = date(2027, 1, 6)


def recipe_make(name: str, *lines: LineDraft, **facts: object) -> Recipe:
    """Save a recipe through its service."""
    data = RecipeData(name=name, lines=lines, **facts)  # type: ignore[arg-type]
    return recipe_save(recipe_id=None, data=data, version="", by=BY, at=NOW).recipe


def lemons_make() -> Ingredient:
    """Buy lemons, of which juice and zest come from the same piece."""
    lemons = Ingredient.objects.create(code="lemon", name="Lemons", grams_each=Decimal(140), position=50)
    Part.objects.create(ingredient=lemons, code="juice", share=Decimal("0.38"), joint="lemon", density=Decimal("1.03"))
    Part.objects.create(ingredient=lemons, code="zest", share=Decimal("0.05"), joint="lemon", density=Decimal("0.4"))
    Pack.objects.create(ingredient=lemons, size="10 each", price=Decimal("6.50"), starts=date(2024, 1, 1))
    return lemons


def card_of(recipe: Recipe) -> RecipeCard:
    """Return the figures of a saved recipe."""
    return RecipeCosting(cost_basis_load(day=DAY)).card(recipe.code)


def first_problem(card: RecipeCard) -> str:
    """What stops the first line, as pages say it."""
    return line_problem(card.lines[0].problem)


def draft_card(*lines: LineDraft, code: str = "", name: str = "Draft") -> RecipeCard:
    """Compute the figures of a draft."""
    draft = RecipeDraft(code=code, name=name, lines=lines)
    return RecipeCosting(cost_basis_load(day=DAY), draft).card(code)


class TestAgainstTheEngine:
    """The page's figures are those of an order for exactly what the recipe makes."""

    @pytest.fixture(autouse=True)
    def _kitchen(self) -> None:
        kitchen_make(waste=Decimal("0.03"))
        Ingredient.objects.update(charge="used")
        lemons_make()

    def _one_unit(self, recipe: Recipe, grams: Fraction) -> Product:
        fields = ProductFields("All of it", "test", TaxCategory.objects.all()[0].pk)
        text = f"{Decimal(grams.numerator) / Decimal(grams.denominator):f} g"
        return product_save(
            product_id=None, data=ProductData(fields, fills=((recipe.pk, text),)), version="", by=BY, at=NOW
        )

    @pytest.mark.parametrize("loss", ["0", "0.04", "0.5"])
    def test_ingredients_and_labor_of_a_nested_recipe_are_what_the_engine_says(self, loss: str) -> None:
        step = StepData(name="Stir", kind="cook", role_id=_pastry(), hands_fixed=Decimal(18), hands_each=Decimal(4))
        cream = recipe_make(
            "Lemon cream",
            LineDraft("1 1/2 cup", ingredient="lemon", part="juice"),
            LineDraft("3 tbsp", ingredient="lemon", part="zest"),
            LineDraft("2 cup", ingredient="sugar"),
            LineDraft("12 each", ingredient="egg"),
            loss=Decimal(loss),
            steps=(step,),
        )
        light = recipe_make(
            "Light lemon cream",
            LineDraft("750 g", recipe=cream.code),
            LineDraft("1/2 quart", ingredient="cream"),
            LineDraft("20 g", ingredient="lemon", part="zest"),
            steps=(step,),
        )
        card = card_of(light)
        product = self._one_unit(light, card.output)
        line = estimate(book_current(), Brief(DAY, (BriefLine(product.code, 1),))).line(product.code)
        assert card.problems == []
        assert float(card.ingredients) == pytest.approx(float(line.ingredients), rel=1e-12)
        assert float(card.labor) == pytest.approx(float(line.labor), rel=1e-12)
        assert float(card.labor_minutes) == pytest.approx(float(line.labor_minutes), rel=1e-12)
        assert sum((row.cost or 0 for row in card.lines), Fraction(0)) == card.ingredients

    def test_every_recipe_of_the_kitchen_agrees_with_the_engine(self) -> None:
        for recipe in Recipe.objects.all():
            card = card_of(recipe)
            output = Fraction(round(card.output * 1000), 1000)
            product = self._one_unit(recipe, output)
            line = estimate(book_current(), Brief(DAY, (BriefLine(product.code, 1),))).line(product.code)
            assert float(card.ingredients) == pytest.approx(float(line.ingredients), rel=1e-5), recipe

    def test_juice_and_zest_of_the_same_lemons_are_bought_once(self) -> None:
        card = draft_card(
            LineDraft("380 g", "lemon", "juice"),
            LineDraft("50 g", "lemon", "zest"),
        )
        assert sum((row.as_purchased or 0 for row in card.lines), Fraction(0)) == Fraction("1030")


def _pastry() -> int:
    return Role.objects.get(code="pastry").pk


class TestWhatStandsInTheWay:
    """A problem stands on its line and names the fix; the other lines keep their figures."""

    @pytest.fixture(autouse=True)
    def _kitchen(self) -> None:
        kitchen_make()

    def test_a_volume_without_density_names_the_ingredient_and_the_fix(self) -> None:
        Ingredient.objects.filter(code="walnut").update(density=None)
        card = draft_card(LineDraft("1 cup", "walnut"), LineDraft("100 g", "sugar"))
        assert first_problem(card) == (
            "No density for Walnut pieces: a cup cannot be weighed. "
            "Enter the density on the ingredient’s page, or use a weight here."
        )
        assert card.lines[1].grams == 100
        assert card.lines[1].cost is not None
        assert card.per_kg is None

    def test_a_count_without_piece_weight_names_the_ingredient_and_the_fix(self) -> None:
        card = draft_card(LineDraft("3 each", "sugar"))
        assert first_problem(card).startswith("No piece weight for Granulated sugar: “3 each”")

    def test_a_recipe_measured_by_volume_is_asked_for_in_grams(self) -> None:
        card = draft_card(LineDraft("2 cup", recipe="custard"))
        assert first_problem(card) == (
            "“2 cup” of Baked custard cannot be weighed: it is made here. Enter a weight, such as 250 g."
        )

    def test_boxes_do_not_go_into_recipes(self) -> None:
        assert "only counted" in first_problem(draft_card(LineDraft("3 each", "box")))

    def test_a_recipe_that_needs_itself_names_the_loop(self) -> None:
        recipe_make("Swirl", LineDraft("100 g", recipe="custard"))
        card = draft_card(LineDraft("50 g", recipe="swirl"), code="custard", name="Baked custard")
        assert first_problem(card) == (
            "Baked custard needs itself: Baked custard → Swirl → Baked custard. Remove one of these lines."
        )

    def test_an_error_inside_another_recipe_says_where_it_is(self) -> None:
        recipe_make("Praline", LineDraft("2 cup", ingredient="walnut"))
        Ingredient.objects.filter(code="walnut").update(density=None)
        card = draft_card(LineDraft("50 g", recipe="praline"))
        assert first_problem(card).startswith("Praline has an error of its own. No density for Walnut pieces")

    def test_a_missing_price_leaves_the_cost_open_but_not_the_weight(self) -> None:
        Pack.objects.filter(ingredient__code="saffron").delete()
        card = draft_card(LineDraft("1 g", "saffron"), LineDraft("1 kg", "sugar"))
        assert card.line_problems == []
        (gap,) = card.problems
        assert line_problem(gap) == "No price in force for Saffron. Add a pack on the ingredient’s page."
        assert (card.lines[0].cost, card.per_kg, card.output) == (None, None, 1001)

    def test_an_empty_recipe_inside_another_is_reported(self) -> None:
        Recipe.objects.create(code="empty", name="Empty")
        assert "makes nothing" in first_problem(draft_card(LineDraft("50 g", recipe="empty")))

    def test_recipes_nested_beyond_reason_are_refused_and_do_not_break_the_page(self) -> None:
        before = Recipe.objects.get(code="custard")
        for number in range(60):
            layer = Recipe.objects.create(code=f"layer-{number}", name=f"Layer {number}")
            RecipeLine.objects.create(recipe=layer, component=before, amount="100 g")
            before = layer
        card = draft_card(LineDraft("50 g", recipe=before.code))
        assert "nested too deep" in first_problem(card)


def test_the_preferred_pack_in_force_sets_the_price_and_old_ones_do_not() -> None:
    kitchen_make(waste=Decimal(0))
    flour = Ingredient.objects.get(code="flour")
    Pack.objects.create(
        ingredient=flour, size="1 kg", price=Decimal(9), starts=date(2020, 1, 1), ends=date(2023, 12, 31)
    )
    Pack.objects.create(ingredient=flour, size="2 kg", price=Decimal(8), starts=date(2024, 1, 1), preferred=True)
    assert draft_card(LineDraft("500 g", "flour")).lines[0].cost == 2
