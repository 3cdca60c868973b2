"""The invented kitchen itself: people, rooms, rates and terms, in a US and an EU profile."""

from typing import Any

from config.demo.making import size

#: how the two profiles differ in the first of the pairs below
US, EU = 0, 1

PROFILE: dict[str, tuple[Any, Any]] = {
    "name": ("Tansy Row Desserts", "Tansy Row Desserts"),
    "legal_name": ("Tansy Row Desserts LLC", "Tansy Row Desserts GmbH"),
    "address": ("14 Tansy Row\nPort Merrin", "Tansygasse 14\n00000 Merrinhafen"),
    "country": ("US", "DE"),
    "email": ("kitchen@tansyrow.example", "kueche@tansyrow.example"),
    "phone": ("555 0142", "+49 30 0000 0142"),
    "locale": ("en_US", "de_DE"),
    "time_zone": ("America/New_York", "Europe/Berlin"),
    "measures": ("us", "metric"),
    "degrees": ("F", "C"),
    "distance": ("mi", "km"),
    "paper": ("Letter", "A4"),
    "allergen_list": ("us", "eu"),
    "food_safety": ("us", "eu"),
    "room_c": ("23", "23"),
    "away_c": ("25", "25"),
    "time_out_minutes": ("", 180),
    "time_out_source": ("", "Our food safety plan of March 2026"),
    "longest_wait_min": (60, 60),
    "most_events_per_day": (8, 8),
    "most_guests_per_day": (600, 600),
    "checks_note": (
        "Whoever packs takes the temperature of one piece a tray with the probe, and writes the time on its label.",
    )
    * 2,
    "tax_name": ("Sales tax", "VAT"),
    "tax_number": ("", "DE000000000"),
    "tax_note": ("", "Tax number 00/000/00000"),
    "cancellation_terms": (
        "Please call or write as soon as you know. In the last week we have bought and begun, so "
        "the whole price is charged.",
    )
    * 2,
    "cancellation_table": ([{"days": 20, "share": "0.3"}, {"days": 7, "share": "1"}],) * 2,
    "approve_button": ("Approve and commit to pay", "Order with obligation to pay"),
    "payment_details": (
        "Checks to Tansy Row Desserts LLC, or by transfer: account 0000 0142 at the Merrin Savings Bank.",
        "By transfer to Tansy Row Desserts GmbH, IBAN DE00 0000 0000 0000 0001 42.",
    ),
}

CURRENCY = ("USD", "EUR")

KITCHEN: dict[str, tuple[str, str]] = {
    "cup": ("us", "metric"),
    "waste": ("0.03", "0.03"),
    "price_step": ("0.25", "0.10"),
    "prices": ("net", "gross"),
    "floor_margin": ("0.40", "0.40"),
    "order_minimum": ("250", "240"),
    "rush_rate": ("0.15", "0.15"),
}

#: weekday (0 is Monday), opens, closes, people
HOURS = (
    (1, "06:30", "17:30", 2),
    (2, "06:30", "17:30", 2),
    (3, "06:30", "18:30", 2),
    (4, "06:00", "19:00", 2),
    (5, "06:00", "17:00", 3),
    (6, "07:00", "12:00", 1),
)

#: weekday (0 is Monday), from, to: when orders are picked up, or leave
HAND_OVER_HOURS = (
    (1, "08:00", "17:30"),
    (2, "08:00", "17:30"),
    (3, "08:00", "18:30"),
    (4, "07:00", "19:00"),
    (5, "07:00", "19:00"),
    (6, "08:00", "12:00"),
)

#: code, name, hourly, on-cost
ROLES = (
    ("pastry", "Pastry cook", ("24.00", "19.50"), "0.18"),
    ("help", "Kitchen help", ("17.50", "14.50"), "0.18"),
    ("driver", "Driver and setup", ("19.00", "15.50"), "0.15"),
)

#: code, name, kind, monthly hours, how many alike, places of one, air temperature °C, how its air moves
STATIONS = (
    ("oven", "Deck oven", "oven", "150", 2, 4, None, "still"),
    ("cold-room", "Cold room", "refrigerator", "3000", 1, 60, "3", "still"),
    ("blast-chiller", "Blast chiller", "refrigerator", "240", 1, 10, "1", "blast"),
    ("freezer", "Freezer", "freezer", "1400", 1, 20, "-18", "still"),
    ("rack", "Cooling rack", "rack", "600", 2, 12, None, "still"),
    ("bench", "Bench", "bench", "320", 1, 4, None, "still"),
)
#: How far the temperatures of loads in one oven lie apart at most [°C]: 25 °F, or 15 °C.
TOLERANCE_C = {"oven": ("13.888889", "15")}
#: The station of which one is serviced for two days.
SERVICED = "oven"
VEHICLES = (("White van", False), ("Refrigerated van", True))

