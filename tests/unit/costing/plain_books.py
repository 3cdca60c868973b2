"""A Book of the plainest kind, whose costs and prices can be worked out in the head."""

from __future__ import annotations

from typing import Any

from costing import Estimate, estimate, read_book, read_brief

COST = "3.00"
"""What one piece of each product costs: one piece of its ingredient, and nothing else."""


def plain_book(*, kitchen: dict[str, Any] | None = None, cost: str = COST, **more: Any) -> dict[str, Any]:
    """Return a Book of two products, one taxed with 10 %, one with 20 %; the keys of `more` replace its own."""
    return {
        "format": "coldset-book/1",
        "currency": "USD",
        "kitchen": {"price_step": "0.01"} | (kitchen or {}),
        "roles": {"driver": {"hourly": "24.00"}},
        "stations": {},
        "taxes": {code: [{"rate": rate, "from": "2020-01-01"}] for code, rate in (("low", "0.1"), ("high", "0.2"))},
        "ingredients": [_bought(cost)],
        "recipes": [],
        "products": [_product("pear", "low"), _product("tart", "high")],
        "price_rules": [{"code": "house", "margin": "0.4"}],
        **more,
    }


def _bought(cost: str) -> dict[str, Any]:
    return {
        "code": "shell",
        "name": "Shell",
        "base": "each",
        "packs": [{"size": "1 each", "price": cost, "from": "2026-01-01"}],
    }


def _product(code: str, tax: str) -> dict[str, Any]:
    return {
        "code": code,
        "name": code.title(),
        "category": "portion",
        "servings": 1,
        "tax": tax,
        "fill": [],
        "packaging": [{"ingredient": "shell", "amount": "1 each"}],
    }


def priced(book: dict[str, Any], lines: dict[str, int], prices: dict[str, str] | None = None, **brief: Any) -> Estimate:
    """Price a table: units by product, prices given by product, and what else the Brief says."""
    asked = [
        {"product": code, "units": units} | ({"unit_price": prices[code]} if prices and code in prices else {})
        for code, units in lines.items()
    ]
    whole = {"format": "coldset-brief/1", "date": "2026-11-24", "lines": asked, **brief}
    return estimate(read_book(book), read_brief(whole))


def warned(found: Estimate) -> list[str]:
    """Return the codes of what the owner should look at."""
    return [warning.code for warning in found.warnings]
