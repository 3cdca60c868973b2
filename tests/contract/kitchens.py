"""Made-up kitchens and orders for comparing the engine with the oracle: any shape the contract allows."""

from __future__ import annotations

from random import Random
from typing import Any

Json = dict[str, Any]

MEASURES = (
    "250 g",
    "1 kg",
    "8 oz",
    "1 1/2 lb",
    "2 cup",
    "1¾ cup",
    "3 tbsp",
    "½ tsp",
    "1/3 cup",
    "327 ml",
    "1 l",
    "6 dash",
)
COUNTS = ("3 each", "1/2 dozen", "10 each", "1½ each")
SIZES = ("1 kg", "2.5 kg", "25 kg", "1 lb", "5 lb", "1 gallon", "12 each", "2 dozen", "1000 g", "12 oz")
PRICES = ("0.99", "12.50", "7.20", "3", "18.75", "0", "1.005", "10")
SHARES = ("0", "0.1", "0.25", "0.333", "0.06")
KINDS = ("private", "planner")


def pick(rng: Random, *choices: Any) -> Any:
    return rng.choice(choices)


def maybe(rng: Random, item: Json, key: str, *choices: Any, odds: float = 0.5) -> None:
    if rng.random() < odds:
        item[key] = rng.choice(choices)


def ingredient(rng: Random, code: str) -> Json:
    item: Json = {"code": code, "name": code.capitalize(), "density": pick(rng, "1", "0.507", "1.433"), "packs": []}
    item["grams_each"] = pick(rng, "50", "57.5")
    maybe(rng, item, "yield", "1", "0.8", "0.877")
    maybe(rng, item, "charge", "used", "packs", "packs")
    maybe(rng, item, "allergens", ["milk"], ["nuts", "eggs"], [])
    if rng.random() < 0.5:
        item["parts"] = [{"code": "inner", "share": pick(rng, "0.5", "0.36")}, {"code": "outer", "share": "0.045"}]
        for part in item["parts"]:
            maybe(rng, part, "joint", "piece", odds=0.7)
            maybe(rng, part, "density", "1.03", "0.406")
            maybe(rng, part, "grams_each", "17", "33")
    for _ in range(rng.randint(1, 3)):
        pack: Json = {
            "size": pick(rng, *SIZES),
            "price": pick(rng, *PRICES),
            "from": pick(rng, "2026-01-01", "2026-11-24"),
        }
        maybe(rng, pack, "to", "2026-11-24", "2027-12-31", odds=0.2)
        maybe(rng, pack, "preferred", True, False, odds=0.3)
        item["packs"].append(pack)
    for size, price, start in (("1 kg", "0.01", "2026-11-25"), ("1 kg", "0.02", "2020-01-01")):
        if rng.random() < 0.3:
            pack = {"size": size, "price": price, "from": start} | ({"to": "2026-11-23"} if start < "2026" else {})
            item["packs"].insert(rng.randint(0, len(item["packs"])), pack)
    return item


def box(rng: Random, code: str) -> Json:
    item: Json = {"code": code, "name": code.capitalize(), "base": "each"}
    item["packs"] = [
        {"size": size, "price": pick(rng, "4.40", "9", "0.5"), "from": "2026-01-01"}
        for size in rng.sample(("10 each", "1 dozen", "50 each"), rng.randint(1, 3))
    ]
    maybe(rng, item, "charge", "used", "packs")
    maybe(rng, item, "yield", "0.95", odds=0.3)
    maybe(rng, item, "allergens", ["gluten"], odds=0.2)
    return item


def recipe_line(rng: Random, foods: list[Json]) -> Json:
    food = rng.choice(foods)
    line: Json = {"ingredient": food["code"], "amount": pick(rng, *MEASURES, *COUNTS)}
    owner = food
    if food.get("parts") and rng.random() < 0.6:
        owner = rng.choice(food["parts"])
        line["part"] = owner["code"]
    if line["amount"] in COUNTS and "grams_each" not in owner:
        line["amount"] = "100 g"
    return line


def recipe(rng: Random, code: str, foods: list[Json], before: list[Json]) -> Json:
    item: Json = {"code": code, "name": code.capitalize()}
    item["lines"] = [recipe_line(rng, foods) for _ in range(rng.randint(1, 4))]
    for other in rng.sample(before, min(len(before), rng.randint(0, 2))):
        item["lines"].append({"recipe": other["code"], "amount": pick(rng, "150 g", "1 kg", "2 oz")})
    maybe(rng, item, "loss", *SHARES)
    maybe(rng, item, "batch_limit", "4 kg", "500 g", "3 lb")
    maybe(rng, item, "batch_min", "1.5 kg", "250 g", "2 oz", odds=0.4)
    item["labour"] = [
        {"role": pick(rng, "pastry", "helper"), "per_batch": pick(rng, "0", "18"), "per_kg": pick(rng, "0", "1.5")}
        for _ in range(rng.randint(0, 2))
    ]
    return item


