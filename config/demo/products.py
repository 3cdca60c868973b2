"""The invented kitchen's formats: whole cakes in sizes, portions sharing their components."""

from typing import Any

from config.demo.making import Line, Sell, bake, blast, chill, cool, hands, size, warm
from config.demo.profile import MOLDS

_RING_6, _RING_8, _RING_10, _TART_RING, _TARTLET, _TRAY, _GLASS, _CUP = (row[0] for row in MOLDS)
_OVERNIGHT = "960"
#: How warm the oven is for sponges, for paste and for custards.
_SPONGE, _CASES, _CUSTARD = warm("350", "175"), warm("375", "190"), warm("285", "140")
HOLDING = ("Keep at 41 °F or colder until it is set out.", "Keep at 5 °C or colder until it is set out.")


def _layer(minutes_each: str) -> dict[str, Any]:
    """Return the step that layers an almond cake, one at a time and straight from the cold."""
    more = {"leaves_c": warm("43", "6"), "takes": ["raspberry-compote", "vanilla-cream"]}
    return hands("Layer and coat, one at a time from the cold", "finish", "10", minutes_each, **more)


def _mousse_on_sponge(minutes_each: str) -> dict[str, Any]:
    """Return the step that fills mousse onto a cold sponge."""
    more = {"leaves_c": warm("39", "4"), "takes": ["layered-mousse"], "takes_c": warm("68", "20"), "takes_as": "layer"}
    return hands("Fill the ring, on the cold sponge", "fill", "10", minutes_each, **more)


def _glaze(minutes_each: str) -> dict[str, Any]:
    """Return the step that glazes a cake from the cold."""
    more = {"leaves_c": warm("39", "4"), "takes": ["chocolate-glaze"], "takes_c": warm("90", "32"), "takes_as": "layer"}
    return hands("Glaze", "finish", "10", minutes_each, **more)


