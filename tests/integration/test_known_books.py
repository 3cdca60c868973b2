"""A Book that another test read is used where every row of the catalog is the same, and nowhere else."""

from typing import Any
from unittest.mock import patch

import pytest
from django.db.backends.base.base import BaseDatabaseWrapper

from catalog.book import selectors
from catalog.pantry.models import Ingredient
from tests import known_books, remembered
from tests.factories import kitchen_make

pytestmark = pytest.mark.django_db


def _next_test() -> None:
    selectors.forget()
    known_books.forgotten_between_tests()


def test_the_same_rows_are_the_same_book_and_others_are_read() -> None:
    kitchen_make()
    first = selectors.book_current()
    _next_test()
    assert selectors.book_current() is first
    # Beside the revision, as tests write rows.
    Ingredient.objects.filter(name="Pastry flour").update(name="Fine flour")
    _next_test()
    assert "Fine flour" in {one.name for one in selectors.book_current().ingredients}


def test_what_django_replaces_for_each_test_is_not_the_tests() -> None:
    with patch.object(BaseDatabaseWrapper, "ensure_connection"):
        assert not remembered.touched
    with patch.object(BaseDatabaseWrapper, "check_settings"):
        assert remembered.touched


def test_a_book_is_read_from_its_rows_where_a_test_asks_for_that(books_read_anew: None) -> None:
    kitchen_make()
    first = selectors.book_current()
    selectors.forget()
    assert selectors.book_current() is not first


def test_nothing_is_known_after_code_or_settings_were_replaced(monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    kitchen_make()
    first = selectors.book_current()
    monkeypatch.setattr(known_books, "MOST", known_books.MOST)
    _next_test()
    assert not remembered.touched
    after = selectors.book_current()
    assert after is not first
    settings.LANGUAGE_CODE = "en-us"
    selectors.forget()
    assert selectors.book_current() is not after


def test_what_is_known_of_orders_is_not_another_tests() -> None:
    kitchen_make()
    known = [known_books._of_orders(0)]
    assert known[0]
    for each in known[0]:
        each.of(selectors.book_current())[1] = True
    _next_test()
    assert not any(each._books for each in known[0])
