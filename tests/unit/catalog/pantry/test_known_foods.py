"""Names that say what something is, and those that do not."""

import pytest

from catalog.pantry.common import common_ingredients
from catalog.pantry.food_table import foods
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import is_ingredient_list, names_a_food, says_what_is_in_it


@pytest.mark.parametrize(
    "name", ["Fea Zorbella", "Golden Krunchify", "Vitano 3000", "Mix no. 7", "Premium Delight", ""]
)
def test_a_trade_name_says_nothing(name: str) -> None:
    assert not names_a_food(name)


@pytest.mark.parametrize(
    "name",
    [
        *("Flour", "sugar", "Butter", "Heavy cream", "Fea flour", "cake boxes 10 in", "satin ribbon", "baking powder"),
        *(
            "Puderzucker",
            "Speisestärke",
            "Marillenmarmelade",
            "Levure chimique",
            "Farine T55",
            "Sel fin",
            "Zucchero a velo",
        ),
        *("Yuzu juice", "Mochiko", "Kinako", "Jaggery", "Panela", "Mahleb", "Sooji", "Khoya", "Ube halaya", "Durian"),
        *("Lingonberries", "Masa harina", "Piloncillo", "Rose water", "Quinces", "Sea salt", "Agar", "Isomalt"),
    ],
)
def test_a_plain_food_is_known(name: str) -> None:
    assert names_a_food(name)


def test_every_common_ingredient_is_known() -> None:
    assert [one.names for one in common_ingredients().values() if not any(map(names_a_food, one.names.values()))] == []


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Kinako", "soybeans"),
        ("Doenjang", "soybeans"),
        ("Khoya", "milk"),
        ("Brunost", "milk"),
        ("Sooji", "wheat"),
        ("Mugicha", "barley"),
        ("Kuro goma", "sesame"),
        ("Katsuobushi", "fish"),
        ("Chikki", "peanuts"),
        ("Romesco", "almonds"),
    ],
)
def test_kitchen_words_of_other_cuisines_name_their_allergen(name: str, code: str) -> None:
    assert code in foods_named(name)


@pytest.mark.parametrize(
    "name",
    [
        *("Orlo's cups", "Mint cups", "Peanut cups", "Puffed rice bars", "Sprinkles", "Candy eyes", "Rum bites"),
        *("Vela mint chips", "Vela lemon sticks", "Mix", "Mini pieces"),
    ],
)
def test_a_shape_or_a_pack_does_not_say_what_is_in_it(name: str) -> None:
    assert not names_a_food(name)


@pytest.mark.parametrize(
    "name", ["Cinnamon sticks", "Mango pieces", "Paper cups", "Cups 250 ml", "Glass cups with lids"]
)
def test_one_thing_in_a_shape_and_a_cup_to_pack_in_are_known(name: str) -> None:
    assert names_a_food(name)


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        ("Caramels", {"milk"}),
        ("Toffee", {"milk"}),
        ("Vanilla pudding", {"milk"}),
        ("Lemon bars", {"milk", "eggs", "wheat"}),
        ("Icing", {"milk", "eggs"}),
        ("Icing sugar", set()),
        ("Corn flakes", {"barley"}),
        ("Crisped rice", {"barley"}),
        ("hydrolysed vegetable protein", {"soybeans", "wheat"}),
        ("maltodextrin", set()),
        ("E1105", {"eggs"}),
        ("lysozyme", {"eggs"}),
    ],
)
def test_sweets_and_additives_name_what_is_usually_in_them(name: str, codes: set[str]) -> None:
    assert set(foods_named(name)) == codes


@pytest.mark.parametrize(
    "text", ["see label", "see the pack, sugar", "n/a", "none", "-", "unknown", "hazelnuts", "Zucker"]
)
def test_what_is_no_list_of_ingredients(text: str) -> None:
    assert not is_ingredient_list(text)


@pytest.mark.parametrize("text", ["Sugar, palm oil", "Zucker; Kakao", "100% hazelnuts", "hazelnuts 100 %"])
def test_what_is_one(text: str) -> None:
    assert is_ingredient_list(text)


