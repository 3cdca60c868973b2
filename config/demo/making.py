"""What the invented kitchen makes: recipes and formats. Amounts are (US customary, metric)."""

from typing import Any, NamedTuple


class Line(NamedTuple):
    """An amount of an ingredient ("egg:yolk" for a part) or of a recipe ("@custard")."""

    what: str
    us: str
    eu: str


class Make(NamedTuple):
    """A recipe."""

    code: str
    name: str
    loss: str
    limit: tuple[str, str]
    lines: tuple[Line, ...]
    steps: tuple[dict[str, Any], ...]
    note: str = ""


def hands(name: str, kind: str, fixed: str, each: str, **more: Any) -> dict[str, Any]:
    """A step of the pastry cook's work."""
    return {"name": name, "kind": kind, "role": "pastry", "hands_fixed": fixed, "hands_each": each, **more}


def wait(name: str, kind: str, minutes: str, **more: Any) -> dict[str, Any]:
    """A step without hands: resting, cooling, chilling."""
    return {"name": name, "kind": kind, "minutes": minutes, **more}


RECIPES = (
    Make(
        "sweet-paste",
        "Sweet paste",
        "0.05",
        ("12 lb", "5.5 kg"),
        (
            Line("flour", "9 cup", "1130 g"),
            Line("butter", "1 1/2 lb", "680 g"),
            Line("icing-sugar", "3 cup", "360 g"),
            Line("egg", "4 each", "4 each"),
            Line("salt", "1 tsp", "6 g"),
        ),
        (
            hands("Cream, add eggs, bring together", "mix", "14", "1.5"),
            wait("Rest in the cold", "chill", "60", station="cold-room", hold_max="4320"),
            hands("Roll and line", "prepare", "10", "6"),
        ),
    ),
    Make(
        "buckwheat-paste",
        "Buckwheat paste (no wheat)",
        "0.06",
        ("10 lb", "4.5 kg"),
        (
            Line("buckwheat", "6 cup", "720 g"),
            Line("almonds", "2 cup", "190 g"),
            Line("butter", "14 oz", "400 g"),
            Line("brown-sugar", "1 cup", "220 g"),
            Line("egg:yolk", "5 each", "5 each"),
        ),
        (
            hands("Rub in and bind", "mix", "16", "2"),
            wait("Rest in the cold", "chill", "60", station="cold-room", hold_max="2880"),
            hands("Press into cases", "prepare", "8", "8"),
        ),
    ),
    Make(
        "almond-sponge",
        "Almond sponge",
        "0.11",
        ("14 lb", "6.5 kg"),
        (
            Line("butter", "2 lb", "900 g"),
            Line("sugar", "4 1/2 cup", "900 g"),
            Line("egg", "16 each", "16 each"),
            Line("almonds", "6 cup", "570 g"),
            Line("cake-flour", "4 cup", "550 g"),
            Line("baking-powder", "2 tbsp", "28 g"),
            Line("lemon:zest", "2 tbsp", "12 g"),
            Line("vanilla", "1 tbsp", "13 g"),
            Line("salt", "1 1/2 tsp", "9 g"),
        ),
        (hands("Cream, fold", "mix", "22", "1.2"),),
    ),
    Make(
        "cocoa-sponge",
        "Cocoa sponge",
        "0.12",
        ("14 lb", "6.5 kg"),
        (
            Line("cake-flour", "5 cup", "685 g"),
            Line("cocoa", "2 1/2 cup", "215 g"),
            Line("sugar", "5 cup", "1000 g"),
            Line("buttermilk", "1 quart", "980 g"),
            Line("canola", "2 cup", "436 g"),
            Line("egg", "8 each", "8 each"),
            Line("baking-powder", "2 tbsp", "28 g"),
            Line("salt", "2 tsp", "12 g"),
        ),
        (hands("Mix in one bowl", "mix", "14", "1"),),
    ),
    Make(
        "vanilla-custard",
        "Vanilla custard for baking",
        "0.03",
        ("20 lb", "9 kg"),
        (
            Line("cream", "2 quart", "1900 g"),
            Line("milk", "1 quart", "980 g"),
            Line("egg:yolk", "30 each", "30 each"),
            Line("sugar", "2 1/2 cup", "500 g"),
            Line("vanilla", "2 tbsp", "26 g"),
            Line("salt", "1/2 tsp", "3 g"),
        ),
        (hands("Warm, temper, strain", "cook", "20", "1.5", minutes="30", hold_max="1440", station="bench"),),
    ),
    Make(
        "orange-custard",
        "Orange custard for baking",
        "0.03",
        ("20 lb", "9 kg"),
        (
            Line("milk", "2 quart", "1950 g"),
            Line("cream", "1 quart", "950 g"),
            Line("egg", "18 each", "18 each"),
            Line("egg:yolk", "8 each", "8 each"),
            Line("sugar", "2 1/4 cup", "450 g"),
            Line("orange:zest", "5 tbsp", "30 g"),
            Line("orange:juice", "1 cup", "248 g"),
        ),
        (hands("Warm, temper, strain", "cook", "22", "1.5", minutes="35", hold_max="1440", station="bench"),),
    ),
    Make(
        "lemon-curd",
        "Lemon curd",
        "0.05",
        ("10 lb", "4.5 kg"),
        (
            Line("lemon:juice", "3 cup", "730 g"),
            Line("lemon:zest", "1/4 cup", "24 g"),
            Line("sugar", "3 1/2 cup", "700 g"),
            Line("egg", "10 each", "10 each"),
            Line("egg:yolk", "8 each", "8 each"),
            Line("butter", "1 1/4 lb", "570 g"),
        ),
        (
            hands("Cook over water, strain, emulsify", "cook", "30", "3", minutes="45"),
            wait("Set in the cold", "chill", "240", station="cold-room", hold_max="4320"),
        ),
    ),
    Make(
        "raspberry-compote",
        "Raspberry compote",
        "0.14",
        ("8 lb", "3.6 kg"),
        (
            Line("raspberry", "6 pint", "1870 g"),
            Line("sugar", "1 1/2 cup", "300 g"),
            Line("lemon:juice", "1/4 cup", "61 g"),
            Line("cornstarch", "3 tbsp", "24 g"),
        ),
        (
            hands("Cook down", "cook", "18", "3", minutes="35"),
            wait("Cool in shallow trays", "rest", "90", station="cold-room", hold_max="4320"),
        ),
    ),
    Make(
        "rhubarb-compote",
        "Rhubarb compote",
        "0.18",
        ("10 lb", "4.5 kg"),
        (Line("rhubarb", "6 lb", "2720 g"), Line("sugar", "3 cup", "600 g"), Line("orange:juice", "1 cup", "248 g")),
        (
            hands("Trim, roast, break down", "cook", "20", "6", minutes="50"),
            wait("Cool in shallow trays", "rest", "90", station="cold-room", hold_max="4320"),
        ),
    ),
    Make(
        "spiced-pears",
        "Spiced pears",
        "0.12",
        ("12 lb", "5.4 kg"),
        (
            Line("pear", "8 lb", "3630 g"),
            Line("honey", "1 cup", "339 g"),
            Line("cinnamon", "2 tsp", "5 g"),
            Line("lemon:juice", "1/4 cup", "61 g"),
        ),
        (
            hands("Peel, poach", "cook", "15", "9", minutes="55"),
            wait("Cool in the syrup", "rest", "120", station="cold-room", hold_max="4320"),
        ),
    ),
    Make(
        "set-buttermilk",
        "Buttermilk set cream",
        "0.03",
        ("16 lb", "7.2 kg"),
        (
            Line("cream", "1 1/2 quart", "1430 g"),
            Line("buttermilk", "1 1/2 quart", "1470 g"),
            Line("sugar", "1 3/4 cup", "350 g"),
            Line("gelatin", "3 tbsp", "28 g"),
            Line("vanilla", "1 tbsp", "13 g"),
        ),
        (hands("Warm, bloom, combine", "cook", "18", "1", minutes="25", hold_max="60"),),
    ),
    Make(
        "set-coconut",
        "Coconut set cream (no milk, no eggs)",
        "0.03",
        ("16 lb", "7.2 kg"),
        (
            Line("coconut-milk", "3 quart", "2710 g"),
            Line("sugar", "1 1/2 cup", "300 g"),
            Line("agar", "2 tbsp", "17 g"),
            Line("vanilla", "1 tbsp", "13 g"),
        ),
        (hands("Boil with agar, cool to pour", "cook", "18", "1", minutes="30", hold_max="30"),),
    ),
    Make(
        "chocolate-mousse",
        "Dark chocolate mousse",
        "0.05",
        ("9 lb", "4 kg"),
        (
            Line("chocolate", "2 lb", "900 g"),
            Line("cream", "1 1/2 quart", "1430 g"),
            Line("egg:yolk", "12 each", "12 each"),
            Line("sugar", "1 cup", "200 g"),
            Line("salt", "1/2 tsp", "3 g"),
        ),
        (hands("Cook yolks to 71 °C, fold", "mix", "28", "3", minutes="45", hold_max="45"),),
    ),
    Make(
        "chocolate-glaze",
        "Chocolate glaze",
        "0.04",
        ("6 lb", "2.7 kg"),
        (
            Line("chocolate", "1 lb", "450 g"),
            Line("cream", "2 cup", "476 g"),
            Line("honey", "1/4 cup", "85 g"),
            Line("butter", "4 oz", "115 g"),
        ),
        (hands("Heat and emulsify", "cook", "10", "2", minutes="20", hold_max="2880"),),
    ),
    Make(
        "hazelnut-crunch",
        "Hazelnut crunch",
        "0.08",
        ("6 lb", "2.7 kg"),
        (
            Line("hazelnuts", "6 cup", "690 g"),
            Line("sugar", "2 cup", "400 g"),
            Line("butter", "4 oz", "115 g"),
            Line("oats", "2 cup", "162 g"),
            Line("salt", "1 tsp", "6 g"),
        ),
        (hands("Roast and caramelise", "cook", "20", "6", minutes="45", hold_max="10080"),),
    ),
    Make(
        "vanilla-cream",
        "Whipped vanilla cream",
        "0.04",
        ("6 lb", "2.7 kg"),
        (Line("cream", "2 quart", "1900 g"), Line("icing-sugar", "1 cup", "120 g"), Line("vanilla", "1 tbsp", "13 g")),
        (hands("Whip", "mix", "8", "2", hold_max="720"),),
    ),
    Make(
        "meringue",
        "Meringue",
        "0.22",
        ("5 lb", "2.2 kg"),
        (
            Line("egg:white", "16 each", "16 each"),
            Line("sugar", "5 cup", "1000 g"),
            Line("lemon:juice", "1 tbsp", "15 g"),
        ),
        (hands("Whip warm, pipe", "mix", "20", "10", minutes="40"),),
    ),
    Make(
        "layered-mousse",
        "Mousse with hazelnut crunch",
        "0.01",
        ("", ""),
        (Line("@chocolate-mousse", "6 lb", "2700 g"), Line("@hazelnut-crunch", "1 lb", "450 g")),
        (hands("Fold the crunch through", "mix", "6", "1"),),
    ),
)


