"""What must hold for what cooling reads of a Book before it is taken over: the same bounds as in the forms."""

from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from catalog.recipes.models import WAITING
from catalog.records.bounds import AWAY_C, COMPOSITION_SUM, LEAVES_C, ROOM_C, STATION_C
from costing.chilling import MOST_AIR
from costing.contract.entries import entries
from costing.contract.problems import Problems
from costing.contract.ranges import Range, Ranges, check_numbers

Path = tuple[str | int, ...]


def _degrees(coldest: int, hottest: int) -> Range:
    return Range("schema", f"from {coldest} to {hottest} °C", coldest, hottest)


_AIR: Final = Fraction(str(MOST_AIR))
RECIPE: Final[Ranges] = {"air": Range("bad_share", f"between 0 and {MOST_AIR}", 0, _AIR)}
STATION: Final[Ranges] = {"air_c": _degrees(*STATION_C)}
STEP: Final[Ranges] = {"leaves_c": _degrees(*LEAVES_C)}
PROFILE: Final[Ranges] = {"room_c": _degrees(*ROOM_C), "away_c": _degrees(*AWAY_C)}
COMPOSITION: Final[Ranges] = dict.fromkeys(
    ("water", "protein", "fat", "carb", "fibre", "ash"),
    Range("schema", "a percentage from 0 to 100", 0, 100),
)


def check_cooling(found: Problems, document: dict[str, Any]) -> None:
    """Check what cooling reads of stations, recipes, products' steps, ingredients and the profile."""
    for code, station in document["stations"].items():
        check_numbers(found, station, ("stations", code), STATION)
    for path, recipe in entries(document.get("recipes"), ("recipes",)):
        check_numbers(found, recipe, path, RECIPE)
        for at, step in entries(recipe.get("steps"), (*path, "steps")):
            _check_recipe_step(found, at, step)
    for path, product in entries(document.get("products"), ("products",)):
        for at, step in entries(product.get("steps"), (*path, "steps")):
            _check_product_step(found, at, step)
    for path, item in entries(document.get("ingredients"), ("ingredients",)):
        _check_composition(found, path, item)
    check_numbers(found, document["kitchen"].get("profile", {}), ("kitchen", "profile"), PROFILE)


def _check_recipe_step(found: Problems, path: Path, step: dict[str, Any]) -> None:
    if "leaves_c" in step:
        found.add(
            "schema",
            (*path, "leaves_c"),
            "How warm a step leaves is said by a product, not by a recipe: its size decides how it cools. Write it at"
            " the product's step, or take it out.",
        )


def _check_product_step(found: Problems, path: Path, step: dict[str, Any]) -> None:
    check_numbers(found, step, path, STEP)
    if "leaves_c" in step and step["kind"] in WAITING:
        found.add(
            "schema",
            (*path, "leaves_c"),
            "This step waits and cools. Write how warm it leaves at the step before it, the one that ends warm.",
        )


def _check_composition(found: Problems, path: Path, item: dict[str, Any]) -> None:
    shares = item.get("composition")
    if shares is None:
        return
    at = (*path, "composition")
    before = len(found.found)
    check_numbers(found, shares, at, COMPOSITION)
    least, most = COMPOSITION_SUM
    whole = sum((Decimal(share) for share in shares.values()), Decimal(0))
    if len(found.found) == before and not least <= whole <= most:
        found.add(
            "schema",
            at,
            f"The composition of “{item['name']}” adds up to {whole:f} %, and should make about 100 %. Correct it: what"
            " a label does not name is mostly water.",
        )