def product(rng: Random, code: str, recipes: list[Json], foods: list[Json], boxes: list[Json]) -> Json:
    item: Json = {
        "code": code,
        "name": code.capitalize(),
        "category": pick(rng, "portion", "whole"),
        "servings": pick(rng, 1, 12),
        "tax": pick(rng, "food", "standard", "a/b"),
        "fill": [
            {"recipe": x["code"], "amount": pick(rng, "85 g", "320 g", "2 oz", "1000 g")}
            for x in rng.choices(recipes, k=rng.randint(0, 3))
        ],
        "packaging": [
            {"ingredient": x["code"], "amount": pick(rng, "1 each", "1/2 each")}
            for x in rng.sample(boxes, rng.randint(0, 2))
        ],
    }
    if rng.random() < 0.3:
        item["packaging"].append(
            {"ingredient": rng.choice(foods)["code"], "amount": pick(rng, "19 g", "1 tsp", "1 each")}
        )
    maybe(rng, item, "sale_multiple", 1, 6, 12)
    maybe(rng, item, "spare", "0.04", "0.1", "0")
    maybe(rng, item, "load", 1, 24, 7)
    maybe(rng, item, "labour", [{"role": "pastry", "per_load": "8", "per_unit": "0.75"}], [{"role": "helper"}])
    maybe(rng, item, "station_time", [{"station": "oven", "minutes_per_load": "85"}])
    maybe(rng, item, "list_price", "6.80", "0", "48", odds=0.3)
    return item


def rule(rng: Random, code: str, products: list[Json]) -> Json:
    item: Json = {"code": code, "margin": pick(rng, "0.58", "0.5", "0")}
    maybe(rng, item, "product", *(x["code"] for x in products), odds=0.3)
    maybe(rng, item, "category", "portion", "whole", odds=0.4)
    maybe(rng, item, "customer_kind", *KINDS, odds=0.3)
    maybe(rng, item, "from_units", 0, 12, 60, odds=0.4)
    maybe(rng, item, "minimum", "4", "48", "0", odds=0.4)
    return item


def any_book(seed: int) -> Json:
    """Make up a sound Book."""
    rng = Random(seed)
    foods = [ingredient(rng, f"food-{n}") for n in range(rng.randint(1, 5))]
    boxes = [box(rng, f"box-{n}") for n in range(2)]
    for food in foods:
        food["packs"].append({"size": "3 kg", "price": "21", "from": "2020-01-01"})
    recipes: list[Json] = []
    for n in range(rng.randint(1, 5)):
        recipes.append(recipe(rng, f"mix-{n}", foods, recipes))
    rng.shuffle(recipes)
    products = [product(rng, f"item-{n}", recipes, foods, boxes) for n in range(rng.randint(1, 5))]
    kitchen: Json = {"price_step": pick(rng, "1", "0.25", "0.01") if rng.random() < 0.8 else "5"}
    maybe(rng, kitchen, "cup", "us", "metric")
    maybe(rng, kitchen, "waste", "0.03", "0")
    maybe(rng, kitchen, "prices", "net", "gross", odds=0.8)
    maybe(rng, kitchen, "floor_margin", "0.45", "0")
    maybe(rng, kitchen, "order_minimum", "250", "0")
    maybe(rng, kitchen, "rush_rate", "0.15", "0.333")
    book: Json = {
        "format": "coldset-book/1",
        "currency": pick(rng, "USD", "EUR", "KWD"),
        "kitchen": kitchen,
        "roles": {"pastry": {"hourly": "25", "on_cost": "0.2"}, "helper": {"hourly": pick(rng, "0", "19.50")}},
        "stations": {"oven": {"kind": "oven", "hourly": "4.80"}},
        "taxes": {
            "food": [{"rate": "0.0825", "from": "2026-07-01"}, {"rate": "0.08", "from": "2025-01-01"}],
            "standard": [{"rate": pick(rng, "0.2", "0.125"), "from": "2020-01-01"}],
            "a/b": [{"rate": "0", "from": "2020-01-01"}],
        },
        "ingredients": foods + boxes,
        "recipes": recipes,
        "products": products,
        "price_rules": [rule(rng, f"rule-{n}", products) for n in range(rng.randint(0, 5))],
    }
    book["price_rules"].append({"code": "house", "margin": "0.4"})
    maybe(rng, book, "overhead", {"per_labour_hour": "8.40", "per_order": "12"}, {"per_order": "7"}, {})
    role = {"role": "helper", "per_km": "0.42", "margin": pick(rng, "0.25", "0"), "tax": pick(rng, "goods", "standard")}
    return book | {"delivery": role}


def any_brief(seed: int, book: Json) -> Json:
    """Make up an order for a Book."""
    rng = Random(seed)
    chosen = rng.sample(book["products"], rng.randint(1, len(book["products"])))
    lines = [{"product": x["code"], "units": x.get("sale_multiple", 1) * rng.randint(1, 8)} for x in chosen]
    for line in lines:
        maybe(rng, line, "unit_price", "5.50", "0", "12", odds=0.2)
    brief: Json = {"format": "coldset-brief/1", "date": "2026-11-24", "lines": lines}
    maybe(rng, brief, "supply_date", "2027-02-06", "2026-06-30")
    maybe(rng, brief, "customer_kind", *KINDS)
    maybe(rng, brief, "tax_exempt", True, False, odds=0.3)
    maybe(rng, brief, "extras", [{"code": "stands", "cost": "18", "amount": "45", "tax": "standard"}], odds=0.4)
    if rng.random() < 0.5:
        brief["delivery"] = {"km": "28", "minutes": "35.5", "crew": rng.randint(0, 2)}
        maybe(rng, brief["delivery"], "setup_minutes", "40")
    maybe(rng, brief, "discount", "0.05", "0.333", "1", odds=0.5)
    maybe(rng, brief, "rush", True, False)
    return brief
