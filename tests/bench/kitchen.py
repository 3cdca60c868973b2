"""A large made-up kitchen for measuring: 2,000 products, 600 recipes up to three deep, 400 ingredients."""

from __future__ import annotations

from random import Random
from typing import Any

Json = dict[str, Any]

AMOUNTS = ("2 cup", "1 1/2 quart", "3 tbsp", "½ tsp", "250 g", "1 kg", "12 oz", "3 each", "1/3 cup")
SIZES = ("1 kg", "2.5 kg", "5 kg", "25 kg", "1 lb", "5 lb", "12 oz", "1 quart", "1 gallon", "1 dozen")
BASES, MIDDLES, TOPS = 250, 200, 150


def large_book(seed: int = 1, products: int = 2000, ingredients: int = 400) -> Json:
    """Make up the Book."""
    rng = Random(seed)
    recipes = _recipes(rng, ingredients)
    return {
        "format": "coldset-book/1",
        "currency": "EUR",
        "kitchen": {"price_step": "0.10", "waste": "0.03", "floor_margin": "0.4", "prices": "gross"},
        "overhead": {"per_labour_hour": "8.40", "per_order": "12"},
        "roles": {"pastry": {"hourly": "25", "on_cost": "0.2"}, "driver": {"hourly": "19.50"}},
        "stations": {"oven": {"kind": "oven", "hourly": "4.80"}, "cold": {"kind": "refrigerator", "hourly": "0.35"}},
        "taxes": {
            "food": [{"rate": "0.07", "from": "2020-01-01"}],
            "standard": [{"rate": "0.19", "from": "2020-01-01"}],
        },
        "delivery": {"role": "driver", "per_km": "0.42", "margin": "0.25", "tax": "goods"},
        "ingredients": [_ingredient(rng, n) for n in range(ingredients)]
        + [
            {
                "code": f"box-{n}",
                "name": f"Box {n}",
                "base": "each",
                "charge": "packs",
                "packs": [{"size": "25 each", "price": "9.90", "from": "2026-01-01"}],
            }
            for n in range(20)
        ],
        "recipes": recipes,
        "products": [_product(rng, n, recipes) for n in range(products)],
        "price_rules": [
            {"code": "house", "margin": "0.58"},
            {"code": "portion", "category": "portion", "margin": "0.6", "minimum": "4"},
            {"code": "portion-600", "category": "portion", "from_units": 600, "margin": "0.54"},
            {"code": "planner", "customer_kind": "planner", "margin": "0.5"},
        ],
    }


def _ingredient(rng: Random, n: int) -> Json:
    item: Json = {
        "code": f"food-{n}",
        "name": f"Food {n}",
        "density": f"0.{rng.randint(400, 999)}",
        "grams_each": str(rng.randint(20, 200)),
        "yield": f"0.{rng.randint(70, 99)}",
        "charge": "packs" if n % 3 == 0 else "used",
        "packs": [
            {"size": size, "price": f"{rng.uniform(2, 60):.2f}", "from": "2026-01-01"}
            for size in rng.sample(SIZES, rng.randint(1, 4))
        ],
        "allergens": rng.sample(("milk", "eggs", "nuts"), rng.randint(0, 2)),
    }
    if n % 8 == 0:
        item["parts"] = [
            {"code": "juice", "share": "0.36", "joint": "fruit", "grams_each": "40"},
            {"code": "zest", "share": "0.045", "joint": "fruit", "grams_each": "5"},
        ]
    return item


def _recipes(rng: Random, ingredients: int) -> list[Json]:
    made: list[Json] = []
    for n in range(BASES + MIDDLES + TOPS):
        lines: list[Json] = []
        for _ in range(rng.randint(3, 7)):
            food = rng.randrange(ingredients)
            line: Json = {"ingredient": f"food-{food}", "amount": rng.choice(AMOUNTS)}
            if food % 8 == 0 and rng.random() < 0.5:
                line["part"] = rng.choice(("juice", "zest"))
            lines.append(line)
        below = made[:BASES] if n < BASES + MIDDLES else made[BASES : BASES + MIDDLES]
        for other in rng.sample(below, 2 if n >= BASES else 0):
            lines.append({"recipe": other["code"], "amount": f"{rng.randint(100, 900)} g"})
        made.append(
            {
                "code": f"mix-{n}",
                "name": f"Mix {n}",
                "lines": lines,
                "loss": f"0.{rng.randint(0, 20):02}",
                "batch_limit": "4 kg",
                "labour": [{"role": "pastry", "per_batch": "18", "per_kg": "1.5"}],
            }
            | ({"batch_min": "400 g"} if n % 5 == 0 else {})
        )
    return made


def _product(rng: Random, n: int, recipes: list[Json]) -> Json:
    fill = rng.sample(recipes, 2) + rng.sample(recipes[BASES:], 1)
    return {
        "code": f"item-{n:04}",
        "name": f"Item {n}",
        "category": rng.choice(("portion", "whole")),
        "servings": rng.choice((1, 12)),
        "sale_multiple": rng.choice((1, 6, 12)),
        "spare": rng.choice(("0", "0.04")),
        "load": 24,
        "fill": [{"recipe": recipe["code"], "amount": f"{rng.randint(20, 300)} g"} for recipe in fill],
        "packaging": [{"ingredient": f"box-{n % 20}", "amount": "1 each"}],
        "labour": [{"role": "pastry", "per_load": "12", "per_unit": "0.75"}],
        "station_time": [{"station": "oven", "minutes_per_load": "45"}, {"station": "cold", "minutes_per_load": "480"}],
        "tax": rng.choice(("food", "standard")),
    }


def forty_lines(book: Json, seed: int = 2) -> Json:
    """Make up an order of forty lines."""
    rng = Random(seed)
    return {
        "format": "coldset-brief/1",
        "date": "2026-11-24",
        "lines": [
            {"product": product["code"], "units": product["sale_multiple"] * rng.randint(1, 8)}
            for product in rng.sample(book["products"], 40)
        ],
        "delivery": {"km": "28", "minutes": "35", "crew": 2, "setup_minutes": "40"},
        "discount": "0.05",
    }
