"""Write a Book as its JSON document. Reading the document gives the same Book, texts included."""

from __future__ import annotations

from typing import Any

from costing.contract.book import ONE, ZERO, Book, Ingredient, PriceRule, Product, Recipe
from costing.contract.writing import stated
from costing.measures.numbers import number_text

FORMAT = "coldset-book/1"


def write_book(book: Book) -> dict[str, Any]:
    """Write a Book as its JSON document.

    Parameters
    ----------
    book : Book
        Any Book.

    Returns
    -------
    dict
        `read_book` gives the same Book; values equal to their default are left out.

    Raises
    ------
    ValueError
        When a number has no finite decimal form.
    """
    always = ...
    kitchen, overhead, delivery = book.kitchen, book.overhead, book.delivery
    written: dict[str, Any] = {
        "format": FORMAT,
        "currency": book.currency,
        "kitchen": stated(
            (
                ("cup", kitchen.cup, always),
                ("waste", kitchen.waste, ZERO),
                ("price_step", kitchen.price_step, always),
                ("prices", kitchen.prices, always),
                ("floor_margin", kitchen.floor_margin, ZERO),
                ("order_minimum", kitchen.order_minimum, ZERO),
                ("rush_rate", kitchen.rush_rate, ZERO),
            )
        ),
    }
    if overhead is not None and overhead.charges:
        written["overhead"] = stated(
            (("per_labour_hour", overhead.per_labor_hour, ZERO), ("per_order", overhead.per_order, ZERO))
        )
    written["roles"] = {
        role.code: stated((("hourly", role.hourly, always), ("on_cost", role.on_cost, ZERO))) for role in book.roles
    }
    written["stations"] = {
        station.code: {"kind": station.kind, "hourly": number_text(station.hourly)} for station in book.stations
    }
    written["taxes"] = {
        tax.code: [{"rate": number_text(r.rate), "from": r.start.isoformat()} for r in tax.rates] for tax in book.taxes
    }
    if delivery is not None:
        written["delivery"] = {
            "role": delivery.role,
            "per_km": number_text(delivery.per_km),
            "margin": number_text(delivery.margin),
            "tax": delivery.tax,
        }
    written["ingredients"] = [_ingredient_written(ingredient) for ingredient in book.ingredients]
    written["recipes"] = [_recipe_written(recipe) for recipe in book.recipes]
    written["products"] = [_product_written(product) for product in book.products]
    written["price_rules"] = [_price_rule_written(rule) for rule in book.price_rules]
    return written


def _ingredient_written(item: Ingredient) -> dict[str, Any]:
    parts = [
        stated(
            (
                ("code", part.code, ...),
                ("share", part.share, ...),
                ("joint", part.joint, None),
                ("density", part.density, None),
                ("grams_each", part.grams_each, None),
            )
        )
        for part in item.parts
    ]
    packs = [
        stated(
            (
                ("size", pack.size, ...),
                ("price", pack.price, ...),
                ("from", pack.start, ...),
                ("to", pack.end, None),
                ("supplier", pack.supplier, None),
                ("preferred", pack.preferred, False),
            )
        )
        for pack in item.packs
    ]
    return stated(
        (
            ("code", item.code, ...),
            ("name", item.name, ...),
            ("base", item.base, "g"),
            ("density", item.density, None),
            ("grams_each", item.grams_each, None),
            ("yield", item.yield_, ONE),
            ("charge", item.charge, "used"),
            ("parts", parts, []),
            ("packs", packs, []),
            ("allergens", item.allergens, ...),
        )
    )


def _recipe_written(item: Recipe) -> dict[str, Any]:
    lines = [
        stated(
            (
                ("ingredient", line.ingredient, None),
                ("part", line.part, None),
                ("recipe", line.recipe, None),
                ("amount", line.amount, ...),
            )
        )
        for line in item.lines
    ]
    labor = [
        stated((("role", work.role, ...), ("per_batch", work.per_batch, ZERO), ("per_kg", work.per_kg, ZERO)))
        for work in item.labor
    ]
    return stated(
        (
            ("code", item.code, ...),
            ("name", item.name, ...),
            ("lines", lines, ...),
            ("loss", item.loss, ZERO),
            ("batch_limit", item.batch_limit, None),
            ("batch_min", item.batch_min, None),
            ("labour", labor, []),
        )
    )


def _product_written(item: Product) -> dict[str, Any]:
    labor = [
        stated((("role", work.role, ...), ("per_load", work.per_load, ZERO), ("per_unit", work.per_unit, ZERO)))
        for work in item.labor
    ]
    times = [
        {"station": time.station, "minutes_per_load": number_text(time.minutes_per_load)} for time in item.station_time
    ]
    return stated(
        (
            ("code", item.code, ...),
            ("name", item.name, ...),
            ("category", item.category, ...),
            ("servings", item.servings, ...),
            ("sale_multiple", item.sale_multiple, 1),
            ("spare", item.spare, ZERO),
            ("load", item.load, None),
            ("fill", [{"recipe": fill.recipe, "amount": fill.amount.text} for fill in item.fill], []),
            (
                "packaging",
                [{"ingredient": pack.ingredient, "amount": pack.amount.text} for pack in item.packaging],
                [],
            ),
            ("labour", labor, []),
            ("station_time", times, []),
            ("list_price", item.list_price, None),
            ("tax", item.tax, ...),
        )
    )


def _price_rule_written(item: PriceRule) -> dict[str, Any]:
    return stated(
        (
            ("code", item.code, ...),
            ("product", item.product, None),
            ("category", item.category, None),
            ("customer_kind", item.customer_kind, None),
            ("from_units", item.from_units, 0),
            ("margin", item.margin, ...),
            ("minimum", item.minimum, ZERO),
        )
    )
