"""Tables and the Book agree: defaults, choices, names of columns."""

from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import models

from catalog.book.sections import all_sections
from catalog.book.values import decimal, exact, measure
from catalog.kitchen.models import UNNAMED, Kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product, ProductStep
from catalog.products.plan_forms import PlanFields
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep, Step
from catalog.vessels.models import Vessel
from costing.contract import Profile
from costing.contract import book as values
from costing.contract.schema import validator
from costing.contract.steps import KINDS, WAITING


def test_a_kitchen_nobody_has_described_has_the_defaults_of_the_book() -> None:
    row, blank = Kitchen(name=UNNAMED, email=""), Profile()
    for field in fields(Profile):
        column = getattr(row, {"deposit": "deposit_minor"}.get(field.name, field.name))
        # A list of the table is a tuple of the Book, and a row that another names is its code.
        column = "" if column is None and field.name == "cancellation_tax" else column
        column = tuple(column) if isinstance(column, list) else column
        assert (exact(column) if isinstance(column, Decimal) else column) == getattr(blank, field.name), field.name


@pytest.mark.parametrize(
    ("row", "record", "columns"),
    [
        (
            Product(),
            values.Product("c", "n", "g", 1, "t"),
            (
                "stands_on",
                "covered",
                "carried",
                "cooling_rule",
                "active",
                "mold_leaves",
                "mold_back_days",
                "usual_pieces",
            ),
        ),
        (
            Station(),
            values.Station("c", "oven", Fraction(1)),
            ("name", "places", "air", "air_c", "monthly_hours", "count", "tolerance_c"),
        ),
        (Mold(name="m"), values.Mold("m"), ("shape", "owned", "wall", "height_cm")),
        (Vessel(name="v"), values.Vessel("v"), ("kind", "owned", "wall", "height_cm")),
        (RecipeStep(), values.Step("work"), ("vessels", "depth_cm", "ice_bath", "stir_min", "leaves_c", "attended")),
        (ProductStep(), values.Step("work"), ("takes_c", "takes_as", "leaves_c")),
        (Recipe(), values.Recipe("c", "n", ()), ("loss", "loss_of", "air", "note", "active", "kg_per_place")),
    ],
    ids=["product", "station", "mold", "vessel", "recipe step", "product step", "recipe"],
)
def test_what_a_book_leaves_out_is_what_a_new_row_has(row: Any, record: Any, columns: tuple[str, ...]) -> None:
    for column in columns:
        assert getattr(row, column) == getattr(record, column), column


def test_kinds_of_step_are_those_of_the_book() -> None:
    assert dict(Step.Kind.choices) == dict(KINDS)
    assert {Step.Kind.REST, Step.Kind.CHILL, Step.Kind.FREEZE} == WAITING


@pytest.mark.parametrize(
    ("definition", "key", "choices"),
    [
        ("station", "kind", Station.Kind),
        ("station", "air", Station.Air),
        ("mould", "shape", Mold.Shape),
        ("mould", "wall", Mold.Wall),
        ("vessel", "kind", Vessel.Kind),
        ("vessel", "wall", Mold.Wall),
        ("product", "stands_on", Product.StandsOn),
        ("product", "carried", Product.Carried),
        ("recipe", "loss_of", Recipe.LossOf),
        ("step", "kind", Step.Kind),
        ("step", "takes_as", ProductStep.TakesAs),
        ("profile", "food_safety", Kitchen.FoodSafety),
    ],
)
def test_choices_of_a_column_are_those_of_the_schema(
    definition: str, key: str, choices: type[models.TextChoices]
) -> None:
    schema = dict(validator("book").schema)["$defs"][definition]["properties"][key]
    assert set(schema["enum"]) == set(choices.values)


def test_who_may_be_needed_at_a_step_is_that_of_the_schema_or_not_stated() -> None:
    schema = dict(validator("book").schema)["$defs"]["step"]["properties"]["attended"]
    assert {"", *schema["enum"]} == set(Step.Attended.values)


def test_places_can_be_entered_for_each_kind_of_station() -> None:
    schema = dict(validator("book").schema)["$defs"]["product"]["properties"]["load_places"]
    fields = {name.removeprefix("places_") for name in PlanFields.base_fields if name.startswith("places_")}
    assert set(schema["properties"]) == set(Station.Kind.values) == fields


def test_every_package_hands_in_its_section_in_order() -> None:
    packages = [section.read.__module__.split(".")[1] for section in all_sections()]
    assert packages == ["kitchen", "taxes", "rates", "molds", "vessels", "pantry", "recipes", "products", "price_rules"]


def test_numbers_keep_the_digits_they_were_written_with() -> None:
    assert exact(Decimal("4.6000")).text == "4.6000"
    assert str(decimal(exact(Decimal("88.10")))) == "88.10"
    assert decimal(Fraction(3, 8)) == Decimal("0.375")


def test_a_measure_that_cannot_be_read_stands_as_nothing_of_its_text() -> None:
    assert measure("1 1/2 cup").amount == Fraction(3, 2)
    assert (measure("1 bucket").amount, measure("1 bucket").text) == (0, "1 bucket")
