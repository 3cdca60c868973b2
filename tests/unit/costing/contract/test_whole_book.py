"""A whole Book: every optional key is read and written back the same, and the contract's keys follow from steps."""

from __future__ import annotations

import json
import pickle
from dataclasses import replace
from datetime import date, time
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.contract import InputErrors, read_book, read_whole_book, whole_book_errors, write_book, write_whole_book
from costing.contract.book import Overhead, Profile, Step
from costing.contract.kitchen import DatedHours, HandOverHours, derived_rate
from costing.contract.optional_keys import OPTIONAL
from costing.contract.schema import validator
from tests.contract.kitchens import any_book
from tests.integration.catalog.book.forms import BOOKS, example, normal, whole_kitchen


def written(document: dict[str, Any]) -> str:
    return json.dumps(write_whole_book(read_whole_book(document)))


def test_a_whole_kitchen_comes_out_as_it_went_in() -> None:
    assert normal(json.loads(written(whole_kitchen()))) == normal(whole_kitchen())
    assert validator("book").is_valid(json.loads(written(whole_kitchen())))


@pytest.mark.parametrize("book", [whole_kitchen(), *map(example, BOOKS)], ids=["whole", *BOOKS])
def test_texts_stay_character_by_character(book: dict[str, Any]) -> None:
    text = written(book)
    assert written(json.loads(text)) == text
    assert read_whole_book(text) == read_whole_book(book)


@given(st.integers(0, 10**9))
def test_any_book_comes_out_plain(seed: int) -> None:
    book = any_book(seed)
    assert normal(json.loads(written(book))) == normal(book)
    assert write_book(read_whole_book(book)) == write_book(read_book(book))


def test_the_contracts_keys_are_written_the_same_from_a_whole_book() -> None:
    assert write_book(read_whole_book(whole_kitchen())) == write_book(read_book(whole_kitchen()))


def test_a_plain_reading_knows_labor_and_station_time_alone() -> None:
    tart = read_book(whole_kitchen()).product("custard-tart-24")
    assert [(step.kind, step.role, step.station) for step in tart.steps] == [
        ("work", "pastry", None),
        ("work", "pastry", None),
        ("bake", None, "oven"),
        ("chill", None, "cold-room"),
    ]
    whole = read_whole_book(whole_kitchen()).product("custard-tart-24")
    assert [str(step) for step in whole.steps] == ["fill or assemble", "Bake", "chill", "pack"]
    assert (tart.labor, tart.station_time) == (whole.labor, whole.station_time)


def test_a_whole_book_can_be_sent_to_another_process() -> None:
    book = read_whole_book(whole_kitchen())
    assert pickle.loads(pickle.dumps(book)) == book  # noqa: S301 - what was written here


def test_a_book_without_a_profile_has_the_defaults() -> None:
    kitchen = read_whole_book(example("small")).kitchen
    assert kitchen.profile is None
    assert kitchen.described == Profile()
    empty = example("small")
    empty["kitchen"]["profile"] = {}
    assert read_whole_book(empty).kitchen.profile == Profile()
    assert "profile" not in write_whole_book(read_whole_book(empty))["kitchen"]


def test_hours_that_are_not_given_are_not_the_same_as_none() -> None:
    book = example("small")
    assert (read_whole_book(book).hours, read_whole_book(book).closed) == (None, None)
    book |= {"hours": [], "closed": []}
    assert (read_whole_book(book).hours, read_whole_book(book).closed) == ((), ())
    assert written(book) == written(json.loads(written(book)))
    assert (read_whole_book(book).hand_over_hours, read_whole_book(book).days) == (None, None)
    book |= {"hand_over_hours": [], "days": []}
    assert (read_whole_book(book).hand_over_hours, read_whole_book(book).days) == ((), ())
    assert written(book) == written(json.loads(written(book)))


