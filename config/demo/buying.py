"""What the invented kitchen buys. Weights follow USDA SR28 household measures; prices are invented."""

from typing import Any, NamedTuple

from catalog.pantry.allergens import EU, US
from catalog.pantry.declarations import CONTAINS, FREE, MAY, questions
from catalog.pantry.free_by import LABEL, source_value
from config.demo.making import Text

#: suppliers of the invented kitchen
MILL, DAIRY, GROCER, WRAPS = "Sedge Mill", "Lower Farm Dairy", "Quayside Produce", "Pier Paper"


class Buy(NamedTuple):
    """One ingredient: its data, and its packs in each profile as (size, price)."""

    code: str
    name: Text
    supplier: str
    us: tuple[tuple[str, str], ...]
    eu: tuple[tuple[str, str], ...]
    facts: dict[str, Any]


def _facts(density: str = "", each: str = "", ndb: str = "", allergens: str = "", **more: Any) -> dict[str, Any]:
    facts: dict[str, Any] = {"allergens": allergens.split(), **more}
    if density:
        facts["density"] = density
    if each:
        facts["grams_each"] = each
    if ndb:
        facts |= {"ndb": ndb, "source": f"USDA SR28 {ndb}, household weight"}
    return facts


_EGG_PARTS = [
    {"code": "yolk", "share": "0.30", "joint": "egg", "grams_each": "17", "ndb": "01125"},
    {"code": "white", "share": "0.58", "joint": "egg", "grams_each": "33", "ndb": "01124"},
]


def _citrus(juice: str, zest: str, *, rows: tuple[str, str]) -> list[dict[str, str]]:
    return [
        {"code": "juice", "share": juice, "joint": "fruit", "density": "1.031", "ndb": rows[0]},
        {"code": "zest", "share": zest, "joint": "fruit", "density": "0.406", "ndb": rows[1]},
    ]


def _consists(water: str, protein: str, fat: str, carb: str, fibre: str, ash: str) -> dict[str, str]:
    """Return a composition in percent by mass; carbohydrate without fibre."""
    return {"water": water, "protein": protein, "fat": fat, "carb": carb, "fibre": fibre, "ash": ash}


# Rows of USDA SR28 that the bundled table leaves out, from memory; each adds up to 100.
#: 20011, buckwheat flour, whole-groat
_BUCKWHEAT = _consists("11.15", "12.62", "3.10", "60.59", "10.0", "2.54")
#: 12117, coconut milk, raw
_COCONUT = _consists("67.62", "2.29", "23.84", "3.34", "2.2", "0.72")
#: 11663, seaweed, agar, dried
_AGAR = _consists("8.68", "6.21", "0.30", "73.18", "7.7", "3.93")


#: What the labels warn of besides what is in it: ingredient -> codes.
_TRACES = {
    "oats": "wheat barley",
    "chocolate": "almonds hazelnuts",
    "white-chocolate": "almonds hazelnuts",
    "almonds": "hazelnuts pistachios",
    "hazelnuts": "almonds",
    "pistachios": "almonds cashews",
}
#: What some guests do not eat.
_EATEN_BY_FEWER = {"honey": "other-animal", "gelatin": "gelatin", "vanilla": "alcohol"}


def label(buy: Buy, name: str) -> dict[str, Any]:
    """Return what the invented label says of everything that is asked: contains, may contain, or free."""
    contained = buy.facts.get("allergens", [])
    asked = (questions(US) | questions(EU)) - set(contained)
    answers = dict.fromkeys(sorted(asked), FREE)
    answers |= dict.fromkeys(_TRACES.get(buy.code, "").split(), MAY)
    answers |= dict.fromkeys(_EATEN_BY_FEWER.get(buy.code, "").split(), CONTAINS)
    return {"allergen_answers": answers, "free_by": source_value(LABEL, name)}


