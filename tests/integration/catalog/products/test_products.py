"""Products on screen: writing, prices by customer kind, what one is made of, copies, molds, who may."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_as_it_stands
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.molds.services import MoldData, mold_save
from catalog.pantry.models import Ingredient, Pack
from catalog.products.models import Fill, Product, ProductStep
from catalog.products.presenters import prices_shown
from catalog.products.ready_time import product_times
from catalog.products.selectors import product_list, product_prices
from catalog.rates.models import Station
from catalog.recipes.cost_basis import cost_basis_load
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory
from catalog.web.access import BOOKKEEPER, KITCHEN
from tests.factories import BY, NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import WILD, product_form_data
from tests.integration.catalog.recipes.test_recipes import page_text, signed_in
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def mold_make(**facts: Any) -> Mold:
    """Own four rings."""
    base = {"name": "Ring, 24 cm", "shape": "round", "owned": 4, "diameter_cm": Decimal(24), "height_cm": Decimal(5)}
    return mold_save(mold_id=None, data=MoldData(**{**base, **facts}), by=BY, at=NOW)


def sound_form_data(**more: Any) -> dict[str, Any]:
    """A product that can be saved."""
    sponge = Recipe.objects.get(code="walnut-sponge")
    box = Ingredient.objects.get(code="box")
    tax = TaxCategory.objects.get(code="food")
    return product_form_data(
        [{"recipe": str(sponge.pk), "amount": "1.2 kg"}],
        **{"packaging": [{"ingredient": str(box.pk), "amount": "1"}], "tax": str(tax.pk), **more},
    )


class TestWriting:
    def test_a_product_is_saved_as_it_was_entered(self, owner: Client) -> None:
        ring = mold_make()
        oven = Station.objects.get(code="oven")
        step = {"name": "Bake", "kind": "bake", "station": str(oven.pk), "minutes": "42", "temperature_c": "350"}
        more = {
            "mold": str(ring.pk),
            "fill_height_cm": "3",
            "spare": "5",
            "list_price": "$1,048.50",
            "keeps": "3 days",
        }
        response = owner.post(reverse("product-new"), sound_form_data(steps=[step], **more))
        product = Product.objects.get(name="Walnut round")
        assert response["Location"] == reverse("product", args=[product.pk])
        assert (product.spare, product.list_price, product.keeps_hours) == (
            Decimal("0.05"),
            Decimal("1048.50"),
            Decimal(72),
        )
        assert product.load == 4, "as many as are owned of the mould"
        assert [(row.amount, row.ingredient.code) for row in product.packaging.all()] == [("1 each", "box")]
        assert product.fills.get().amount == "1.2 kg"
        assert product.steps.get().minutes == 42

    def test_the_load_follows_the_number_of_molds_unless_it_was_given(self, owner: Client) -> None:
        ring = mold_make()
        owner.post(reverse("product-new"), sound_form_data(mold=str(ring.pk)))
        owner.post(reverse("product-new"), sound_form_data(mold=str(ring.pk), load="6", name="Walnut round, six"))
        form = {
            "name": ring.name,
            "shape": "round",
            "diameter_cm": "24",
            "height_cm": "5",
            "owned": "9",
            "wall": "metal",
        }
        save_edit(owner, reverse("mold-edit", args=[ring.pk]), form)
        loads = dict(Product.objects.filter(mold=ring).values_list("name", "load"))
        assert loads == {"Walnut round": 9, "Walnut round, six": 6}

    def test_what_was_saved_stays_the_same_when_saved_again(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        address = reverse("product-edit", args=[product.pk])

        def saved() -> list[Any]:
            row = Product.objects.values().get(pk=product.pk)
            steps = ProductStep.objects.filter(product=product).values_list("kind", "minutes", "hands_each", "hold_max")
            fills = Fill.objects.filter(product=product).values_list("recipe", "amount")
            temperatures = ProductStep.objects.filter(product=product).values_list("temperature_c", flat=True)
            return [row, list(steps), list(fills), [t and round(t, 3) for t in temperatures]]

        before = saved()
        editor = owner.get(address).context["editor"]
        sets = (editor.fills, editor.packaging, editor.steps)
        form_data: dict[str, Any] = {"do": "save"}
        for form in (editor.form, *(form for rows in sets for form in rows.forms)):
            form_data |= {bound.html_name: str(bound.value() or "") for bound in form if bound.value() != []}
        for rows in sets:
            form_data |= {f"{rows.prefix}-TOTAL_FORMS": str(len(rows.forms)), f"{rows.prefix}-INITIAL_FORMS": "0"}
        # Money and spans are posted as they are shown.
        form_data |= {bound.html_name: str(bound.field.prepare_value(bound.initial) or "") for bound in editor.form}
        assert save_edit(owner, address, form_data).status_code == 302
        assert saved() == before

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"name": ""}, "Enter a name, such as Plum square, 5 cm."),
            ({"category": ""}, "Enter a category, such as tarts."),
            ({"tax": ""}, "Choose the tax category."),
            ({"servings": "0"}, "The servings must be 1 or more."),
            ({"servings": "2.5"}, "as a whole number"),
            ({"list_price": "12.345"}, "with at most 2 decimals"),
            ({"list_price": "a lot"}, "Write the list price as a number, such as 48.00."),
            ({"fills-0-amount": "3 cups"}, "“3 cup” is not a weight."),
            ({"fills-0-amount": ""}, "Enter the amount for one unit"),
            ({"fills-0-recipe": ""}, "Choose a recipe, or remove the row."),
            ({"fills-TOTAL_FORMS": "0"}, "Add at least one recipe"),
            ({"packaging-0-amount": "20 g"}, "Tart box is only counted. Enter a count, such as 1 or 1/12."),
            ({"packaging-0-ingredient": "999"}, "Choose the packaging from the list."),
            ({"keeps": "a while"}, "Write the keeping time as"),
        ],
    )
    def test_each_mistake_gets_a_sentence_that_names_the_fix(
        self, owner: Client, more: dict[str, str], sentence: str
    ) -> None:
        response = owner.post(reverse("product-new"), sound_form_data() | more)
        assert response.status_code == 422
        assert sentence in page_text(response)
        assert not Product.objects.filter(name="Walnut round").exists()

    def test_the_mold_says_what_it_holds_where_densities_are_known(self, owner: Client) -> None:
        ring = mold_make()
        cream = Recipe.objects.create(code="syrup", name="Syrup")
        cream.lines.create(ingredient=Ingredient.objects.get(code="milk"), amount="1 kg")
        form_data = sound_form_data(mold=str(ring.pk), fill_height_cm="2 cm") | {"fills-0-recipe": str(cream.pk)}
        response = owner.post(reverse("product-figures-new"), form_data)
        # π/4 · 24² · 2 cm = 904.8 ml = 30.6 fl oz; milk has 1.03 g/ml here.
        assert "31 fl oz to that height" in page_text(response)
        assert "about 2.05 lb" in page_text(response)

    def test_rows_move_without_script(self, owner: Client) -> None:
        response = owner.post(reverse("product-new"), sound_form_data(do="fills-add"))
        assert response.status_code == 200
        assert len(response.context["editor"].fills.forms) == 2
        assert response.context["editor"].form["name"].value() == "Walnut round"


class TestPage:
    def test_one_unit_is_shown_in_four_costs_and_a_margin_that_add_up(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        response = owner.get(reverse("product", args=[product.pk]), {"units": "48"})
        prices = response.context["prices"]
        assert sum(part.each for part in prices.parts) == pytest.approx(prices.first.line.unit_cost)
        assert prices.net_each == pytest.approx(prices.first.line.unit_cost + prices.margin_each)
        text = page_text(response)
        assert "Price of one, in an order of 48" in text
        assert "<svg" in response.content.decode()
        for words in ("Ingredients", "Packaging", "Labor", "Overhead", "Margin", "Price before tax"):
            assert words in text

    def test_each_kind_of_customer_has_a_price_a_rule_in_words_a_margin_and_a_markup(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        prices = product_prices(product=product, units=48, day=NOW.date())
        kinds = prices_shown(product, prices).kinds
        assert [shown.kind for shown in kinds] == ["any customer", "planner"]
        planner = kinds[1]
        assert "target margin 50% of the price before tax" in planner.rule
        assert "for event planners" in planner.rule
        line = planner.line
        assert line.margin is not None
        assert planner.markup == (line.net - line.cost) / line.cost
        assert line.margin >= Fraction(1, 2)
        # margin and markup are two ways to say the same difference: markup = margin ÷ (1 − margin)
        assert float(planner.markup or 0) == pytest.approx(float(line.margin / (1 - line.margin)))

    def test_allergens_come_with_the_caution(self, owner: Client) -> None:
        text = page_text(owner.get(reverse("product", args=[Product.objects.get(code="custard-tart").pk])))
        assert "Contains milk, eggs and wheat. " in text
        assert "Check the suppliers’ labels" in text

    def test_units_between_multiples_are_refused_with_the_nearest_ones(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        response = owner.get(reverse("product", args=[product.pk]), {"units": "50"})
        assert response.status_code == 422
        assert "It is sold in multiples of 6: enter 48 or 54." in page_text(response)

    def test_a_missing_price_says_so_and_the_page_stays(self, owner: Client) -> None:
        Pack.objects.filter(ingredient__code="flour").delete()
        Kitchen.objects.filter(pk=1).update(revision=9_998)
        product = Product.objects.get(code="custard-tart")
        response = owner.get(reverse("product", args=[product.pk]))
        assert response.status_code == 200
        assert "No price." in page_text(response)
        assert "flour" in page_text(response)
        assert "In one unit" in page_text(response)

    def test_products_of_the_same_batter_are_linked(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        response = owner.get(reverse("product", args=[product.pk]))
        assert "Also made from Sweet paste" in page_text(response)

    def test_ready_time_adds_the_steps_of_recipes_and_format(self, owner: Client) -> None:
        basis = cost_basis_load(day=NOW.date())
        times = product_times(book=book_as_it_stands(), product="custard-tart", units=24, basis=basis)
        # 24 tarts: paste 1.44 kg = 14 + 1.5·1.44 min; custard 2.64 kg = 20 + 1.5·2.64 min, beside each other;
        # then line and fill 14 + 1.5·24 min, bake 50 min, set 720 min.
        paste, custard, own = Fraction("16.16"), Fraction("23.96"), Fraction(50)
        assert times.hands == paste + custard + own
        assert times.all == custard + own + 50 + 720
        assert times.cold == 720


class TestListCopyDelete:
    def test_the_list_takes_the_same_queries_for_many_products(
        self, owner: Client, django_assert_num_queries: DjangoAssertNumQueries, books_read_anew: None
    ) -> None:
        with CaptureQueriesContext(connection) as few:
            product_list(day=NOW.date(), priced=True)
        tax = TaxCategory.objects.get(code="food")
        sponge = Recipe.objects.get(code="walnut-sponge")
        many = Product.objects.bulk_create(
            Product(code=f"p{n}", name=f"P {n}", category="test", tax=tax) for n in range(120)
        )
        Fill.objects.bulk_create(Fill(product=product, recipe=sponge, amount="100 g") for product in many)
        catalog_changed()
        with django_assert_num_queries(len(few)):
            found = product_list(day=NOW.date(), priced=True)
        assert found.stop is None
        assert len([row for row in found.sold if row.line]) == 50
        assert found.page.paginator.count > 120
        last = product_list(day=NOW.date(), priced=True, page=str(found.page.paginator.num_pages))
        assert {row.product.pk for row in last.sold}.isdisjoint(row.product.pk for row in found.sold)

    def test_a_copy_for_a_new_size_takes_everything_but_the_list_price(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        Product.objects.filter(pk=product.pk).update(list_price=Decimal("4.25"))
        response = owner.post(reverse("product-copy", args=[product.pk]), {"name": "Custard tart, 24 cm"})
        copy = Product.objects.get(code="custard-tart-24-cm")
        assert response["Location"] == reverse("product-edit", args=[copy.pk])
        assert copy.list_price is None
        assert list(copy.fills.values_list("recipe", "amount")) == list(product.fills.values_list("recipe", "amount"))
        assert list(copy.steps.values_list("name")) == list(product.steps.values_list("name"))
        assert product.steps.count() == 3

    def test_a_product_is_set_aside_and_sold_again(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        owner.post(reverse("product-use", args=[product.pk]), {"active": "no"})
        assert [row.product.code for row in owner.get(reverse("products")).context["aside"]] == ["custard-tart"]
        for page in (reverse("products"), reverse("product", args=[product.pk])):
            assert 'aria-label="Restore Custard tart, 10 cm"' in owner.get(page).content.decode()
        owner.post(reverse("product-use", args=[product.pk]), {"active": "yes"})
        assert owner.get(reverse("products")).context["aside"] == []

    def test_a_product_nothing_names_is_deleted(self, owner: Client) -> None:
        owner.post(reverse("product-new"), sound_form_data())
        product = Product.objects.get(name="Walnut round")
        assert owner.post(reverse("product-delete", args=[product.pk])).status_code == 302
        assert not Product.objects.filter(pk=product.pk).exists()


class TestWhoMay:
    def test_the_kitchen_sees_what_goes_in_and_how_it_is_made_but_no_money(self, owner: Client) -> None:
        product = Product.objects.get(code="custard-tart")
        cook = signed_in(KITCHEN)
        text = page_text(cook.get(reverse("product", args=[product.pk])))
        assert "$" not in text
        assert "margin" not in text.lower()
        assert "Line and fill" in text
        assert "$" not in page_text(cook.get(reverse("products")))
        assert cook.get(reverse("molds")).status_code == 200
        assert cook.get(reverse("product-edit", args=[product.pk])).status_code == 403
        assert cook.post(reverse("product-new"), sound_form_data()).status_code == 403

    def test_the_bookkeeper_sees_no_product(self, owner: Client) -> None:
        assert signed_in(BOOKKEEPER).get(reverse("products")).status_code == 403


class TestWildInput:
    @pytest.mark.parametrize("wild", WILD)
    def test_no_value_breaks_a_product(self, owner: Client, wild: str) -> None:
        product = Product.objects.get(code="custard-tart")
        names = [name for name in sound_form_data() if "-" not in name and name != "do"]
        names += ["mold", "load", "spare", "list_price", "keeps", "holding", "fill_height_cm", "version", "description"]
        form_data = sound_form_data() | dict.fromkeys(names, wild)
        for address in (reverse("product-new"), reverse("product-figures-new")):
            assert owner.post(address, form_data).status_code < 500
        rows = {"fills-0-recipe": wild, "fills-0-amount": wild, "packaging-0-ingredient": wild}
        assert owner.post(reverse("product-new"), sound_form_data() | rows).status_code < 500
        assert owner.post(reverse("product-new"), sound_form_data() | {"packaging-0-amount": wild}).status_code < 500
        assert owner.post(reverse("product-new"), sound_form_data() | {"do": wild}).status_code < 500
        assert owner.get(reverse("product", args=[product.pk]), {"units": wild}).status_code < 500
        assert owner.get(reverse("products"), {"q": wild}).status_code < 500

    def test_an_empty_post_is_answered_with_a_page(self, owner: Client) -> None:
        for name in ("product-new", "recipe-new", "mold-new"):
            response = owner.post(reverse(name), {"do": "save"})
            assert response.status_code == 422, name