#: A pastry store's shelf: of these the label's list of ingredients is asked for, for a maker's name is beside what is
#: made of several things, or the name says nothing.
ASKED = [
    *(
        "Zorbex cream",
        "Milkora cream",
        "Fea vanilla paste",
        "Fea pistachio paste",
        "Fea praline 50%",
        "Orlo's marzipan",
    ),
    *(
        "Valorin dark chocolate",
        "Valorin couverture 64%",
        "Alpisa Schokolade",
        "Lotarin cookie spread",
        "Oreolin cookies",
    ),
    *("Absolin glaze", "Birdo's custard powder", "Torvani caramel sauce", "Purato raspberry filling", "Fea margarine"),
    *("Karabo coconut cream", "Oatlin oat cream", "Nougatcreme Fea", "Pâte de noisette Fugaro", "Crema Novetta"),
    *("Krusta brownie mix", "Zorbexcreme", "Sprinkles", "Fea Zorbella", "Frostini cake base", "Fea ganache"),
]
#: Of these it is not: plain foods, whoever makes them, and made ones beside words of sort, size and origin alone.
NOT_ASKED = [
    *("European style butter 82%", "Organic cane sugar", "Butter", "Plugo butter", "Zorbex butter", "Isola butter"),
    *("Queen Orla bread flour", "Caputto 00 flour", "Orlo's almond flour", "Heavy cream", "Whipping cream 36%"),
    *(
        "Organic Vale heavy cream",
        "Crème fraîche",
        "Sour cream",
        "Mascarpone",
        "Philippa cream cheese",
        "Cream of tartar",
    ),
    *("Cream 35%", "Sahne 35%", "Schlagobers", "Vanilla bean paste", "Pistachio paste", "Hazelnut paste 100%"),
    *("Hazelnut praline", "Almond paste", "Marzipan", "Tomato paste", "Dark chocolate 70%", "Couverture dark 64%"),
    *(
        "White chocolate",
        "Ruby chocolate callets",
        "Chocolate spread",
        "Cookie crumbs",
        "Graham crackers",
        "Neutral glaze",
    ),
    *("Apricot glaze", "Fondant icing", "Royal icing mix", "Custard powder", "Pastry cream mix", "Caramel sauce"),
    *("Lemon curd", "Raspberry filling", "Strawberry jam", "Fea jam", "Maple syrup", "Monilo vanilla syrup"),
    *("Clabba baking powder", "Margarine", "Vanilla ice cream", "Coconut cream", "Peanut butter", "Haselnusscreme"),
    *("Milchschokolade", "Zartbitterkuvertüre", "Pâte de pistache", "Crema pasticcera", "Ladyfingers", "Rum"),
    *("Frozen raspberries", "IQF strawberries", "Sea salt flakes Maldoro", "Cake boxes 10 in", "Ribbon, one cake"),
    *(
        "Cocoa powder Barrio",
        "Whole milk 3.5%",
        "Egg yolks pasteurized",
        "Powdered sugar 10X",
        "Agar agar",
        "Plant cream",
    ),
    *("Ginger", "Nutmeg", "Cloves", "Vinegar", "Licorice", "Rosemary", "Pomegranate", "Rose petals", "Turmeric"),
]


@pytest.mark.parametrize("name", ASKED)
def test_a_makers_own_food_of_several_things_is_asked_for_its_list(name: str) -> None:
    assert not says_what_is_in_it(name)


@pytest.mark.parametrize("name", NOT_ASKED)
def test_a_plain_food_is_not_whoever_makes_it(name: str) -> None:
    assert says_what_is_in_it(name)


def test_no_common_ingredient_is_asked_for_its_list() -> None:
    names = [name for one in common_ingredients().values() for name in (*one.names.values(), *one.also)]
    assert [name for name in names if not says_what_is_in_it(name)] == []


def test_no_food_of_the_table_is_asked_for_its_list_by_a_word_of_a_maker() -> None:
    names = [food.name for food in foods().values() if names_a_food(food.name)]
    assert [name for name in names if not says_what_is_in_it(name)] == []


#: Names that tell half of what is in it: what is usually in it besides is asked by name.
@pytest.mark.parametrize(
    ("name", "codes"),
    [
        *((name, {"barley"}) for name in ("Krispy rice", "Rice krisps", "Crunchy rice", "Rice cereal")),
        *((name, {"barley"}) for name in ("Corn cereal", "Breakfast cereal", "Reiscrispies")),
        *((name, {"eggs"}) for name in ("Marshmallow fluff", "Marshmallow topping", "Pavlova", "Angel food")),
        *((name, {"milk"}) for name in ("Lemon posset base", "Posset", "Syllabub", "Blancmange", "Rice pudding")),
        *((name, {"milk"}) for name in ("Gelato", "Milchreis", "Bavarois", "Semifreddo", "Sherbet", "Frosting")),
        *((name, {"milk", "soybeans"}) for name in ("Margarine", "Shortening", "Backmargarine", "Margarina")),
        *((name, {"milk", "soybeans"}) for name in ("Baking margarine", "Vegetable spread", "Buttery spread")),
        *((name, {"soybeans"}) for name in ("Vegan margarine", "Vegetable shortening", "Vegan butter", "Plant butter")),
        *((name, {"soybeans"}) for name in ("Cooking spray", "Vegetable protein")),
        *((name, {"soybeans", "wheat"}) for name in ("Baking spray",)),
        *((name, {"milk", "eggs"}) for name in ("Lemon curd", "Marshmallow creme")),
        *((name, {"wheat"}) for name in ("Shredded suet", "Batter")),
        *((name, {"milk", "wheat"}) for name in ("Bechamel",)),
        *((name, {"milk", "eggs", "wheat"}) for name in ("Tiramisu",)),
        *((name, {"milk", "eggs", "wheat", "soybeans"}) for name in ("Cake mix", "Muffin mix", "Backmischung")),
    ],
)
def test_what_a_half_known_name_does_not_tell_is_asked(name: str, codes: set[str]) -> None:
    assert codes <= set(foods_named(name))
    assert not {"peanuts", "sesame", "fish"} & set(foods_named(name))


@pytest.mark.parametrize(
    "name",
    [
        "Puffed rice",
        "Rice flour",
        "Corn syrup",
        "Sunflower oil",
        "Lard",
        "Coconut oil",
        "Rice paper",
        "Vanilla pod",
        "Agar",
    ],
)
def test_plain_foods_are_asked_of_nothing_more(name: str) -> None:
    assert foods_named(name) == ()
