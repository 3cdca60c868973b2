"""Forty rows as a wholesaler writes them: what a person has to decide, and what one answer takes."""

import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.common import common_ingredients, common_of
from catalog.pantry.common_services import NewIngredient, ingredients_add
from catalog.pantry.models import Ingredient, Pack
from catalog.price_lists.corrections import Correction, price_list_correct
from catalog.price_lists.imports import price_list_import, price_list_undo
from catalog.price_lists.models import PriceList
from catalog.price_lists.names import Names
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.catalog.price_lists.conftest import AT, STARTS, Listed

#: Forty rows under titles and between headings; two say what another says, two have no price that can be used.
FORTY = """Marlow & Finch Provisions,,,,
Account 40112 - Tansy Row,,,,
Prices effective 11/09/2026,,,,
,,,,
Item #,Description,Brand,Pack Size,Case Price
DAIRY & EGGS,,,,
10112,"BUTTER UNSALTED AA 83%",Glen,36/1 lb,$128.40/cs
10118,CREAM HEAVY WHIPPING 40% UHT,Glen,12/1 qt,$39.50/cs
10125,CREAM CHEESE LOAF,Glen,6/3 lb,$48.90/cs
10131,MILK WHOLE GAL,Glen,4/1 gal,$17.20/cs
10140,BUTTERMILK 1%,Glen,12/1 qt,$16.80/cs
10151,SOUR CREAM,Glen,4/5 lb,$26.75/cs
10166,EGGS LARGE AA LOOSE,Hillside,15 dz,$42.60/cs
10170,EGG YOLK SUGARED FZN,Hillside,6/5 lb,$118.00/cs
10181,MASCARPONE,Glen,6/1.1 lb,$36.00/cs
DRY GOODS,,,,
20101,FLOUR AP BLEACHED,Mill St,50#,$19.85
20102,FLOUR CAKE,Mill St,50#,$23.40
20104,FLOUR PASTRY WW,Mill St,50#,$24.90
20110,SUGAR GRANULATED EXTRA FINE,Reef,50#,$31.20
20112,SUGAR POWDERED 10X,Reef,25#,$22.75
20113,SUGAR BROWN LIGHT,Reef,50#,$38.10
20120,SALT KOSHER,Reef,12/3 lb,$28.40/cs
20131,BAKING POWDER DBL ACTING,Reef,6/5 lb,$41.00/cs
20132,BAKING SODA,Reef,24/1 lb,$19.60/cs
20140,CORNSTARCH,Reef,24/1 lb,$22.10/cs
20151,COCOA POWDER DUTCH 22/24,Ardent,25#,$126.00
20155,CHOCOLATE DARK 60% WAFER,Ardent,4/5 lb,$152.00/cs
20157,CHOCOLATE WHITE COUVERTURE,Ardent,11 lb,$96.00
20160,VANILLA EXTRACT PURE,Ardent,1 gal,$189.00
20165,HONEY CLOVER,Ardent,6/5 lb,$88.00/cs
20170,CORN SYRUP LIGHT,Ardent,4/1 gal,$58.00/cs
20180,GELATIN SHEET SILVER,Ardent,2.2 lb,$52.00
NUTS & FRUIT,,,,
30101,ALMOND FLOUR BLANCHED,Orchard,25#,$118.00
30104,PECAN PIECES MED,Orchard,30#,$214.00
30107,HAZELNUTS BLANCHED,Orchard,25#,$198.00
30115,LEMONS 140 CT,Orchard,140 ct,$44.00/cs
30118,RASPBERRIES IQF,Orchard,4/5 lb,$82.00/cs
30120,BLUEBERRIES IQF WILD,Orchard,30#,$98.00
30133,PEACHES SLICED IN JUICE,Orchard,6/#10,$52.30/cs
30140,PUMPKIN PUREE SOLID PACK,Orchard,6/#10,$41.70/cs
30140,PUMPKIN PUREE SOLID PACK,Orchard,6/#10,$41.70/cs
10131,MILK WHOLE GAL,Glen,4/1 gal,$17.20/cs
PACKAGING,,,,
40101,CAKE BOX 10X10X5 WHITE,Board,100 ct,$46.00/cs
40104,CAKE BOARD 10IN ROUND,Board,100 ct,$38.00/cs
40110,ORANGES CHOICE,Orchard,MKT,CALL
40115,MINT FRESH,Orchard,bunch,$3.49/lb
"""
#: What a new kitchen ticked among the common ingredients before.
TEN = (
    "Butter, unsalted", "Heavy cream", "Cream cheese", "Whole milk", "Eggs, large, in shell", "Flour, all-purpose",
    "Sugar, granulated", "Vanilla extract", "Lemons", "Raspberries",
)  # fmt: skip


