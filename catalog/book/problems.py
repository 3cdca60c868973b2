"""Where an error of the Book stands on the screens: in words, and as an address."""

from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple

from django.db import models
from django.urls import NoReverseMatch, reverse

from catalog.pantry.models import Ingredient
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory
from costing.contract import CostingError


class Problem(NamedTuple):
    """One thing that stops pricing: its code, a sentence, and the address where it is put right."""

    code: str
    message: str
    link: str


#: List of the Book -> what its entries are called, their rows, and the name of their page.
_LISTS: Final[Mapping[str, tuple[str, type[models.Model], str]]] = {
    "ingredients": ("Ingredient", Ingredient, "ingredient"),
    "recipes": ("Recipe", Recipe, "recipe"),
    "products": ("Product", Product, "product"),
    "price_rules": ("Price rule", PriceRule, "kitchen-rules-edit"),
    "roles": ("Role", Role, "kitchen-roles-edit"),
    "stations": ("Station", Station, "kitchen-stations-edit"),
    "taxes": ("Tax category", TaxCategory, "kitchen-taxes-edit"),
}
_PAGES: Final[Mapping[str, tuple[str, str]]] = {
    "kitchen": ("Kitchen", "kitchen-profile"),
    "currency": ("Kitchen", "kitchen-profile"),
    "overhead": ("Overhead", "kitchen-overhead"),
    "delivery": ("Delivery", "kitchen-delivery"),
}
_ROWS: Final[Mapping[str, str]] = {
    "lines": "line",
    "packs": "pack",
    "parts": "part",
    "fill": "fill",
    "packaging": "packaging, line",
    "labour": "labour, line",
    "station_time": "station time, line",
}


def problems_of(errors: Iterable[CostingError], document: Mapping[str, Any]) -> tuple[Problem, ...]:
    """Turn the Book's errors into sentences that name the screen's object, with its address; a query for each list."""
    errors = tuple(errors)
    keys = _primary_keys(errors)
    return tuple(_problem(error, document, keys) for error in errors)


def in_words(at: str, document: Mapping[str, Any]) -> str:
    """Name the place of an error: ``book#/recipes/0/lines/2/amount`` is “Recipe Lemon curd, line 3”."""
    steps = _steps(at)
    if not steps:
        return "The catalogue"
    if steps[0] in _PAGES:
        return _PAGES[steps[0]][0]
    if steps[0] not in _LISTS or len(steps) < 2:
        return steps[0].replace("_", " ").capitalize()
    entry = _entry(document, steps)
    words = f"{_LISTS[steps[0]][0]} {entry.get('name') or entry.get('code') or steps[1]}"
    row = _ROWS.get(steps[2]) if len(steps) > 3 else None
    return f"{words}, {row} {int(steps[3]) + 1}" if row and steps[3].isdigit() else words


def _problem(error: CostingError, document: Mapping[str, Any], keys: Mapping[tuple[str, str], int]) -> Problem:
    steps = _steps(error.at)
    link = ""
    if steps and steps[0] in _PAGES:
        link = _address(_PAGES[steps[0]][1])
    elif len(steps) > 1 and steps[0] in _LISTS:
        code = _entry(document, steps).get("code") or steps[1]
        pk = keys.get((steps[0], code))
        link = _address(_LISTS[steps[0]][2], pk) if pk else ""
    return Problem(error.code, f"{in_words(error.at, document)}: {error.message}", link)


def _primary_keys(errors: Iterable[CostingError]) -> dict[tuple[str, str], int]:
    lists = {steps[0] for steps in (_steps(error.at) for error in errors) if steps and steps[0] in _LISTS}
    return {
        (name, code): pk
        for name in sorted(lists)
        for code, pk in _LISTS[name][1]._default_manager.values_list("code", "pk")
    }


def _steps(at: str) -> list[str]:
    return [step.replace("~1", "/").replace("~0", "~") for step in at.partition("#")[2].split("/")[1:]]


def _entry(document: Mapping[str, Any], steps: list[str]) -> Mapping[str, Any]:
    entries = document.get(steps[0])
    if isinstance(entries, list) and steps[1].isdigit() and int(steps[1]) < len(entries):
        entry = entries[int(steps[1])]
        return entry if isinstance(entry, dict) else {}
    return {}


def _address(name: str, pk: int | None = None) -> str:
    try:
        return reverse(name, args=[] if pk is None else [pk])
    except NoReverseMatch:
        return ""
