"""The whole kitchen is brought into an empty one from the file it was downloaded as."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from catalog.book.services import book_text
from catalog.pantry.models import Ingredient, Pack
from catalog.products.models import Product
from catalog.recipes.models import Recipe, RecipeLine
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    kitchen_make()
    return signed_in("owner")


def _emptied() -> None:
    for model in (Product, RecipeLine, Recipe, Pack, Ingredient):
        model.objects.all().delete()


def _brought(owner: Client, body: str, name: str = "kitchen.json") -> Any:
    file = SimpleUploadedFile(name, body.encode(), "application/json")
    return owner.post(reverse("kitchen-import"), {"kitchen": file} if body else {}, follow=True)


def test_what_was_downloaded_comes_back_the_same(owner: Client) -> None:
    file = owner.get(reverse("kitchen-export")).content.decode()
    _emptied()
    assert book_text() != file
    page = text(_brought(owner, file))
    assert "The kitchen is here. Ingredients: " in page
    assert book_text() == file


def test_a_catalog_that_is_there_is_never_replaced(owner: Client) -> None:
    before = book_text()
    answer = _brought(owner, before.replace("custard", "curd"))
    assert answer.status_code == 422
    assert "This kitchen has a catalog already" in text(answer)
    assert book_text() == before


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"recipes": 5}, "book#/recipes: "),
        (None, "Choose the file that “Download the whole kitchen” made."),
        ("{", "book#: "),
    ],
)
def test_a_wrong_file_changes_nothing_and_each_problem_has_its_place(owner: Client, change: Any, sentence: str) -> None:
    file = json.loads(book_text())
    _emptied()
    before = book_text()
    body = change if isinstance(change, str) else "" if change is None else json.dumps(file | change)
    answer = _brought(owner, body)
    assert answer.status_code == 422
    assert sentence in text(answer)
    assert book_text() == before


def test_many_problems_are_named_in_part_and_counted(owner: Client) -> None:
    file = json.loads(book_text())
    _emptied()
    file["ingredients"] = [{"code": "x", "name": ""}] * 40
    page = text(_brought(owner, json.dumps(file)))
    assert page.count("book#/ingredients/") >= 20
    assert "more problems in the file." in page


def test_its_address_leads_to_the_page(owner: Client) -> None:
    assert owner.get(reverse("kitchen-import"))["Location"] == reverse("spreadsheets")