@pytest.fixture
def stocked(listed: Listed) -> Listed:
    Ingredient.objects.exclude(code="flour").delete()
    Pack.objects.all().delete()
    Ingredient.objects.all().delete()
    common = {one.name("US"): one for one in common_ingredients().values()}
    ingredients_add([NewIngredient(name, common[name]) for name in TEN], country="US")
    return listed


class Page:
    """The page of a list as a person meets it: posts what its form holds, and counts."""

    def __init__(self, owner: Client, found: PriceList) -> None:
        self.owner, self.found, self.posts = owner, found, 0
        self.shown = owner.get(reverse("price-list", args=[found.pk])).content.decode()

    @property
    def names(self) -> str:
        return self.shown.partition('id="names"')[2].partition('id="correct"')[0]

    def unticked(self) -> list[str]:
        return re.findall(r'type="checkbox" name="(\S+)">', self.names)

    def to_correct(self) -> list[str]:
        return re.findall(r'name="price-(\d+)"', self.shown)

    def post(self, route: str, **changes: str) -> None:
        form = self.shown.partition(f'action="{reverse(route, args=[self.found.pk])}"')[2].partition("</form>")[0]
        fields: dict[str, Any] = {}
        for tag in re.findall(r"<input [^>]*>", form):
            name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
            if name and ("checkbox" not in tag or " checked" in tag):
                fields.setdefault(name[1], []).append(value[1] if value else "on")
        self.posts += 1
        address = reverse(route, args=[self.found.pk])
        self.shown = self.owner.post(address, fields | changes, follow=True).content.decode()


def test_a_wholesalers_forty_rows_take_four_posts_and_a_third_of_the_decisions(stocked: Listed, client: Client) -> None:
    found = stocked(FORTY)
    assert len(found.lines) == 40
    page = Page(signed_in(client, "owner"), found)
    # Each of these takes a person's answer; before, each of the forty rows did.
    assert page.unticked() == [f"same-{row}" for row in (7, 8, 11, 14, 27, 28, 29, 33, 46, 47)] + [
        "add-19",
        "add-40",
    ]
    assert page.to_correct() == ["42", "48", "41", "49"]
    assert "Rows 43 and 44 say the same as earlier ones and are left out." in page.shown
    page.post(
        "price-list-correct",
        **{f"same-{row}": "on" for row in (7, 8, 11, 27, 28, 29, 33, 46, 47)},
        **{"item-14": "Egg yolks, sugared", "same-14": "on", "add-19": "on", "add-40": "on"},
        **{"pack-42": "6 x 106 oz wt", "same-42": "on", "pack-41": "6 x 106 oz wt", "item-41": "Peaches in juice"},
        **{"add-41": "on"},
    )
    assert "Import 36 prices" in page.shown
    page.post("price-list-import")
    assert page.posts == 2, "the upload before, and nothing after"
    assert Pack.objects.filter(starts=STARTS).count() == 36
    assert "2 rows to correct" in page.shown, "the two without a usable price can be left"
    names = set(Ingredient.objects.values_list("name", flat=True))
    assert {"Egg yolks, sugared", "Flour pastry ww", "Blueberries iqf wild", "Cake flour", "Sour cream"} <= names
    assert not {name for name in names if name.isupper()}
    assert Ingredient.objects.get(name="Almond flour").allergens == ["almonds"]
    assert Ingredient.objects.get(name="Butter, unsalted").packs.get().size == "36 lb"
    again = stocked(FORTY)
    assert [error["row"] for error in again.errors if error["column"] == "item"] == [48, 49]


def test_nothing_is_taken_before_the_names_are_saved(stocked: Listed, client: Client) -> None:
    found = stocked(FORTY)
    assert found.rows == []
    page = Page(signed_in(client, "owner"), found)
    assert "price-list-import" not in page.shown
    assert reverse("price-list-import", args=[found.pk]) not in page.shown


@pytest.mark.parametrize(
    ("item", "name", "certain", "beyond"),
    [
        ("CREAM CHEESE LOAF", "Cream cheese", True, []),
        ("MILK POWDER WHOLE", "Milk powder, whole", True, []),
        ("FLOUR CAKE GLUTEN FREE", "Cake flour", False, ["gluten", "free"]),
        ("CHOCOLATE DARK W/ALMONDS", "Chocolate, dark 70–85%", False, ["almond"]),
        ("BUTTER UNSALTED PLANT BASED", "Butter, unsalted", False, ["plant", "based"]),
        ("BUTTER", "Butter, unsalted", False, []),
        ("RASPBERIES IQF", "Raspberries", False, []),
        ("SUGAR GRANULATE", "Sugar, granulated", False, []),
    ],
)
def test_what_the_list_says_beyond_a_name_makes_it_less_than_certain(
    stocked: Listed, item: str, name: str, certain: bool, beyond: list[str]
) -> None:
    params = stocked(f"item,pack,price\n{item},5 lb,20\n").errors[0]["reason"]["params"]
    assert (params.get("name"), params.get("certain"), params.get("beyond")) == (name, certain, beyond)


