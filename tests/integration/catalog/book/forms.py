"""Books for tests: the contract's examples, a whole kitchen with every optional key, and what equal means."""

import json
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from catalog.book.selectors import book_from_rows
from costing.contract import write_book

EXAMPLES = Path(__file__).parents[3] / "contract" / "examples"
BOOKS = ("small", "small-gross", "generated-11", "generated-12")

#: Defaults of the contract: written out or left out, they mean the same.
DEFAULTS: dict[str, Any] = {
    "cup": "us",
    "waste": "0",
    "prices": "net",
    "floor_margin": "0",
    "order_minimum": "0",
    "rush_rate": "0",
    "per_labour_hour": "0",
    "per_order": "0",
    "on_cost": "0",
    "base": "g",
    "yield": "1",
    "charge": "used",
    "preferred": False,
    "loss": "0",
    "per_batch": "0",
    "per_kg": "0",
    "sale_multiple": 1,
    "spare": "0",
    "per_load": "0",
    "per_unit": "0",
    "from_units": 0,
    "minimum": "0",
}
#: Texts that are compared character by character although they may look like numbers.
TEXTS = {
    "code",
    "name",
    "size",
    "amount",
    "from",
    "to",
    "supplier",
    "role",
    "recipe",
    "ingredient",
    "part",
    "joint",
}


def example(name: str) -> dict[str, Any]:
    """Return one of the contract's example Books."""
    document: dict[str, Any] = json.loads((EXAMPLES / f"{name}.book.json").read_text())
    return document


def book_json() -> dict[str, Any]:
    """Return the contract's keys of the catalog as it is now."""
    return write_book(book_from_rows())


def normal(value: Any, key: str = "") -> Any:
    """Bring a Book into a form in which equal means equal: numbers as numbers, defaults and empty lists left out."""
    if isinstance(value, dict):
        items = {name: normal(item, name) for name, item in value.items() if item != []}
        return {name: item for name, item in items.items() if item != normal(DEFAULTS.get(name, ...), name)}
    if isinstance(value, list):
        return [normal(item) for item in value]
    if isinstance(value, str) and key not in TEXTS:
        try:
            return Decimal(value)
        except InvalidOperation:
            return value
    return value