#: name, monthly amount, carrier, station
MONTHLY_COSTS = (
    ("Rent and property tax", ("2450.00", "2100.00"), "labour", ""),
    (("Insurance, licenses, bookkeeping", "Insurance, licences, bookkeeping"), ("640.00", "590.00"), "labour", ""),
    ("Cleaning and laundry", ("310.00", "280.00"), "labour", ""),
    ("Tastings, telephone, stationery", ("380.00", "350.00"), "order", ""),
    ("Oven: power, service, wear", ("690.00", "720.00"), "station", "oven"),
    ("Cold room: power, service, wear", ("540.00", "560.00"), "station", "cold-room"),
    ("Blast chiller: power, service, wear", ("150.00", "160.00"), "station", "blast-chiller"),
)
MONTHLY_LABOR_HOURS, MONTHLY_ORDERS = "310", "24"

#: code, name, UNTDID 5305, rates from dates
TAXES = (
    (
        ("prepared-food", "Prepared food", (("0.0700", "2024-01-01"), ("0.0725", "2026-07-01"))),
        ("service", "Rentals and service", (("0.0000", "2024-01-01"),)),
    ),
    (
        ("prepared-food", "Food, reduced rate", (("0.07", "2024-01-01"),)),
        ("service", "Hire and service, standard rate", (("0.19", "2024-01-01"),)),
    ),
)

DELIVERY = {"role": "driver", "per_km": ("0.45", "0.42"), "margin": "0.25", "tax": "goods"}

#: code, name, margin, what it is for
RULES: tuple[tuple[str, str, str, dict[str, Any]], ...] = (
    ("house", "Everything", "0.60", {}),
    ("portions", "Portions", "0.62", {"category": "portion", "minimum": ("3.25", "3.00")}),
    (
        "portions-60",
        "Portions, from 60",
        "0.57",
        {"category": "portion", "from_units": 60, "minimum": ("3.00", "2.80")},
    ),
    ("portions-150", "Portions, from 150", "0.54", {"category": "portion", "from_units": 150}),
    ("cakes", "Whole cakes", "0.61", {"category": "whole cake", "minimum": ("48.00", "44.00")}),
    ("planners", "Event planners", "0.52", {"customer_kind": "planner"}),
)

#: name, shape, diameter, length, width, height inside, owned, what it is made of
MOLDS = (
    (("Ring, 6 in", "Ring, 15 cm"), "round", size("6", "15"), None, None, size("4", "10"), 6, "metal"),
    (("Ring, 8 in", "Ring, 20 cm"), "round", size("8", "20"), None, None, size("4 1/2", "11.5"), 6, "metal"),
    (("Ring, 10 in", "Ring, 25 cm"), "round", size("10", "25"), None, None, size("4 1/2", "11.5"), 4, "metal"),
    (("Tart ring, 9 in", "Tart ring, 23 cm"), "round", size("9", "23"), None, None, size("1 3/8", "3.5"), 8, "metal"),
    (
        ("Tartlet pan, 2 3/4 in", "Tartlet tin, 7 cm"),
        "round",
        size("2 3/4", "7"),
        None,
        None,
        size("1", "2.5"),
        96,
        "metal",
    ),
    (
        ("Half sheet cake pan, 18 x 13 x 2 in", "Cake tray, 45 x 32 cm, 5 cm deep"),
        "tray",
        None,
        size("17 1/4", "45"),
        size("12 1/4", "32"),
        size("2", "5"),
        8,
        "metal",
    ),
    (("Glass, 2 3/8 in", "Glass, 6 cm"), "round", size("2 3/8", "6"), None, None, size("3 1/8", "8"), 288, "glass"),
    (
        ("Baking cup, 2 3/4 in", "Baking cup, 7 cm"),
        "round",
        size("2 3/4", "7"),
        None,
        None,
        size("2", "5"),
        # They leave with the desserts: enough for a weekend of events.
        480,
        "card",
    ),
)

#: In what hot components cool.
PAN = ("Hotel pan, full, 2 1/2 in", "Gastronorm pan 1/1, 6,5 cm")
TRAY = ("Half sheet pan, 18 x 13 in", "Baking tray, 45 x 32 cm")
#: name, kind, diameter, length, width, height inside, owned, what it is made of
VESSELS = (
    (PAN, "hotel pan", None, size("19 3/4", "50"), size("11 3/4", "30"), size("2 1/2", "6.5"), 8, "metal"),
    (
        ("Hotel pan, half, 4 in", "Gastronorm pan 1/2, 10 cm"),
        "hotel pan",
        None,
        size("11 3/4", "30"),
        size("9 1/2", "24"),
        size("4", "10"),
        6,
        "metal",
    ),
    (
        ("Tub, 2 1/2 qt", "Tub, 2,4 l"),
        "tub",
        None,
        size("9 3/4", "25"),
        size("6 1/4", "16"),
        size("2 3/8", "6"),
        6,
        "plastic",
    ),
    (TRAY, "sheet tray", None, size("17 1/4", "45"), size("12 1/4", "32"), size("1", "2.5"), 12, "metal"),
    (("Stock pot, 12 qt", "Stock pot, 11 l"), "pot", size("10 1/4", "26"), None, None, size("8 1/2", "22"), 3, "metal"),
    (("Bowl, 5 qt", "Bowl, 5 l"), "bowl", size("9 3/4", "24"), None, None, size("4", "11"), 6, "metal"),
)

#: log-in name, role, full name
PEOPLE = (("odile", "owner", "Odile Marsh"), ("tomas", "kitchen", "Tomas Reyl"), ("nadia", "bookkeeper", "Nadia Fenn"))