def test_what_the_kitchens_own_name_adds_has_to_be_in_the_list_to_be_certain(stocked: Listed) -> None:
    Ingredient.objects.create(code="dark", name="Sugar, dark brown", position=30)
    found = stocked("item,pack,price\nSUGAR BROWN LIGHT,50 lb,38\nSUGAR BROWN DARK,50 lb,39\n")
    asked = [(error["reason"]["params"]["name"], error["reason"]["params"]["certain"]) for error in found.errors]
    assert asked == [("Sugar, dark brown", False), ("Sugar, dark brown", True)]


def test_a_proposal_is_no_answer_without_its_tick(stocked: Listed) -> None:
    found = stocked("item,pack,price\nSOUR CREAM,5 lb,9\nMILK WHOLE GAL,1 gal,4\nFLOUR PASTRY,50 lb,24\n")
    left = price_list_correct(
        price_list_id=found.pk,
        seen=found.step,
        corrections=[
            Correction(2, "Sour cream", None, None),
            Correction(3, "Whole milk", None, None),
            Correction(4, "Flour pastry", None, None),
        ],
    )
    found.refresh_from_db()
    assert (left, [line["item"] for line in found.lines]) == (3, ["SOUR CREAM", "MILK WHOLE GAL", "FLOUR PASTRY"])


def test_another_name_in_place_of_the_proposal_is_taken_and_a_near_one_asked_about(stocked: Listed) -> None:
    found = stocked("item,pack,price\nMILK WHOLE GAL,1 gal,4\nSOUR CREAM,5 lb,9\n")
    entered = [
        Correction(2, "MILK WHOLE GAL", None, None, same=True),
        Correction(3, "Cream chese", None, None, same=True),
    ]
    assert price_list_correct(price_list_id=found.pk, seen=found.step, corrections=entered) == 2
    found.refresh_from_db()
    assert found.errors[0]["reason"]["code"] == "new_no_density", "it is added under the list's name, as she wrote"
    assert found.errors[1]["reason"]["params"]["name"] == "Cream cheese"


def test_a_new_ingredient_is_ticked_against_the_proposal(stocked: Listed) -> None:
    found = stocked("item,pack,price\nButter milk whole,x,4\n")
    one = Correction(2, "Butter milk whole", "5 lb", "4", add=True, same=True)
    price_list_correct(price_list_id=found.pk, seen=found.step, corrections=[one])
    found.refresh_from_db()
    assert [(row["name"], row["ingredient"]) for row in found.rows] == [("Butter milk whole", None)]


def test_a_row_that_repeats_one_corrected_since_stays_left_out(stocked: Listed) -> None:
    found = stocked("item,pack,price\nPumpkin,6/#10,40\nPumpkin,6/#10,40\nLemons,140 ct,44\nlemon,140 each,44.00\n")
    assert [line.get("repeats") for line in found.lines] == [None, 2, None, None]
    one = Correction(2, "Pumpkin", "6 x 106 oz wt", "40", add=True)
    price_list_correct(
        price_list_id=found.pk, seen=found.step, corrections=[one, Correction(5, "Lemons", None, None, same=True)]
    )
    found.refresh_from_db()
    assert found.errors == []
    assert [line.get("repeats") for line in found.lines] == [None, 2, None, 4]
    assert price_list_import(price_list_id=found.pk, by="odile", at=AT).prices == 2
    assert Pack.objects.get(ingredient__name="Pumpkin").price == Decimal(40)
    price_list_undo(price_list_id=found.pk, by="odile", at=AT)
    found.refresh_from_db()
    assert len(found.rows) == 2


def test_in_britain_a_common_ingredient_is_proposed_by_its_name_there(stocked: Listed) -> None:
    Kitchen.objects.update(country="GB", currency="GBP", locale="en_GB")
    assert common_of("ICING SUGAR")
    found = stocked("item,pack,price\nICING SUGAR,25 kg,22\nICING SUGAR FINE,1 kg,2\n")
    assert [error["reason"]["params"]["name"] for error in found.errors] == ["Icing sugar", "Icing sugar"]


@pytest.mark.parametrize(
    ("item", "name", "certain"),
    [
        ("Dark chocolate 64%", "Chocolate, dark 70-85%", False),
        ("Dark chocolate 70-85%", "Chocolate, dark 70-85%", True),
        ("Heavy cream 40%", "Heavy cream", False),
        ("Cream, heavy", "Heavy cream", True),
    ],
)
def test_another_percentage_or_one_more_is_not_nearly_certain(item: str, name: str, certain: bool) -> None:
    cream = Ingredient(pk=1, code="cream", name="Heavy cream")
    chocolate = Ingredient(pk=2, code="dark", name="Chocolate, dark 70-85%")
    found = Names([cream, chocolate]).likely(item)
    assert found is not None
    assert (found.name, found.certain) == (name, certain)
