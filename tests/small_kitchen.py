"""A small invented kitchen as a Book: three portions and a centrepiece, with hours, steps and a profile."""

import json
from typing import Any

BAKING_DAYS = (1, 2, 3, 4, 5)


#: What labels are asked for, by either legal list, and by those who do not eat everything.
_ASKED = (
    *("milk", "eggs", "wheat", "rye", "barley", "oats", "peanuts", "soybeans", "sesame", "fish", "crustaceans"),
    *("molluscs", "celery", "mustard", "sulphites", "lupin", "almonds", "brazil-nuts", "cashews", "hazelnuts"),
    *("macadamias", "pecans", "pine-nuts", "pistachios", "walnuts", "black-walnuts", "california-walnuts", "heartnuts"),
    *("gelatin", "meat", "other-animal", "alcohol"),
)


def _bought(code: str, name: str, packs: list[tuple[str, str]], **facts: Any) -> dict[str, Any]:
    """Return an ingredient whose label was read: free of all it does not contain."""
    contained = facts.get("allergens", ())
    return {
        "allergen_answers": {asked: "free" for asked in _ASKED if asked not in contained},
        "code": code,
        "name": name,
        "packs": [{"size": size, "price": price, "from": "2024-01-01"} for size, price in packs],
        **facts,
    }


def _labor(steps: list[dict[str, Any]], fixed: str, each: str) -> list[dict[str, Any]]:
    """Return the labor of steps: one entry for each step with a role."""
    return [
        {"role": step["role"]}
        | {key: step[of] for key, of in ((fixed, "hands_fixed"), (each, "hands_each")) if float(step.get(of, 0))}
        for step in steps
        if "role" in step
    ]


