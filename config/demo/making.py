"""Notation for the invented kitchen's recipes and formats. Amounts are (US customary, metric)."""

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
    air: str = "0"
    loss_of: str = "water"
    shelf_stable: bool = False
    shelf_stable_source: str = ""


def hands(name: str, kind: str, fixed: str, each: str, **more: Any) -> dict[str, Any]:
    """Return a step of the pastry cook."""
    return {"name": name, "kind": kind, "role": "pastry", "hands_fixed": fixed, "hands_each": each, **more}


def hot(celsius: str, vessel: str, depth_cm: str) -> dict[str, Any]:
    """Return what a hot step says of how its batch cools: how warm it leaves, in what it stands, how deep at most."""
    return {"leaves_c": celsius, "vessel": vessel, "depth_cm": depth_cm}


def wait(name: str, kind: str, minutes: str, **more: Any) -> dict[str, Any]:
    """Return a step without hands: resting, cooling, chilling."""
    return {"name": name, "kind": kind, "minutes": minutes, **more}


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
    """Return a step of baking."""
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
    """Return a step in the cold room."""
    return {"name": name, "kind": "chill", "station": "cold-room", "minutes": minutes, **more}


def blast(minutes: str) -> dict[str, Any]:
    """Return a step in the blast chiller."""
    return {"name": "Blast chill", "kind": "chill", "station": "blast-chiller", "minutes": minutes}


def cool(minutes: str) -> dict[str, Any]:
    """Return a step of cooling on the rack before the cold room."""
    return {
        "name": "Cool on the rack, then straight to the cold",
        "kind": "rest",
        "station": "rack",
        "minutes": minutes,
        "hold_max": "0",
    }
