"""The Book is read in a fixed number of queries, cached per revision, never before its rows are committed."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from time import sleep
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from catalog.book import sections
from catalog.book import selectors as books
from catalog.book.presenters import shown_problems
from catalog.book.revision import catalog_changed
from catalog.book.rows import RecordCache
from catalog.book.services import book_text
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.products.models import Product
from catalog.rates.models import Role
from catalog.rates.services import role_save
from catalog.recipes.models import Recipe
from catalog.records.errors import CannotPrice
from costing.contract import Book
from tests.integration.catalog.book.forms import example, whole_kitchen
from tests.integration.catalog.book.test_book import taken_over
from tests.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _empty_cache():
    books.forget()
    yield
    books.forget()


def queries(call: Any) -> int:
    with CaptureQueriesContext(connection) as captured:
        call()
    return len(captured)


@pytest.mark.parametrize("name", ["small", "generated-11"])
def test_reading_the_catalog_takes_the_same_few_queries_whatever_is_in_it(name):
    taken_over(example(name))
    assert queries(books.book_current) == 29
    assert queries(book_text) == 28


def test_a_book_is_cached_until_the_revision_changes(django_capture_on_commit_callbacks):
    taken_over(example("small"))
    with django_capture_on_commit_callbacks(execute=True):
        first = books.book_current()
    assert queries(books.book_current) == 1
    assert books.book_current() is first
    role = Role.objects.get(code="pastry")
    role_save(role_id=role.pk, name="Pastry cook", hourly=role.hourly + 1, on_cost=role.on_cost)
    assert books.book_current().role("pastry").hourly == first.role("pastry").hourly + 1


@pytest.mark.django_db(transaction=True)
def test_a_book_read_in_a_transaction_that_is_rolled_back_is_not_cached():
    taken_over(example("small"))
    with pytest.raises(RuntimeError), transaction.atomic():
        Role.objects.filter(code="pastry").update(hourly="99")
        catalog_changed()
        assert books.book_current().role("pastry").hourly == 99
        raise RuntimeError
    Role.objects.filter(code="pastry").update(hourly="26")
    catalog_changed()
    assert books.book_current().role("pastry").hourly == 26


@pytest.mark.django_db(transaction=True)
def test_rows_that_change_while_they_are_read_are_read_again(monkeypatch):
    taken_over(example("small"))
    first, changed = sections.all_sections()[-1], []

    def read_and_change(book: Book, cache: RecordCache) -> Book:
        if not changed:
            changed.append(True)
            Role.objects.filter(code="driver").update(hourly="31")
            catalog_changed()
        return first.read(book, cache)

    monkeypatch.setattr(sections, "_sections", [*sections.all_sections()[:-1], replace(first, read=read_and_change)])
    assert books.book_current().role("driver").hourly == 31


@pytest.mark.django_db(transaction=True)
def test_a_book_that_is_being_read_is_waited_for(monkeypatch):
    taken_over(example("small"))
    slow, read = books._read, []

    def slowly(cache: RecordCache) -> tuple[int, Book]:
        read.append(True)
        sleep(0.2)
        return slow(cache)

    def ask(_: int) -> Book:
        try:
            return books.book_current()
        finally:
            connection.close()

    monkeypatch.setattr(books, "_read", slowly)
    with ThreadPoolExecutor(4) as threads:
        found = list(threads.map(ask, range(4)))
    assert read == [True]
    assert all(one is found[0] for one in found)


def test_before_the_kitchen_is_set_up_nothing_can_be_priced():
    with refused(CannotPrice, match="not set up"):
        books.book_current()
    (problem,) = shown_problems(books.book_problems())
    assert (problem.code, problem.link) == ("no_kitchen", "/kitchen/")
    assert problem.message == "The kitchen is not set up yet. Fill in its profile first."


def test_a_sound_catalog_has_no_problems():
    taken_over(example("small"))
    assert books.book_problems() == ()


def broken() -> dict[str, str]:
    """Break four things the way rows can be broken, and name the pages where they are put right."""
    taken_over(example("small"))
    Ingredient.objects.filter(code="buckwheat").update(density=None)
    Product.objects.filter(code="custard-tart-24").update(servings=0)
    Pack.objects.filter(ingredient__code="cream", size="1 quart").update(size="1 bucket")
    Kitchen.objects.update(price_step="0.001")
    catalog_changed()
    recipe = Recipe.objects.get(code="buckwheat-paste").pk
    return {
        "no_density": f"/catalog/recipes/{recipe}/",
        "negative_amount": f"/catalog/products/{Product.objects.get(code='custard-tart-24').pk}/",
        "bad_measure": f"/catalog/ingredients/{Ingredient.objects.get(code='cream').pk}/",
        "schema": "/kitchen/",
    }


def test_problems_name_the_thing_in_screen_words_and_where_it_is_put_right():
    pages = broken()
    found = {problem.code: problem for problem in shown_problems(books.book_problems())}
    assert {code: problem.link for code, problem in found.items()} == pages
    assert found["no_density"].message.startswith("Recipe Buckwheat sweet paste, line 1: ")
    assert found["bad_measure"].message.startswith("Ingredient Heavy cream, pack 1: ")
    with refused(CannotPrice, match="Kitchen: "):
        books.book_current()


def test_inactive_goods_stay_in_the_book():
    taken_over(whole_kitchen())
    book = books.book_current()
    assert book.product("custard-tart-24")
    assert book.ingredient("honey")
    assert book.recipe("set-cream")