def _station_time(steps: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the station time of steps: one entry for each step at a station."""
    return [
        {"station": step["station"], "minutes_per_load": step.get("minutes", "0")}
        for step in steps
        if "station" in step
    ]


def _hands(name: str, kind: str, fixed: str, each: str) -> dict[str, Any]:
    return {"name": name, "kind": kind, "role": "pastry", "hands_fixed": fixed, "hands_each": each}


INGREDIENTS = [
    _bought("cream", "Heavy cream", [("1 quart", "5.90"), ("1/2 gallon", "10.40")], density="1.006", allergens=["milk"])
    | {"charge": "packs"},
    _bought("milk", "Whole milk", [("1 gallon", "4.20")], density="1.03", allergens=["milk"]),
    _bought("sugar", "Granulated sugar", [("25 lb", "21.75"), ("4 lb", "4.10")], density="0.845"),
    _bought("egg", "Large eggs", [("15 dozen", "52.00")], grams_each="57", allergens=["eggs"]) | {"yield": "0.877"},
    _bought("butter", "Butter, unsalted", [("36 lb", "131.00")], density="0.959", allergens=["milk"]),
    _bought("flour", "Pastry flour", [("50 lb", "24.00")], density="0.51", allergens=["wheat"]),
    _bought("walnut", "Walnut pieces", [("5 lb", "38.00")], density="0.42", allergens=["walnuts"]),
    _bought("quince", "Quinces", [("10 lb", "19.00")], grams_each="250") | {"yield": "0.7"},
    _bought("saffron", "Saffron", [("10 g", "62.00")]) | {"charge": "packs"},
    _bought("box", "Tart box", [("50 each", "44.00")], base="each"),
    _bought("glass", "Glass with lid", [("4 dozen", "33.60")], base="each"),
]

RECIPES = [
    {
        "code": "paste",
        "name": "Sweet paste",
        "loss": "0.05",
        "batch_limit": "10 lb",
        "lines": [
            {"ingredient": "flour", "amount": "9 cup"},
            {"ingredient": "butter", "amount": "1 1/2 lb"},
            {"ingredient": "sugar", "amount": "3 cup"},
            {"ingredient": "egg", "amount": "4 each"},
        ],
        "steps": [_hands("Rub in and bind", "mix", "14", "1.5")],
    },
    {
        "code": "custard",
        "name": "Baked custard",
        "loss": "0.03",
        "lines": [
            {"ingredient": "cream", "amount": "2 quart"},
            {"ingredient": "egg", "amount": "18 each"},
            {"ingredient": "sugar", "amount": "2 cup"},
        ],
        "steps": [_hands("Stir and strain", "cook", "20", "1.5")],
    },
    {
        "code": "rice-cream",
        "name": "Saffron rice cream",
        "lines": [
            {"ingredient": "milk", "amount": "1 gallon"},
            {"ingredient": "sugar", "amount": "2 cup"},
            {"ingredient": "saffron", "amount": "1 g"},
        ],
        "steps": [_hands("Stir and portion", "cook", "30", "2")],
    },
    {
        "code": "quince",
        "name": "Poached quince",
        "loss": "0.2",
        "lines": [{"ingredient": "quince", "amount": "5 lb"}, {"ingredient": "sugar", "amount": "1 lb"}],
        "steps": [_hands("Peel and poach", "cook", "25", "8")],
    },
    {
        "code": "walnut-sponge",
        "name": "Walnut sponge",
        "loss": "0.1",
        "lines": [
            {"ingredient": "walnut", "amount": "2 lb"},
            {"ingredient": "egg", "amount": "20 each"},
            {"ingredient": "sugar", "amount": "2 lb"},
        ],
        "steps": [_hands("Whisk and fold", "mix", "25", "1")],
    },
]


def _chilled(minutes: str, hold: str) -> dict[str, Any]:
    return {"name": "Set in the cold", "kind": "chill", "station": "cold-room", "minutes": minutes, "hold_max": hold}


def _baked(minutes: str) -> dict[str, Any]:
    return {"name": "Bake", "kind": "bake", "station": "oven", "minutes": minutes, "temperature_c": "160"}


PRODUCTS = [
    {
        "code": "custard-tart",
        "name": "Custard tart, 10 cm",
        "category": "portion",
        "servings": 1,
        "sale_multiple": 6,
        "load": 24,
        "tax": "food",
        "fill": [{"recipe": "paste", "amount": "60 g"}, {"recipe": "custard", "amount": "110 g"}],
        "steps": [_hands("Line and fill", "fill", "14", "1.5"), _baked("50"), _chilled("720", "2880")],
    },
    {
        "code": "rice-glass",
        "name": "Saffron rice cream with quince, glass",
        "category": "portion",
        "servings": 1,
        "sale_multiple": 12,
        "spare": "0.04",
        "load": 48,
        "tax": "food",
        "fill": [{"recipe": "rice-cream", "amount": "110 g"}, {"recipe": "quince", "amount": "40 g"}],
        "packaging": [{"ingredient": "glass", "amount": "1 each"}],
        "steps": [_hands("Fill", "fill", "8", "0.75"), _chilled("360", "2880")],
    },
    {
        "code": "quince-square",
        "name": "Quince square",
        "category": "portion",
        "servings": 1,
        "sale_multiple": 12,
        "load": 36,
        "tax": "food",
        "fill": [{"recipe": "paste", "amount": "35 g"}, {"recipe": "quince", "amount": "60 g"}],
        "steps": [_hands("Press and cut", "fill", "12", "0.5"), _baked("40")],
    },
    {
        "code": "walnut-cake",
        "name": "Walnut sponge cake, two tiers",
        "category": "whole",
        "servings": 40,
        "load": 1,
        "tax": "food",
        "fill": [{"recipe": "walnut-sponge", "amount": "6 lb"}, {"recipe": "custard", "amount": "2 lb"}],
        "packaging": [{"ingredient": "box", "amount": "2 each"}],
        "steps": [_baked("90"), _hands("Fill and stack", "finish", "20", "60"), _chilled("240", "2880")],
    },
]

PRICE_RULES = [
    {"code": "house", "margin": "0.58"},
    {"code": "portion", "category": "portion", "margin": "0.60", "minimum": "3.50"},
    {"code": "portion-96", "category": "portion", "from_units": 96, "margin": "0.54"},
    {"code": "planner", "customer_kind": "planner", "margin": "0.50"},
]


def _recipe(recipe: dict[str, Any]) -> dict[str, Any]:
    """Add the labor its steps imply, as the Book has it."""
    return {**recipe, "labour": _labor(recipe["steps"], "per_batch", "per_kg")}


def _product(product: dict[str, Any]) -> dict[str, Any]:
    steps = product["steps"]
    return {**product, "labour": _labor(steps, "per_load", "per_unit"), "station_time": _station_time(steps)}


def small_book(**kitchen: Any) -> dict[str, Any]:
    """Return the Book; ``kitchen`` overrides its rounding, floor, minimum and so on."""
    profile = {
        "name": "Larkspur Lane Desserts",
        "legal_name": "Larkspur Lane Desserts LLC",
        "address": "3 Larkspur Lane\nWest Orrin",
        "email": "kitchen@larkspurlane.example",
        "phone": "555 0117",
        "locale": "en_US",
        "time_zone": "America/New_York",
        "distance": "mi",
        "cancellation_terms": "Up to 21 days before the event we return the deposit.",
    }
    return {
        "format": "coldset-book/1",
        "currency": "USD",
        "kitchen": {
            "cup": "us",
            "waste": "0.03",
            "price_step": "0.25",
            "floor_margin": "0.45",
            "rush_rate": "0.15",
            "profile": profile,
            **kitchen,
        },
        "overhead": {"per_labour_hour": "8.40", "per_order": "12.00"},
        "roles": {
            "pastry": {"hourly": "25.00", "on_cost": "0.20"},
            "driver": {"hourly": "19.50", "on_cost": "0.12"},
        },
        "stations": {
            "oven": {"kind": "oven", "hourly": "4.80"},
            "cold-room": {"kind": "refrigerator", "hourly": "0.35"},
        },
        "taxes": {
            "food": [{"rate": "0.08", "from": "2024-01-01"}],
            "service": [{"rate": "0", "from": "2020-01-01"}],
        },
        "delivery": {"role": "driver", "per_km": "0.42", "margin": "0.25", "tax": "goods"},
        "ingredients": INGREDIENTS,
        "recipes": [_recipe(recipe) for recipe in RECIPES],
        "products": [_product(product) for product in PRODUCTS],
        "price_rules": PRICE_RULES,
        "hours": [{"weekday": day, "opens": "06:00", "closes": "18:00"} for day in BAKING_DAYS],
    }


def small_book_bytes(**kitchen: Any) -> bytes:
    """Return the Book as the import reads it."""
    return json.dumps(small_book(**kitchen)).encode()
