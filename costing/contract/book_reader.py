"""Read a Book from its JSON document. The document is checked first; every text is kept as written."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

from costing.contract.book import (
    ONE,
    ZERO,
    Book,
    Delivery,
    Fill,
    Ingredient,
    Kitchen,
    Overhead,
    Pack,
    Packaging,
    Part,
    PriceRule,
    Product,
    ProductLabor,
    Recipe,
    RecipeLabor,
    RecipeLine,
    Role,
    Station,
    StationTime,
    Tax,
    TaxRate,
)
from costing.contract.book_checks import book_errors
from costing.contract.documents import parsed
from costing.contract.errors import InputErrors
from costing.contract.steps import plain_product_steps, plain_recipe_steps
from costing.measures.measure import Measure, parse_measure
from costing.measures.numbers import number


def read_book(document: Any) -> Book:
    """Check a Book's JSON document and read it.

    Parameters
    ----------
    document : object, str or bytes
        As parsed, or as text.

    Returns
    -------
    Book
        With every text kept.

    Raises
    ------
    InputErrors
        Everything found wrong, at once.
    """
    document = parsed(document, "book")
    errors = book_errors(document)
    if errors:
        raise InputErrors(errors)
    return book_of(document)


def _number(item: dict[str, Any], key: str, default: Fraction = ZERO) -> Fraction:
    return number(item[key]) if key in item else default


def _maybe(item: dict[str, Any], key: str) -> Fraction | None:
    return number(item[key]) if key in item else None


def _measure(item: dict[str, Any], key: str) -> Measure | None:
    return parse_measure(item[key]) if key in item else None


def book_of(document: dict[str, Any]) -> Book:
    """Read the contract's keys of a checked document; plain steps are made from labor and station time.

    Parameters
    ----------
    document : dict
        A Book without errors.
    """
    overhead, delivery = document.get("overhead"), document.get("delivery")
    kinds = {code: station["kind"] for code, station in document["stations"].items()}
    return Book(
        currency=document["currency"],
        kitchen=_kitchen(document["kitchen"]),
        roles=tuple(
            Role(code, number(role["hourly"]), _number(role, "on_cost")) for code, role in document["roles"].items()
        ),
        stations=tuple(
            Station(code, station["kind"], number(station["hourly"])) for code, station in document["stations"].items()
        ),
        taxes=tuple(
            Tax(code, tuple(TaxRate(number(r["rate"]), date.fromisoformat(r["from"])) for r in rates))
            for code, rates in document["taxes"].items()
        ),
        overhead=None
        if overhead is None
        else Overhead(_number(overhead, "per_labour_hour"), _number(overhead, "per_order")),
        delivery=None
        if delivery is None
        else Delivery(delivery["role"], number(delivery["per_km"]), number(delivery["margin"]), delivery["tax"]),
        ingredients=tuple(_ingredient(item) for item in document.get("ingredients", ())),
        recipes=tuple(_recipe(item) for item in document.get("recipes", ())),
        products=tuple(_product(item, kinds) for item in document.get("products", ())),
        price_rules=tuple(_price_rule(item) for item in document.get("price_rules", ())),
    )


def _kitchen(item: dict[str, Any]) -> Kitchen:
    return Kitchen(
        price_step=number(item["price_step"]),
        cup=item.get("cup", "us"),
        waste=_number(item, "waste"),
        prices=item.get("prices", "net"),
        floor_margin=_number(item, "floor_margin"),
        order_minimum=_number(item, "order_minimum"),
        rush_rate=_number(item, "rush_rate"),
    )


def _ingredient(item: dict[str, Any]) -> Ingredient:
    return Ingredient(
        code=item["code"],
        name=item["name"],
        base=item.get("base", "g"),
        density=_maybe(item, "density"),
        grams_each=_maybe(item, "grams_each"),
        yield_=_number(item, "yield", ONE),
        charge=item.get("charge", "used"),
        parts=tuple(
            Part(
                part["code"],
                number(part["share"]),
                _maybe(part, "density"),
                _maybe(part, "grams_each"),
                part.get("joint"),
            )
            for part in item.get("parts", ())
        ),
        packs=tuple(_pack(pack) for pack in item.get("packs", ())),
        allergens=tuple(item.get("allergens", ())),
    )


def _pack(item: dict[str, Any]) -> Pack:
    return Pack(
        size=parse_measure(item["size"]),
        price=number(item["price"]),
        start=date.fromisoformat(item["from"]),
        end=date.fromisoformat(item["to"]) if "to" in item else None,
        supplier=item.get("supplier"),
        preferred=item.get("preferred", False),
    )


def _recipe(item: dict[str, Any]) -> Recipe:
    return Recipe(
        code=item["code"],
        name=item["name"],
        lines=tuple(
            RecipeLine(parse_measure(line["amount"]), line.get("ingredient"), line.get("part"), line.get("recipe"))
            for line in item.get("lines", ())
        ),
        loss=_number(item, "loss"),
        batch_limit=_measure(item, "batch_limit"),
        batch_min=_measure(item, "batch_min"),
        steps=plain_recipe_steps(_recipe_labor(item)),
    )


def _recipe_labor(item: dict[str, Any]) -> tuple[RecipeLabor, ...]:
    return tuple(
        RecipeLabor(labor["role"], _number(labor, "per_batch"), _number(labor, "per_kg"))
        for labor in item.get("labour", ())
    )


def _product_labor(item: dict[str, Any]) -> tuple[ProductLabor, ...]:
    return tuple(
        ProductLabor(labor["role"], _number(labor, "per_load"), _number(labor, "per_unit"))
        for labor in item.get("labour", ())
    )


def _station_time(item: dict[str, Any]) -> tuple[StationTime, ...]:
    return tuple(
        StationTime(time["station"], number(time["minutes_per_load"])) for time in item.get("station_time", ())
    )


def _product(item: dict[str, Any], kinds: dict[str, str]) -> Product:
    return Product(
        code=item["code"],
        name=item["name"],
        category=item["category"],
        servings=item["servings"],
        tax=item["tax"],
        sale_multiple=item.get("sale_multiple", 1),
        spare=_number(item, "spare"),
        load=item.get("load"),
        fill=tuple(Fill(fill["recipe"], parse_measure(fill["amount"])) for fill in item.get("fill", ())),
        packaging=tuple(
            Packaging(packaging["ingredient"], parse_measure(packaging["amount"]))
            for packaging in item.get("packaging", ())
        ),
        steps=plain_product_steps(_product_labor(item), _station_time(item), kinds),
        list_price=_maybe(item, "list_price"),
    )


def _price_rule(item: dict[str, Any]) -> PriceRule:
    return PriceRule(
        code=item["code"],
        margin=number(item["margin"]),
        product=item.get("product"),
        category=item.get("category"),
        customer_kind=item.get("customer_kind"),
        from_units=item.get("from_units", 0),
        minimum=_number(item, "minimum"),
    )