INGREDIENTS = (
    Buy(
        "flour",
        "Flour, all-purpose",
        MILL,
        (("50 lb", "24.60"), ("5 lb", "4.10")),
        (("25 kg", "21.50"), ("1 kg", "1.15")),
        _facts("0.528", ndb="20081", allergens="wheat"),
    ),
    Buy(
        "cake-flour",
        "Cake flour",
        MILL,
        (("50 lb", "31.20"),),
        (("25 kg", "26.90"),),
        _facts("0.579", ndb="20084", allergens="wheat"),
    ),
    Buy(
        "buckwheat",
        "Buckwheat flour",
        MILL,
        (("25 lb", "41.00"), ("2 lb", "5.95")),
        (("5 kg", "16.40"), ("1 kg", "4.20")),
        _facts("0.507", ndb="20011", charge="packs", composition=_BUCKWHEAT),
    ),
    Buy(
        "oats",
        "Rolled oats",
        MILL,
        (("25 lb", "23.50"),),
        (("5 kg", "9.80"),),
        _facts("0.342", ndb="08120", allergens="oats"),
    ),
    Buy(
        "sugar",
        "Sugar, granulated",
        MILL,
        (("50 lb", "38.90"), ("10 lb", "9.20")),
        (("25 kg", "29.80"), ("1 kg", "1.39")),
        _facts("0.845", ndb="19335"),
    ),
    Buy(
        "brown-sugar",
        "Sugar, dark brown",
        MILL,
        (("25 lb", "27.40"),),
        (("5 kg", "12.60"),),
        _facts("0.93", ndb="19334"),
    ),
    Buy(
        "icing-sugar",
        ("Confectioners’ sugar", "Icing sugar"),
        MILL,
        (("25 lb", "24.80"),),
        (("10 kg", "17.20"),),
        _facts("0.507", ndb="19336"),
    ),
    Buy("cornstarch", "Cornstarch", MILL, (("10 lb", "14.30"),), (("2.5 kg", "9.10"),), _facts("0.541", ndb="20027")),
    Buy(
        "baking-powder", "Baking powder", MILL, (("5 lb", "15.60"),), (("1 kg", "7.40"),), _facts("0.933", ndb="18369")
    ),
    Buy("salt", "Fine salt", MILL, (("3 lb", "2.70"),), (("1 kg", "0.95"),), _facts("1.217", ndb="02047")),
    Buy(
        "honey",
        "Honey",
        GROCER,
        (("12 lb", "58.00"), ("3 lb", "17.50")),
        (("5 kg", "46.00"),),
        _facts("1.433", ndb="19296"),
    ),
    Buy(
        "butter",
        "Butter, unsalted",
        DAIRY,
        (("36 lb", "138.00"), ("1 lb", "4.75")),
        (("10 kg", "82.00"), ("250 g", "2.45")),
        _facts("0.959", ndb="01145", allergens="milk"),
    ),
    Buy(
        "cream",
        "Heavy cream",
        DAIRY,
        (("1/2 gallon", "10.90"), ("1 quart", "6.10")),
        (("5 l", "23.50"), ("1 l", "5.20")),
        _facts("1.006", ndb="01053", allergens="milk", charge="packs"),
    ),
    Buy(
        "milk",
        "Whole milk",
        DAIRY,
        (("1 gallon", "4.60"),),
        (("1 l", "1.25"),),
        _facts("1.031", ndb="01077", allergens="milk"),
    ),
    Buy(
        "buttermilk",
        "Buttermilk",
        DAIRY,
        (("1/2 gallon", "4.90"), ("1 quart", "2.95")),
        (("1 l", "1.90"),),
        _facts("1.036", ndb="01088", allergens="milk", charge="packs"),
    ),
    Buy(
        "yogurt",
        "Yogurt, whole milk",
        DAIRY,
        (("32 oz", "4.40"),),
        (("1 kg", "3.10"),),
        _facts("1.036", ndb="01116", allergens="milk"),
    ),
    Buy(
        "egg",
        "Eggs, large, in shell",
        DAIRY,
        (("15 dozen", "49.50"), ("1 dozen", "4.20")),
        (("360 each", "92.00"), ("30 each", "8.90")),
        _facts(each="57", ndb="01123", allergens="eggs", **{"yield": "0.88"}, parts=_EGG_PARTS),
    ),
    Buy(
        "chocolate",
        "Dark chocolate, 70%",
        GROCER,
        (("11 lb", "104.00"), ("2 lb", "22.80")),
        (("5 kg", "78.00"), ("1 kg", "17.40")),
        _facts("0.71", ndb="19904", allergens="milk soybeans"),
    ),
    Buy(
        "white-chocolate",
        "White chocolate",
        GROCER,
        (("11 lb", "92.00"),),
        (("5 kg", "69.00"),),
        _facts("0.719", ndb="19087", allergens="milk soybeans"),
    ),
    Buy("cocoa", "Cocoa powder", GROCER, (("5 lb", "46.50"),), (("1 kg", "16.90"),), _facts("0.364", ndb="19165")),
    Buy(
        "almonds",
        "Almonds, ground",
        GROCER,
        (("25 lb", "148.00"), ("3 lb", "21.60")),
        (("5 kg", "58.00"), ("1 kg", "13.20")),
        _facts("0.402", ndb="12061", allergens="almonds"),
    ),
    Buy(
        "flaked-almonds",
        "Almonds, flaked",
        GROCER,
        (("5 lb", "38.50"),),
        (("1 kg", "14.60"),),
        _facts("0.389", ndb="12061", allergens="almonds"),
    ),
    Buy(
        "hazelnuts",
        "Hazelnuts, chopped",
        GROCER,
        (("5 lb", "47.00"),),
        (("1 kg", "16.80"),),
        _facts("0.486", ndb="12120", allergens="hazelnuts"),
    ),
    Buy(
        "pistachios",
        "Pistachios, shelled",
        GROCER,
        (("2 lb", "31.00"),),
        (("1 kg", "31.50"),),
        _facts("0.52", ndb="12151", allergens="pistachios", charge="packs"),
    ),
    Buy(
        "vanilla",
        "Vanilla extract",
        GROCER,
        (("32 fl_oz", "96.00"), ("8 fl_oz", "28.00")),
        (("1 l", "98.00"),),
        _facts("0.879", ndb="02050"),
    ),
    Buy("gelatin", "Gelatin powder", GROCER, (("1 lb", "17.90"),), (("500 g", "14.80"),), _facts("0.63", ndb="19177")),
    Buy(
        "agar",
        "Agar powder",
        GROCER,
        (("8 oz", "16.20"),),
        (("250 g", "14.50"),),
        _facts("0.56", source="weighed in the kitchen", composition=_AGAR),
    ),
    Buy(
        "coconut-milk",
        "Coconut milk",
        GROCER,
        (("96 fl_oz", "11.40"),),
        (("2.5 l", "9.90"),),
        _facts("0.955", ndb="12117", composition=_COCONUT),
    ),
    Buy("canola", "Canola oil", GROCER, (("1 gallon", "13.80"),), (("5 l", "14.50"),), _facts("0.921", ndb="04582")),
    Buy(
        "lemon",
        "Lemons",
        GROCER,
        (("1 dozen", "6.60"), ("1 each", "0.79")),
        (("5 kg", "13.90"), ("1 kg", "3.40")),
        _facts(
            each="130",
            parts=_citrus("0.36", "0.045", rows=("09152", "09156")),
            charge="packs",
            source="one lemon gives 48 g juice: USDA SR28 09152",
        ),
    ),
    Buy(
        "orange",
        "Oranges",
        GROCER,
        (("1 dozen", "8.40"), ("1 each", "0.95")),
        (("5 kg", "11.50"), ("1 kg", "2.90")),
        _facts(
            each="200",
            parts=_citrus("0.43", "0.03", rows=("09206", "09216")),
            charge="packs",
            source="one orange gives 86 g juice: USDA SR28 09206",
        ),
    ),
    Buy(
        "raspberry",
        "Raspberries",
        GROCER,
        (("12 pint", "39.00"), ("1 pint", "3.95")),
        (("1 kg", "11.80"),),
        _facts("0.66", ndb="09302", charge="packs", **{"yield": "0.96"}),
    ),
    Buy(
        "rhubarb",
        "Rhubarb",
        GROCER,
        (("10 lb", "24.00"),),
        (("5 kg", "17.50"),),
        _facts("0.516", ndb="09307", **{"yield": "0.75"}),
    ),
    Buy(
        "pear",
        "Pears",
        GROCER,
        (("40 lb", "52.00"), ("5 lb", "8.90")),
        (("10 kg", "24.00"), ("1 kg", "2.80")),
        _facts(each="178", ndb="09252", **{"yield": "0.78"}),
    ),
    Buy(
        "plum",
        "Plums",
        GROCER,
        (("25 lb", "44.00"),),
        (("5 kg", "14.90"),),
        _facts(each="66", ndb="09279", **{"yield": "0.94"}),
    ),
    Buy(
        "cinnamon",
        "Cinnamon, ground",
        GROCER,
        (("1 lb", "12.80"),),
        (("500 g", "10.90"),),
        _facts("0.527", ndb="02010"),
    ),
)

#: counted only
PACKAGING = (
    Buy("box-small", "Cake box, small", WRAPS, (("50 each", "38.00"),), (("50 each", "34.00"),), {}),
    Buy("box-medium", "Cake box, medium", WRAPS, (("50 each", "46.00"),), (("50 each", "41.00"),), {}),
    Buy("box-large", "Cake box, large", WRAPS, (("25 each", "34.00"),), (("25 each", "31.00"),), {}),
    Buy("board", "Cake board, round", WRAPS, (("100 each", "44.00"),), (("100 each", "39.00"),), {}),
    Buy(
        "glass",
        "Dessert glass with lid, returnable tray",
        WRAPS,
        (("4 dozen", "33.60"), ("1 dozen", "9.90")),
        (("50 each", "29.00"), ("10 each", "7.40")),
        {"charge": "packs"},
    ),
    Buy("cup", "Baking cup, porcelain look", WRAPS, (("100 each", "41.00"),), (("100 each", "37.00"),), {}),
    Buy("case", "Paper case", WRAPS, (("500 each", "16.50"),), (("500 each", "14.00"),), {}),
    Buy("ribbon", "Linen ribbon, one cake", WRAPS, (("50 each", "30.00"),), (("50 each", "27.00"),), {}),
)