def whole_kitchen() -> dict[str, Any]:
    """Return a Book that carries every optional key."""
    book = example("small")
    book["kitchen"]["profile"] = {
        "name": "Tansy Row Desserts",
        "email": "kitchen@tansyrow.example",
        "address": "14 Tansy Row\nPort Merrin",
        "time_zone": "Europe/Berlin",
        "measures": "metric",
        "deposit_share": "0.25",
        "cancellation_terms": "Up to 21 days before: the deposit back.",
        "cancellation_table": [{"days": 20, "share": "0.25"}, {"days": 0, "share": "1"}],
        "cancellation_tax": "prepared-food",
        "deposit": "500.00",
        "payments_before": [{"days": 60, "share": "0.40"}, {"days": 30, "amount": "150.50"}, {"days": 14}],
        "payments_after": [{"days": 0, "share": "0.40"}, {"days": 5, "amount": "150.50"}],
        "final_count_fall": "0.10",
        "bank_holder": "Tansy Row Desserts LLC",
        # As the registry of ISO 13616 prints one; the routing number by its check digit (both from memory).
        "bank_iban": "DE89370400440532013000",
        "bank_bic": "MERRDEFF",
        "bank_routing": "111000025",
        "bank_account": "000123456789",
        "payment_page": "https://pay.example/me?sum={amount}&for={reference}",
        "quote_valid_days": 10,
        "most_events_per_day": 3,
        "most_guests_per_day": 400,
        "food_safety": "eu",
        "room_c": "22.5",
        "away_c": "28",
        "vehicle_cold": True,
        "time_out_minutes": 120,
        "time_out_source": "Our food safety plan, March 2026",
        "checks_note": "Whoever packs takes the temperature.",
        "longest_wait_min": 45,
    }
    book["overhead"] = {
        "per_labour_hour": "8.2813",
        "per_order": "12.00",
        "monthly_labour_hours": "320",
        "monthly_orders": "24",
        "derived": ["per_labour_hour"],
    }
    book["roles"]["pastry"]["name"] = "Pastry cook"
    book["stations"]["oven"] |= {
        "name": "Deck oven",
        "hourly": "4.6000",
        "monthly_hours": "150",
        "places": 8,
        "derived": True,
        "count": 3,
        "tolerance_c": "12.5",
        "out": [
            {"from": "2027-02-01T08:00", "until": "2027-02-03T18:30", "count": 2, "reason": "service"},
            {"from": "2027-03-01T00:00", "until": "2027-03-01T12:00"},
        ],
    }
    book["stations"]["cold-room"] |= {"places": 60, "air_c": "3", "air": "fan"}
    book["monthly_costs"] = [
        {"name": "Rent", "amount": "2450.00", "carrier": "labour"},
        {"name": "Laundry", "amount": "200", "carrier": "labour"},
        {"name": "Power of the oven", "amount": "690", "carrier": "station", "station": "oven"},
    ]
    book["tax_categories"] = {"service": {"name": "Service", "untdid": "E", "exempt_reason": "hand-over service"}}
    book["hours"] = [
        {"weekday": 1, "opens": "06:30", "closes": "12:00", "hands": 3},
        {"weekday": 1, "opens": "13:00", "closes": "17:30"},
    ]
    book["hand_over_hours"] = [{"weekday": 1, "opens": "09:00", "closes": "17:00"}]
    book["days"] = [
        {"date": "2026-12-24", "opens": "05:00", "closes": "12:00", "hands": 2, "reason": "Short day"},
        {"date": "2026-12-27", "opens": "08:00", "closes": "10:00"},
    ]
    book["closed"] = [{"date": "2027-01-01", "reason": "New Year"}, {"date": "2027-05-01"}]
    book["moulds"] = [
        {"name": "Ring, 24 cm", "shape": "round", "diameter_cm": "24", "height_cm": "4.5", "owned": 4, "wall": "card"},
        {"name": "Tray", "shape": "tray", "length_cm": "60", "width_cm": "40", "owned": 2},
    ]
    book["vessels"] = [
        {"name": "Stock pot", "kind": "pot", "diameter_cm": "32", "height_cm": "30", "owned": 1},
        {
            "name": "Tub, 6 qt",
            "kind": "tub",
            "length_cm": "25",
            "width_cm": "16.5",
            "height_cm": "18",
            "owned": 4,
            "wall": "plastic",
        },
    ]
    book["vehicles"] = [{"name": "Van", "cold": True}, {"name": "Trailer", "cold": True}]
    book["suppliers"] = [{"name": "Merrin Dairy", "note": "Orders by Tuesday noon"}, {"name": "Sells nothing yet"}]
    book["ingredients"][0]["packs"][0]["supplier"] = "Merrin Dairy"
    book["ingredients"][0] |= {"source": "USDA SR 28", "ndb": "01053", "note": "35 % fat"}
    book["ingredients"][7]["active"] = False
    book["ingredients"][1]["composition"] = {
        "water": "88.10",
        "protein": "3.3",
        "fat": "3.6",
        "carb": "4.7",
        "fibre": "0",
        "ash": "0.7",
    }
    egg = next(item for item in book["ingredients"] if item.get("parts"))
    egg["parts"][0]["ndb"] = "01125"
    book["recipes"][0] |= {"note": "Loosen with a spoon of cream.", "active": False, "steps": _recipe_steps()}
    book["recipes"][1] |= {
        "air": "0.45",
        "loss_of": "all",
        "shelf_stable": True,
        "shelf_stable_source": "Alder laboratory, report 7",
        "kg_per_place": "4.5",
    }
    tart = book["products"][1]
    tart |= {
        "description": "A tart for twelve.",
        "holding": "Keep cold, serve at 15 °C.",
        "mould": "Ring, 24 cm",
        "keeps_hours": "48",
        "fill_height_cm": "3.5",
        "stands_on": "board",
        "covered": True,
        "carried": "insulated",
        "cooling_rule": "cooked",
        "load_places": {"oven": 2, "refrigerator": 4},
        "mold_leaves": True,
        "mold_back_days": 3,
        "usual_pieces": "0.5",
        "active": False,
        "steps": _tart_steps(),
    }
    tart["labour"] = [
        {"role": "pastry", "per_load": "12"},
        {"role": "pastry", "per_unit": "7"},
    ]
    tart["station_time"] = [
        {"station": "oven", "minutes_per_load": "85"},
        {"station": "cold-room", "minutes_per_load": "960"},
    ]
    book["price_rules"][0]["name"] = "Whatever else"
    return book


def _recipe_steps() -> list[dict[str, Any]]:
    return [
        {"name": "Boil", "kind": "cook", "role": "pastry", "hands_fixed": "22", "hands_each": "1.5", "minutes": "30"}
        | {
            "leaves_c": "84.5",
            "vessel": "Tub, 6 qt",
            "vessels": 2,
            "depth_cm": "5",
            "covered": True,
            "ice_bath": True,
            "stir_min": "10",
            "bath_to_c": "21",
        },
        {"kind": "chill", "station": "cold-room", "minutes": "360", "temperature_c": "3", "wait_min": "360"}
        | {"attended": "throughout"},
    ]


def _tart_steps() -> list[dict[str, Any]]:
    return [
        {"kind": "fill", "role": "pastry", "hands_fixed": "12", "text": "Fill while warm."}
        | {"takes": ["buckwheat-paste", "honey-custard"], "takes_c": "4.5", "takes_as": "layer"},
        {
            "name": "Bake",
            "kind": "bake",
            "station": "oven",
            "minutes": "85",
            "temperature_c": "160",
            "leaves_c": "78.5",
            "attended": "ends",
        },
        {"kind": "chill", "station": "cold-room", "minutes": "960", "wait_min": "960", "hold_max": "2880"},
        {"kind": "pack", "role": "pastry", "hands_each": "7"},
    ]