class Sell(NamedTuple):
    """A product: a format of components."""

    code: str
    name: str
    description: str
    category: str
    servings: int
    multiple: int
    load: int
    fills: tuple[Line, ...]
    packaging: str
    steps: tuple[dict[str, Any], ...]
    more: dict[str, Any] = {}


def bake(minutes: str, **more: Any) -> dict[str, Any]:
    """An oven load."""
    return {
        "name": "Bake",
        "kind": "bake",
        "role": "pastry",
        "hands_fixed": "6",
        "station": "oven",
        "minutes": minutes,
        **more,
    }


def chill(minutes: str, name: str = "Chill", **more: Any) -> dict[str, Any]:
    """A stay in the cold room."""
    return {"name": name, "kind": "chill", "station": "cold-room", "minutes": minutes, **more}


def cool(minutes: str) -> dict[str, Any]:
    """Cooling on the rack before the cold."""
    return {
        "name": "Cool on the rack, then straight to the cold",
        "kind": "rest",
        "station": "rack",
        "minutes": minutes,
        "hold_max": "0",
    }


_OVERNIGHT = "960"
_KEEP_COLD = (
    "Keep at 5 °C (41 °F) or colder until it is set out; follow your local food code for how long it may stand."
)

PRODUCTS = (
    Sell(
        "almond-raspberry-6",
        "Almond and raspberry cake, 6 in (15 cm)",
        "Almond sponge, raspberry compote, whipped vanilla cream, flaked almonds.",
        "whole cake",
        8,
        1,
        6,
        (
            Line("almond-sponge", "20 oz", "570 g"),
            Line("raspberry-compote", "7 oz", "200 g"),
            Line("vanilla-cream", "10 oz", "285 g"),
        ),
        "box-small board ribbon",
        (
            bake("45"),
            cool("45"),
            chill("180"),
            hands("Layer and coat", "finish", "10", "14"),
            chill("120", hold_max="1440"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": "Ring, 15 cm"},
    ),
    Sell(
        "almond-raspberry-8",
        "Almond and raspberry cake, 8 in (20 cm)",
        "Almond sponge, raspberry compote, whipped vanilla cream, flaked almonds.",
        "whole cake",
        14,
        1,
        6,
        (
            Line("almond-sponge", "36 oz", "1020 g"),
            Line("raspberry-compote", "12 oz", "340 g"),
            Line("vanilla-cream", "18 oz", "510 g"),
        ),
        "box-medium board ribbon",
        (
            bake("55"),
            cool("60"),
            chill("240"),
            hands("Layer and coat", "finish", "10", "18"),
            chill("120", hold_max="1440"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": "Ring, 20 cm"},
    ),
    Sell(
        "almond-raspberry-10",
        "Almond and raspberry cake, 10 in (25 cm)",
        "Almond sponge, raspberry compote, whipped vanilla cream, flaked almonds.",
        "whole cake",
        24,
        1,
        4,
        (
            Line("almond-sponge", "56 oz", "1590 g"),
            Line("raspberry-compote", "19 oz", "540 g"),
            Line("vanilla-cream", "28 oz", "795 g"),
        ),
        "box-large board ribbon",
        (
            bake("65"),
            cool("60"),
            chill("300"),
            hands("Layer and coat", "finish", "10", "25"),
            chill("120", hold_max="1440"),
            hands("Box", "pack", "2", "3"),
        ),
        {"mould": "Ring, 25 cm"},
    ),
    Sell(
        "almond-squares",
        "Almond and raspberry squares",
        "A bite of almond sponge with raspberry; holds well on a table.",
        "portion",
        1,
        12,
        60,
        (Line("almond-sponge", "1 1/2 oz", "42 g"), Line("raspberry-compote", "1/2 oz", "14 g")),
        "case",
        (
            bake("30"),
            cool("45"),
            chill("120", hold_max="2880"),
            hands("Cut and finish", "finish", "8", "0.4"),
            hands("Tray up", "pack", "4", "0.1"),
        ),
        {"mould": "Half sheet tray"},
    ),
    Sell(
        "chocolate-hazelnut-8",
        "Chocolate and hazelnut cake, 8 in (20 cm)",
        "Cocoa sponge, dark mousse with hazelnut crunch, glaze.",
        "whole cake",
        14,
        1,
        6,
        (
            Line("cocoa-sponge", "26 oz", "740 g"),
            Line("layered-mousse", "30 oz", "850 g"),
            Line("chocolate-glaze", "9 oz", "255 g"),
        ),
        "box-medium board ribbon",
        (
            bake("40"),
            cool("60"),
            hands("Fill the ring", "fill", "10", "8"),
            chill(_OVERNIGHT, "Set overnight", hold_max="2880"),
            hands("Glaze", "finish", "10", "6"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": "Ring, 20 cm"},
    ),
    Sell(
        "chocolate-hazelnut-10",
        "Chocolate and hazelnut cake, 10 in (25 cm)",
        "Cocoa sponge, dark mousse with hazelnut crunch, glaze.",
        "whole cake",
        24,
        1,
        4,
        (
            Line("cocoa-sponge", "40 oz", "1135 g"),
            Line("layered-mousse", "47 oz", "1330 g"),
            Line("chocolate-glaze", "14 oz", "400 g"),
        ),
        "box-large board ribbon",
        (
            bake("45"),
            cool("60"),
            hands("Fill the ring", "fill", "10", "10"),
            chill(_OVERNIGHT, "Set overnight", hold_max="2880"),
            hands("Glaze", "finish", "10", "8"),
            hands("Box", "pack", "2", "3"),
        ),
        {"mould": "Ring, 25 cm"},
    ),
    Sell(
        "mousse-glass",
        "Dark chocolate mousse, glass",
        "Dark mousse, hazelnut crunch on top.",
        "portion",
        1,
        12,
        72,
        (Line("chocolate-mousse", "2 1/2 oz", "70 g"), Line("hazelnut-crunch", "1/4 oz", "7 g")),
        "glass",
        (
            hands("Fill glasses", "fill", "6", "0.5"),
            chill("300", "Set", hold_max="2160"),
            hands("Top and lid", "finish", "4", "0.3"),
        ),
    ),
    Sell(
        "custard-tart-9",
        "Baked vanilla custard tart, 9 in (23 cm)",
        "Sweet paste, vanilla custard baked slowly and chilled overnight.",
        "whole cake",
        12,
        1,
        8,
        (Line("sweet-paste", "12 oz", "340 g"), Line("vanilla-custard", "30 oz", "850 g")),
        "box-medium",
        (
            bake("25", name="Bake the cases"),
            hands("Fill", "fill", "6", "2"),
            bake("50", temperature_c="140"),
            cool("60"),
            chill(_OVERNIGHT, "Chill overnight", hold_max="2880"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": "Tart ring, 23 cm"},
    ),
    Sell(
        "custard-tartlet",
        "Baked vanilla custard tartlet",
        "A small custard tart, baked and chilled overnight.",
        "portion",
        1,
        12,
        48,
        (Line("sweet-paste", "1 oz", "28 g"), Line("vanilla-custard", "1 3/4 oz", "50 g")),
        "case",
        (
            bake("15", name="Bake the cases"),
            hands("Fill", "fill", "6", "0.3"),
            bake("28", temperature_c="140"),
            cool("45"),
            chill("720", "Chill overnight", hold_max="2160"),
            hands("Tray up", "pack", "4", "0.1"),
        ),
        {"mould": "Tartlet tin, 7 cm"},
    ),
    Sell(
        "orange-cup",
        "Baked orange custard, cup",
        "Orange custard baked in its cup, chilled overnight, candied zest.",
        "portion",
        1,
        12,
        60,
        (Line("orange-custard", "3 oz", "85 g"),),
        "cup",
        (
            hands("Fill cups", "fill", "8", "0.4"),
            bake("45", temperature_c="130"),
            cool("45"),
            chill("720", "Chill overnight", hold_max="2160"),
            hands("Finish and lid", "finish", "4", "0.4"),
        ),
    ),
    Sell(
        "lemon-tartlet",
        "Lemon curd tartlet with meringue",
        "Sharp curd, sweet paste, a flame-browned top.",
        "portion",
        1,
        12,
        48,
        (
            Line("sweet-paste", "1 oz", "28 g"),
            Line("lemon-curd", "1 1/4 oz", "35 g"),
            Line("meringue", "1/2 oz", "14 g"),
        ),
        "case",
        (
            bake("18", name="Bake the cases"),
            cool("30"),
            hands("Fill and pipe", "fill", "8", "0.7"),
            hands("Brown and tray up", "finish", "4", "0.3", hold_max="720"),
        ),
        {"mould": "Tartlet tin, 7 cm"},
    ),
    Sell(
        "buttermilk-glass",
        "Buttermilk set cream with rhubarb, glass",
        "Soft-set cream, roasted rhubarb.",
        "portion",
        1,
        12,
        72,
        (Line("set-buttermilk", "3 oz", "85 g"), Line("rhubarb-compote", "1 oz", "28 g")),
        "glass",
        (
            hands("Fill glasses", "fill", "6", "0.4"),
            chill("360", "Set", hold_max="2160"),
            hands("Top with fruit and lid", "finish", "4", "0.4"),
        ),
    ),
    Sell(
        "coconut-cup",
        "Coconut set cream with pears, cup",
        "No milk, no eggs: coconut cream with spiced pears.",
        "portion",
        1,
        6,
        60,
        (Line("set-coconut", "3 oz", "85 g"), Line("spiced-pears", "1 1/2 oz", "42 g")),
        "cup",
        (
            hands("Fill cups", "fill", "6", "0.4"),
            chill("240", "Set", hold_max="2160"),
            hands("Top with fruit and lid", "finish", "4", "0.4"),
        ),
    ),
    Sell(
        "pear-buckwheat-tart",
        "Pear and buckwheat tart, 9 in (23 cm)",
        "Buckwheat and almond paste without wheat, spiced pears.",
        "whole cake",
        12,
        1,
        8,
        (Line("buckwheat-paste", "16 oz", "450 g"), Line("spiced-pears", "26 oz", "740 g")),
        "box-medium",
        (bake("55"), cool("60"), chill("120", hold_max="2160"), hands("Box", "pack", "2", "2")),
        {"mould": "Tart ring, 23 cm"},
    ),
    Sell(
        "meringue-bag",
        "Meringue kisses, bag of six",
        "Crisp outside, soft inside.",
        "portion",
        2,
        6,
        40,
        (Line("meringue", "2 oz", "57 g"),),
        "case",
        (
            bake("100", temperature_c="100"),
            {"name": "Cool in the oven", "kind": "rest", "station": "rack", "minutes": "120", "hold_max": "10080"},
            hands("Bag", "pack", "4", "0.6"),
        ),
        {"list_price": ("5.50", "5.20")},
    ),
)

HOLDING = _KEEP_COLD