PRODUCTS = (
    Sell(
        "almond-raspberry-6",
        ("Almond and raspberry cake, 6 in", "Almond and raspberry cake, 15 cm"),
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
            bake("45", _SPONGE),
            cool("45"),
            chill("180", hold_max="1440"),
            _layer("14"),
            blast("120"),
            chill("60", hold_max="1440"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": _RING_6, "fill_height_cm": size("3 1/2", "9"), "stands_on": "board"},
    ),
    Sell(
        "almond-raspberry-8",
        ("Almond and raspberry cake, 8 in", "Almond and raspberry cake, 20 cm"),
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
            bake("55", _SPONGE),
            cool("60"),
            chill("240", hold_max="1440"),
            _layer("18"),
            blast("120"),
            chill("60", hold_max="1440"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": _RING_8, "fill_height_cm": size("3 1/2", "9"), "stands_on": "board"},
    ),
    Sell(
        "almond-raspberry-10",
        ("Almond and raspberry cake, 10 in", "Almond and raspberry cake, 25 cm"),
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
            bake("65", _SPONGE),
            cool("60"),
            chill("300", hold_max="1440"),
            _layer("25"),
            blast("180"),
            chill("60", hold_max="1440"),
            hands("Box", "pack", "2", "3"),
        ),
        {"mould": _RING_10, "fill_height_cm": size("3 1/2", "9"), "stands_on": "board"},
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
            bake("30", _SPONGE),
            cool("60", "Cool on the rack"),
            hands("Spread the compote", "finish", "4", "0", leaves_c=warm("68", "20"), takes=["raspberry-compote"]),
            blast("90"),
            chill("60", hold_max="2880"),
            hands("Cut and decorate", "finish", "4", "0.4"),
            hands("Tray up", "pack", "4", "0.1"),
        ),
        {"mould": _TRAY, "fill_height_cm": size("1 3/8", "3.2")},
    ),
    Sell(
        "chocolate-hazelnut-8",
        ("Chocolate and hazelnut cake, 8 in", "Chocolate and hazelnut cake, 20 cm"),
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
            bake("40", _SPONGE),
            cool("60"),
            chill("180", "Chill the sponge", hold_max="1440"),
            _mousse_on_sponge("8"),
            blast("240"),
            chill("720", "Set overnight", hold_max="2880"),
            _glaze("6"),
            blast("60"),
            chill("60", hold_max="1440"),
            hands("Box", "pack", "2", "2"),
        ),
        {
            "mould": _RING_8,
            "fill_height_cm": size("3 1/8", "8"),
            "stands_on": "board",
            "carried": "insulated",
        },
    ),
    Sell(
        "chocolate-hazelnut-10",
        ("Chocolate and hazelnut cake, 10 in", "Chocolate and hazelnut cake, 25 cm"),
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
            bake("45", _SPONGE),
            cool("60"),
            chill("180", "Chill the sponge", hold_max="1440"),
            _mousse_on_sponge("10"),
            blast("240"),
            chill("720", "Set overnight", hold_max="2880"),
            _glaze("8"),
            blast("60"),
            chill("60", hold_max="1440"),
            hands("Box", "pack", "2", "3"),
        ),
        {
            "mould": _RING_10,
            "fill_height_cm": size("3 1/8", "8"),
            "stands_on": "board",
            "carried": "insulated",
        },
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
            hands("Fill glasses", "fill", "6", "0.5", leaves_c=warm("72", "22")),
            chill("300", "Set", hold_max="2160"),
            hands("Top and lid", "finish", "4", "0.3", takes=["hazelnut-crunch"]),
        ),
        {
            "mould": _GLASS,
            "fill_height_cm": size("1 1/2", "3.8"),
            "stands_on": "board",
        },
    ),
    Sell(
        "custard-tart-9",
        ("Baked vanilla custard tart, 9 in", "Baked vanilla custard tart, 23 cm"),
        "Sweet paste, vanilla custard baked slowly and chilled overnight.",
        "whole cake",
        12,
        1,
        8,
        (Line("sweet-paste", "12 oz", "340 g"), Line("vanilla-custard", "30 oz", "850 g")),
        "box-medium",
        (
            bake("25", _CASES, name="Bake the cases"),
            hands("Fill", "fill", "6", "2", takes=["vanilla-custard"]),
            bake("50", _CUSTARD, leaves_c=warm("176", "80")),
            cool("60"),
            chill(_OVERNIGHT, "Chill overnight", hold_max="2880"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": _TART_RING, "fill_height_cm": size("1 1/16", "2.7")},
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
            bake("15", _CASES, name="Bake the cases"),
            hands("Fill", "fill", "6", "0.3", takes=["vanilla-custard"]),
            bake("28", _CUSTARD, leaves_c=warm("176", "80")),
            cool("45"),
            chill("720", "Chill overnight", hold_max="2160"),
            hands("Tray up", "pack", "4", "0.1"),
        ),
        {"mould": _TARTLET, "fill_height_cm": size("3/4", "1.9")},
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
            bake("45", warm("265", "130"), leaves_c=warm("176", "80")),
            cool("45"),
            chill("720", "Chill overnight", hold_max="2160"),
            hands("Decorate and lid", "finish", "4", "0.4"),
        ),
        {
            "mould": _CUP,
            "fill_height_cm": size("13/16", "2.1"),
            "stands_on": "board",
        },
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
            Line("tartlet-cases", "1 oz", "28 g"),
            Line("lemon-curd", "1 1/4 oz", "35 g"),
            Line("meringue", "1/2 oz", "14 g"),
        ),
        "case",
        (
            hands("Fill and pipe", "fill", "8", "0.7", takes=["lemon-curd", "meringue"]),
            hands("Brown with a flame", "finish", "2", "0.2", leaves_c=warm("68", "20")),
            chill("180", hold_max="720"),
            hands("Tray up", "pack", "2", "0.1"),
        ),
        {"mould": _TARTLET, "fill_height_cm": size("15/16", "2.4")},
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
            hands("Fill glasses", "fill", "6", "0.4", leaves_c=warm("95", "35")),
            blast("75"),
            chill("285", "Set", hold_max="2160"),
            hands("Top with fruit and lid", "finish", "4", "0.4", takes=["rhubarb-compote"]),
        ),
        {
            "mould": _GLASS,
            "fill_height_cm": size("1 1/2", "3.8"),
            "stands_on": "board",
        },
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
            hands("Fill cups", "fill", "6", "0.4", leaves_c=warm("104", "40")),
            blast("90"),
            chill("150", "Set", hold_max="2160"),
            hands("Top with fruit and lid", "finish", "4", "0.4", takes=["spiced-pears"]),
        ),
        {
            "mould": _CUP,
            "fill_height_cm": size("1 1/4", "3.2"),
            "stands_on": "board",
            "cooling_rule": "cooked",
        },
    ),
    Sell(
        "pear-buckwheat-tart",
        ("Pear and buckwheat tart, 9 in", "Pear and buckwheat tart, 23 cm"),
        "Buckwheat and almond paste without wheat, spiced pears.",
        "whole cake",
        12,
        1,
        8,
        (Line("buckwheat-paste", "16 oz", "450 g"), Line("spiced-pears", "26 oz", "740 g")),
        "box-medium",
        (
            bake("55", _CASES, leaves_c=warm("194", "90"), takes=["buckwheat-paste", "spiced-pears"]),
            cool("30"),
            blast("150"),
            chill("60", hold_max="2160"),
            hands("Box", "pack", "2", "2"),
        ),
        {"mould": _TART_RING, "fill_height_cm": size("1 1/16", "2.7")},
    ),
    Sell(
        "meringue-bag",
        "Meringue kisses, bag of six",
        "Dried slowly until they are crisp to the middle.",
        "portion",
        2,
        6,
        40,
        (Line("dried-meringue", "2 oz", "57 g"),),
        "case",
        (
            bake("100", warm("210", "100")),
            {"name": "Cool in the oven", "kind": "rest", "station": "rack", "minutes": "120", "hold_max": "10080"},
            hands("Bag", "pack", "4", "0.6", hold_max="10080"),
        ),
        {"list_price": ("5.50", "5.20"), "holding": "Keep dry and airtight, at room temperature."},
    ),
)
