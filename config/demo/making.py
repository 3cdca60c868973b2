"""Notation for the invented kitchen's recipes and formats: what differs is a pair, for the US and the EU profile."""

from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from catalog.web.measure_fields import celsius_of
from catalog.web.numbers import trimmed

#: What the two profiles may differ in: the same for both, or (US, EU).
Text = str | tuple[str, str]


def its(value: Any, at: int) -> Any:
    """Return what a profile has of a value that may be a pair."""
    return value[at] if isinstance(value, tuple) else value


def size(inches: str, cm: str) -> tuple[str, str]:
    """Return a length in centimeters: of a US kitchen from whole inches and a fraction, and of an EU kitchen."""
    return trimmed(sum(map(Fraction, inches.split()), Fraction(0)) * Fraction("2.54")), cm


def warm(fahrenheit: str, celsius: str) -> tuple[str, str]:
    """Return a temperature in °C, as a US kitchen reads it from its probe and as an EU kitchen does."""
    return trimmed(celsius_of(Decimal(fahrenheit), "F")), celsius


def weight(pounds: str, kilograms: str) -> tuple[str, str]:
    """Return kilograms: of a US kitchen from its pounds, and of an EU kitchen."""
    return trimmed((Decimal(pounds) * Decimal("0.45359237")).quantize(Decimal("0.000001"))), kilograms


class Line(NamedTuple):
    """An amount of an ingredient ("egg:yolk" for a part) or of a recipe ("@custard")."""

    what: str
    us: str
    eu: str


class Make(NamedTuple):
    """A recipe."""

    code: str
    name: Text
    loss: str
    limit: tuple[str, str]
    lines: tuple[Line, ...]
    steps: tuple[dict[str, Any], ...]
    note: str = ""
    air: str = "0"
    loss_of: str = "water"
    shelf_stable: bool = False
    shelf_stable_source: str | tuple[str, str] = ""
    never_hot: bool = False
    never_hot_reason: Text = ""
    kg_per_place: tuple[str, str] | None = None


def hands(name: Text, kind: str, fixed: str, each: str, **more: Any) -> dict[str, Any]:
    """Return a step of the pastry cook."""
    return {"name": name, "kind": kind, "role": "pastry", "hands_fixed": fixed, "hands_each": each, **more}


def hot(leaves_c: Text, vessel: Text, depth_cm: Text) -> dict[str, Any]:
    """Return what a hot step says of how its batch cools: how warm it leaves, in what it stands, how deep at most."""
    return {"leaves_c": leaves_c, "vessel": vessel, "depth_cm": depth_cm}


def wait(name: str, kind: str, minutes: str, **more: Any) -> dict[str, Any]:
    """Return a step without hands: resting, cooling, chilling."""
    return {"name": name, "kind": kind, "minutes": minutes, **more}


class Sell(NamedTuple):
    """A product: a format of components."""

    code: str
    name: Text
    description: str
    category: str
    servings: int
    multiple: int
    load: int
    fills: tuple[Line, ...]
    packaging: str
    steps: tuple[dict[str, Any], ...]
    more: dict[str, Any] = {}


def bake(minutes: str, temperature_c: Text, **more: Any) -> dict[str, Any]:
    """Return a step of baking at a temperature of the oven [°C]."""
    return {
        "name": "Bake",
        "kind": "bake",
        "role": "pastry",
        "hands_fixed": "6",
        "station": "oven",
        "minutes": minutes,
        "temperature_c": temperature_c,
        **more,
    }


def chill(minutes: str, name: str = "Chill", *, hold_max: str) -> dict[str, Any]:
    """Return a step in the cold room, and how much longer it may stay there."""
    return {"name": name, "kind": "chill", "station": "cold-room", "minutes": minutes, "hold_max": hold_max}


def blast(minutes: str) -> dict[str, Any]:
    """Return a step in the blast chiller, which holds what is in it until the morning."""
    step = {"name": "Blast chill", "kind": "chill", "station": "blast-chiller"}
    return {**step, "minutes": minutes, "hold_max": "720"}


def cool(minutes: str, name: str = "Cool on the rack, then straight to the cold") -> dict[str, Any]:
    """Return a step of cooling on the rack."""
    return {
        "name": name,
        "kind": "rest",
        "station": "rack",
        "minutes": minutes,
        "hold_max": "0",
    }
