"""What has milk, egg, cream, gelatin or custard in it, and no word on how it is kept, is named before a quote goes."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.pantry.food_table import foods
from catalog.pantry.models import Ingredient
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe
from catalog.recipes.perishables import USDA_ROWS, words_in
from orders.quotes.cooling.perishables import held_in, unstated, unstated_mark
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus
from tests import factories
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import line_make, table_make
from tests.integration.orders.quotes.send.ticks import ticks

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def unheld_make() -> None:
    """Make the small kitchen, whose desserts no step puts into the cold."""
    factories.kitchen_make()
    ProductStep.objects.update(hold_max=None)
    ProductStep.objects.filter(kind__in=("chill", "freeze")).update(kind="rest", station=None, minutes=30)
    catalog_changed()


def drafted(*codes: str) -> Quote:
    unheld_make()
    lines = tuple(line_make(code, 24) for code in codes)
    return factories.draft_make(table=table_make(lines=lines, extras=()), allergies=(), asked_none=True)


def named(*codes: str) -> dict[str, tuple[str, ...]]:
    book = book_current()
    contained = {"custard-tart": ("milk", "eggs", "wheat"), "quince-square": ("wheat",)}
    return {one.name: one.holds for one in unstated(codes, contained, book)}


class TestNaming:
    def test_milk_and_eggs_follow_from_the_allergens_and_cream_and_custard_from_names(self) -> None:
        unheld_make()
        assert named(TART) == {"Custard tart, 10 cm": ("milk", "egg", "cream", "custard")}

    def test_a_holding_text_or_a_cooling_step_is_word_enough(self) -> None:
        unheld_make()
        Product.objects.filter(code=TART).update(holding="Cold until an hour before.")
        catalog_changed()
        assert named(TART) == {}
        Product.objects.filter(code=TART).update(holding="  ")
        catalog_changed()
        assert named(TART) != {}

    def test_what_its_maker_calls_safe_at_room_temperature_is_not_named(self) -> None:
        unheld_make()
        Recipe.objects.filter(code="paste").update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
        catalog_changed()
        assert named(TART) != {}, "one of two recipes is not all of it"
        Recipe.objects.filter(code="custard").update(
            shelf_stable=True, shelf_stable_source="Alder laboratory, report 7"
        )
        catalog_changed()
        assert named(TART) == {}

    def test_a_product_that_is_cooled_is_not_named(self) -> None:
        cooling_kitchen_make()
        assert named(TART) == {}

    def test_gelatin_follows_from_its_row_of_the_food_table_whatever_it_is_called(self) -> None:
        unheld_make()
        quince = Ingredient.objects.get(code="quince")
        assert "gelatin" not in held_in(book_current().product("rice-glass"), (), book_current())
        Ingredient.objects.filter(pk=quince.pk).update(ndb="19177")
        catalog_changed()
        assert "gelatin" in held_in(book_current().product("rice-glass"), (), book_current())

    def test_a_recipe_inside_a_recipe_counts(self) -> None:
        unheld_make()
        Recipe.objects.filter(code="quince").update(name="Quince with curd")
        catalog_changed()
        assert "custard" in held_in(book_current().product("rice-glass"), (), book_current())

    @pytest.mark.parametrize(
        ("name", "word"),
        [
            ("Heavy cream", "cream"),
            ("Crème pâtissière", "cream"),
            ("Crème pâtissière", "custard"),
            ("Cre\u0300me pa\u0302tissie\u0300re", "custard"),
            ("Crèmes, two kinds", "cream"),
            ("Crèmes anglaises", "custard"),
            ("Lemon curds", "custard"),
            ("Greek yogurts", "milk"),
            ("Salted yolks", "egg"),
            ("Yolk, dried", "egg"),
            ("Sheet gelatines", "gelatin"),
            ("Coconut cream", "cream"),
            ("Mascarpone", "cream"),
            ("Greek yoghurt", "milk"),
            ("Baked custards", "custard"),
            ("Lemon curd", "custard"),
            ("Leaf gelatine", "gelatin"),
            ("GELATIN POWDER", "gelatin"),
            ("Buttermilk", "milk"),
            ("Egg yolks", "egg"),
        ],
    )
    def test_these_names_are_found(self, name: str, word: str) -> None:
        assert word in words_in(name)

    @pytest.mark.parametrize(
        "name", ["Cream of tartar", "Eggplant", "Creamery crackers", "Milky way bark", "Gelatinous rice", "Nutmeg"]
    )
    def test_these_are_not(self, name: str) -> None:
        assert words_in(name) == frozenset()

    def test_the_rows_of_the_food_table_are_what_they_are_called(self) -> None:
        for ndb, word in USDA_ROWS.items():
            assert word in foods()[ndb].name.lower()

    def test_naming_takes_one_query(self) -> None:
        unheld_make()
        named(TART, "rice-glass")
        book = book_current()
        with CaptureQueriesContext(connection) as queries:
            unstated([TART, "rice-glass"], {TART: ("milk",)}, book)
        assert len(queries) == 1


class TestSending:
    def test_they_are_named_with_a_link_and_sent_once_that_is_acknowledged(self, owner: Client) -> None:
        quote = drafted(TART)
        address = reverse("quote-send", args=[quote.pk])
        page = " ".join(owner.get(address).content.decode().split())
        assert "You have not stated how this is kept:" in page
        link = reverse("product-edit", args=[Product.objects.get(code=TART).pk])
        assert f'<a href="{link}">Custard tart, 10 cm</a> (milk, egg, cream and custard)' in page
        refused = owner.post(address, {}).content.decode()
        assert "Not sent. Check the box that you have seen that nothing says how it is kept" in refused
        assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DRAFT
        owner.post(address, ticks(quote))
        assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT

    def test_what_is_named_later_is_not_acknowledged_by_an_earlier_tick(self, owner: Client) -> None:
        quote = drafted(TART, "rice-glass")
        Product.objects.filter(code="rice-glass").update(holding="Cold until served.")
        catalog_changed()
        seen = ticks(quote)
        Product.objects.filter(code="rice-glass").update(holding="")
        catalog_changed()
        page = owner.post(reverse("quote-send", args=[quote.pk]), seen).content.decode()
        assert "Not sent. Check the box that you have seen that nothing says" in page
        assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DRAFT

    def test_nothing_is_asked_where_every_dessert_has_its_word(self, owner: Client) -> None:
        quote = drafted(TART)
        Product.objects.update(holding="Cold until served.")
        catalog_changed()
        address = reverse("quote-send", args=[quote.pk])
        assert "You have not said how this is kept" not in owner.get(address).content.decode()
        owner.post(address, {})
        assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.SENT

    def test_the_mark_does_not_depend_on_the_order(self) -> None:
        unheld_make()
        book, contained = book_current(), {TART: ("milk",), "walnut-cake": ("eggs",)}
        forth, back = (unstated(codes, contained, book) for codes in ([TART, "walnut-cake"], ["walnut-cake", TART]))
        assert unstated_mark(forth) == unstated_mark(back) != unstated_mark(forth[:1])
