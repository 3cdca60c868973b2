"""Form data of the editors of recipes and products."""

from typing import Any

Row = dict[str, str]
WILD = (
    "",
    "\x00",
    "9" * 400,
    "-1",
    "1e9",
    "x" * 100_000,
    "<script>alert(1)</script>",
    "٣ كوب",
    "1/0 g",
    "½½ cup",
    "NaN",
    "1 234,5 g",
    "\ud800".encode("utf-8", "replace").decode(),
    "' OR 1=1 --",
    "99999999999999999999999999999",
)


def rows(prefix: str, filled: list[Row]) -> dict[str, str]:
    """Write rows with their count."""
    data = {f"{prefix}-TOTAL_FORMS": str(len(filled)), f"{prefix}-INITIAL_FORMS": "0"}
    for number, row in enumerate(filled):
        data |= {f"{prefix}-{number}-{name}": value for name, value in row.items()}
    return data


def recipe_form_data(lines: list[tuple[str, str]], *, do: str = "save", **more: Any) -> dict[str, Any]:
    """Write a recipe's form: (amount, what) of each line."""
    steps = more.pop("steps", [])
    filled = [{"amount": amount, "what": what} for amount, what in lines]
    head = {"name": "Nib brittle", "loss_of": "water", "active": "on", "do": do}
    return head | rows("lines", filled) | rows("steps", steps) | more


def product_form_data(fills: list[Row], *, do: str = "save", **more: Any) -> dict[str, Any]:
    """Write a product's form."""
    packaging, steps = more.pop("packaging", []), more.pop("steps", [])
    head = {
        "name": "Walnut round",
        "category": "whole",
        "servings": "8",
        "sale_multiple": "1",
        "stands_on": "open",
        "carried": "carton",
        "active": "on",
        "do": do,
    }
    return head | rows("fills", fills) | rows("packaging", packaging) | rows("steps", steps) | more