def test_people_hand_over_hours_and_days_that_differ_are_read() -> None:
    book = read_whole_book(whole_kitchen())
    assert [hours.hands for hours in book.hours or ()] == [3, None]
    assert book.hand_over_hours == (HandOverHours(1, time(9), time(17)),)
    assert book.days == (
        DatedHours(date(2026, 12, 24), time(5), time(12), 2, "Short day"),
        DatedHours(date(2026, 12, 27), time(8), time(10)),
    )
    profile = book.kitchen.described
    assert (profile.most_events_per_day, profile.most_guests_per_day) == (3, 400)


def test_what_a_calendar_holds_costs_nothing() -> None:
    document = whole_kitchen()
    for key in ("hand_over_hours", "days"):
        del document[key]
    assert write_book(read_whole_book(whole_kitchen())) == write_book(read_whole_book(document))


def test_suppliers_are_those_that_packs_name_and_those_listed() -> None:
    named = [supplier.name for supplier in read_whole_book(whole_kitchen()).suppliers]
    assert named == ["Merrin Dairy", "Sells nothing yet"]
    book = example("small")
    book["ingredients"][0]["packs"][0]["supplier"] = "Merrin Dairy"
    assert "suppliers" not in json.loads(written(book))


@pytest.mark.parametrize(
    ("overhead", "plain", "whole"),
    [
        (Overhead(), {}, {"per_labour_hour": "0", "per_order": "0"}),
        (Overhead(derived=("per_labor_hour", "per_order")), None, None),
        (
            Overhead(Fraction(0), Fraction(3), derived=("per_labor_hour",)),
            {"per_order": "3"},
            {"per_order": "3", "derived": ["per_labour_hour"]},
        ),
        (
            Overhead(monthly_orders=Fraction(24), derived=("per_labor_hour", "per_order")),
            None,
            {"monthly_orders": "24", "derived": ["per_labour_hour", "per_order"]},
        ),
    ],
    ids=["stated as nothing", "nobody stated any", "one stated", "monthly figures alone"],
)
def test_overhead_says_which_rates_nobody_stated(
    overhead: Overhead, plain: dict[str, Any] | None, whole: dict[str, Any] | None
) -> None:
    book = replace(read_whole_book(example("small")), overhead=overhead)
    assert write_book(book).get("overhead") == plain
    assert write_whole_book(book).get("overhead") == whole


def test_a_derived_rate_is_half_up_at_the_fourth_decimal() -> None:
    assert derived_rate(Fraction(2650), Fraction(320)) == Fraction("8.2813")
    assert derived_rate(Fraction(0), Fraction(320)) is None
    assert derived_rate(Fraction(1), None) is None


def test_optional_keys_are_looked_at_when_the_document_keeps_its_schema() -> None:
    book = whole_kitchen()
    book["recipes"][0]["steps"][1]["station"] = "cellar"
    assert [(error.code, error.at) for error in whole_book_errors(book)] == [
        ("unknown_station", "book#/recipes/0/steps/1/station")
    ]
    book["colour"] = "blue"
    assert [error.at for error in whole_book_errors(book)] == ["book#/colour"]
    with pytest.raises(InputErrors):
        read_whole_book(book)
    del book["colour"]
    assert read_book(book)


def test_a_step_is_called_by_its_name_or_its_kind() -> None:
    assert [str(step) for step in (Step("rest"), Step("rest", "Cool on the rack"), Step("work"))] == [
        "rest or cool",
        "Cool on the rack",
        "other work",
    ]
    assert [Step(kind).waits for kind in ("rest", "chill", "freeze", "bake")] == [True, True, True, False]


def test_optional_keys_are_keys_of_the_schema() -> None:
    schema = dict(validator("book").schema)
    definitions = schema["$defs"] | {"book": schema}
    names = {record: record.__name__.lower() for record in OPTIONAL}
    names |= {record: "price_rule" for record in OPTIONAL if record.__name__ == "PriceRule"}
    for record, keys in OPTIONAL.items():
        definition = definitions[names[record]]
        assert keys <= set(definition["properties"])
        assert not keys & set(definition["required"])
