"""A Book made in code is held to the rules of a Book that came as a document, and never written to be checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.contract import Book, InputErrors, book_errors, book_writer, check_book, read_book, write_book
from costing.contract.book import Role
from costing.measures.measure import Measure
from tests.contract.kitchens import any_book
from tests.contract.test_every_error import BOOK

WHOLE = read_book(BOOK)
BAD: dict[type, list[Any]] = {
    Fraction: [Fraction(0), Fraction(-1), Fraction(1), Fraction(2), Fraction("0.005")],
    int: [0, -1, 7],
    str: ["", "x", "goods", "cream", "glass", "set-cream", "x" * 201, "each", "packs", "metric"],
    Measure: [Measure(Fraction(3), unit) for unit in ("g", "cup", "each")] + [Measure(Fraction(0), "g")],
    date: [date(2025, 1, 1)],
}


def errors_of_values(book: Book) -> list[tuple[str, str, str]]:
    try:
        check_book(book)
    except InputErrors as found:
        return [(error.code, error.at, error.message) for error in found.errors]
    return []


def errors_of_document(book: Book) -> list[tuple[str, str, str]]:
    return [(error.code, error.at, error.message) for error in book_errors(write_book(book))]


def changes(record: Any) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every place in a record, with a value of its kind."""
    for field in fields(record):
        value = getattr(record, field.name) if field.init else None
        if isinstance(value, tuple) and value and is_dataclass(value[0]):
            for i, item in enumerate(value):
                yield from (((field.name, i, *path), kind) for path, kind in changes(item))
        elif is_dataclass(value) and not isinstance(value, Measure):
            yield from (((field.name, *path), kind) for path, kind in changes(value))
        else:
            yield from (
                ((field.name,), kind) for kind in BAD if isinstance(value, kind) and not isinstance(value, bool)
            )


def changed(record: Any, path: tuple[Any, ...], value: Any) -> Any:
    name, *rest = path
    old = getattr(record, name)
    if not rest:
        return replace(record, **{name: value})
    if isinstance(old, tuple):
        at, *inside = rest
        return replace(record, **{name: (*old[:at], changed(old[at], tuple(inside), value), *old[at + 1 :])})
    return replace(record, **{name: changed(old, tuple(rest), value)})


PLACES = list(changes(WHOLE))


@given(st.data())
def test_what_is_wrong_with_a_book_of_values_is_what_is_wrong_with_its_document(data: st.DataObject) -> None:
    book = WHOLE
    for path, kind in data.draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=3)):
        book = changed(book, path, data.draw(st.sampled_from(BAD[kind])))
    codes = [tuple(role.code for role in kind) for kind in (book.roles, book.stations, book.taxes)]
    if all(len(set(each)) == len(each) for each in codes):
        assert sorted(errors_of_values(book)) == sorted(errors_of_document(book))


@given(st.integers(0, 10**9))
def test_a_sound_kitchen_is_sound_as_values(seed: int) -> None:
    assert errors_of_values(read_book(any_book(seed))) == []


def test_a_book_is_checked_without_being_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(book_writer, "write_book", None)
    monkeypatch.setattr(book_writer, "stated", None)
    third = replace(WHOLE, kitchen=replace(WHOLE.kitchen, waste=Fraction(1, 3)))
    assert errors_of_values(third) == []
    below = replace(WHOLE, kitchen=replace(WHOLE.kitchen, waste=Fraction(-1, 3)))
    assert errors_of_values(below) == [
        ("bad_share", "book#/kitchen/waste", "Waste of “kitchen” is -1/3. It has to be 0 or more."),
    ]


def test_errors_of_values_come_in_the_order_of_the_book() -> None:
    book = changed(WHOLE, ("products", 1, "servings"), 0)
    book = changed(book, ("products", 0, "fill", 0, "recipe"), "foam")
    book = changed(book, ("taxes", 0, "rates", 0, "rate"), Fraction(-1))
    book = changed(book, ("kitchen", "price_step"), Fraction(0))
    assert [at for _, at, _ in errors_of_values(book)] == [
        "book#/kitchen/price_step",
        f"book#/taxes/{WHOLE.taxes[0].code}/0/rate",
        "book#/products/0/fill/0/recipe",
        "book#/products/1/servings",
    ]


def test_two_roles_of_one_code_are_reported_though_a_document_could_not_say_so() -> None:
    book = replace(WHOLE, roles=(*WHOLE.roles, Role(WHOLE.roles[0].code, Fraction(1))))
    assert [(code, at) for code, at, _ in errors_of_values(book)] == [
        ("duplicate_code", f"book#/roles/{WHOLE.roles[0].code}")
    ]
