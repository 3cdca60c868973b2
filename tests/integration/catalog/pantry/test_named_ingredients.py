"""An ingredient whose name has an allergen in it is free of it only by a tick of its own."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.label_services import LabelRead, labels_read
from catalog.pantry.models import Ingredient
from catalog.pantry.services import ingredient_version
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in, submitted

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    return signed_in(client, "owner")


def by_label(name: str) -> dict[str, str]:
    """Return the answer that a name's label says what it is free of."""
    return {"label-free_by": f"label:{name}"}


@pytest.mark.parametrize(
    ("name", "code", "what"),
    [
        ("Peanut brittle", "peanuts", "peanuts"),
        ("Erdnusscreme", "peanuts", "peanuts"),
        ("Sesam", "sesame", "sesame"),
        ("Noisette paste", "hazelnuts", "hazelnuts"),
        ("Vegetable shortening", "soybeans", "soybeans"),
        ("Dragee pearls", "almonds", "almonds"),
    ],
)
@pytest.mark.parametrize("how", ["each", "all"])
def test_free_is_asked_once_more_by_name(owner: Client, name: str, code: str, what: str, how: str) -> None:
    answers = {f"label-has-{code}": "free"} if how == "each" else {"label-all_free": "on"}
    refused = owner.post(reverse("ingredient-new"), submitted(name=name, **answers))
    asked = f"Its name says {what}. Is it free of {what}? Check it, or change the answer."
    if name in ("Vegetable shortening", "Dragee pearls", "Nougat"):
        asked = f"\u201c{name}\u201d may be made with {what}: read the label, or ask. Check it, or change the answer."
    assert asked in text(refused)
    assert not Ingredient.objects.exists()
    ticked = {f"label-named-{code}": "on", **by_label(name)}
    owner.post(reverse("ingredient-new"), submitted(name=name, **answers, **ticked))
    saved = Ingredient.objects.get()
    assert (saved.named_only[code], saved.allergen_answers[code]) == (name, "free")


def test_what_it_may_be_made_with_reads_so_beside_other_labels(owner: Client) -> None:
    Ingredient.objects.create(code="pearls", name="Dragee pearls")
    words = text(owner.get(reverse("ingredient-labels")))
    assert "it may be made with almonds: ask, and open it to answer that" in words
    assert "its name says almonds" not in words


def test_one_tick_for_a_whole_label_leaves_open_what_the_name_says(owner: Client) -> None:
    row = Ingredient.objects.create(code="brittle", name="Peanut brittle")
    assert "its name says peanuts: open it to answer that" in text(owner.get(reverse("ingredient-labels")))
    labels_read(reads=[LabelRead(row.pk, ingredient_version(row))], which="us", by="odile")
    row.refresh_from_db()
    assert "peanuts" not in row.allergen_answers
    assert row.allergen_answers["milk"] == "free"


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("Vanilla extract", "alcohol", "“Vanilla extract” mostly has alcohol in it."),
        ("Gelantine leaves", "gelatin", "“Gelantine” mostly has gelatin in it."),
    ],
)
def test_what_a_name_mostly_stands_for_is_asked_too(owner: Client, name: str, code: str, words: str) -> None:
    answers = {"label-all_free": "on", f"label-has-{code}": "free"}
    refused = owner.post(reverse("ingredient-new"), submitted(name=name, **answers))
    assert f"{words} Is it the kind that is free of it? Check it, or change the answer." in text(refused)
    assert not Ingredient.objects.exists()
    ticked = {f"label-named-{code}": "on", **by_label(name)}
    owner.post(reverse("ingredient-new"), submitted(name=name, **answers, **ticked))
    assert Ingredient.objects.get().named_only[code] == name


UNKNOWN = "The name does not say what is in it. Enter the list of ingredients on its label, or clear the box."


def test_a_trade_name_is_free_of_all_only_with_its_list_of_ingredients(owner: Client) -> None:
    answers = {"label-all_free": "on", "label-has-milk": "contains", **by_label("Fea Zorbella")}
    refused = owner.post(reverse("ingredient-new"), submitted(name="Fea Zorbella", **answers))
    assert UNKNOWN in text(refused)
    assert not Ingredient.objects.exists()
    answers["label-listed"] = "Sugar, palm oil, hazelnuts, whey powder"
    refused = owner.post(reverse("ingredient-new"), submitted(name="Fea Zorbella", **answers))
    assert "The ingredients say hazelnuts. Choose “contains” for it, or check this." in text(refused)
    assert "The ingredients say milk" not in text(refused)
    owner.post(
        reverse("ingredient-new"), submitted(name="Fea Zorbella", **answers, **{"label-has-hazelnuts": "contains"})
    )
    saved = Ingredient.objects.get()
    assert saved.named_only["listed"] == "Sugar, palm oil, hazelnuts, whey powder"
    assert saved.named_only["free_by_who"] == "a-owner"
    assert saved.allergen_answers["eggs"] == "free"
    page = owner.get(reverse("ingredient", args=[saved.pk]))
    assert page.status_code == 200


def test_a_makers_paste_is_free_of_all_only_with_its_list_of_ingredients(owner: Client) -> None:
    answers = {"label-all_free": "on", **by_label("Fea vanilla paste")}
    refused = owner.post(reverse("ingredient-new"), submitted(name="Fea vanilla paste", **answers))
    assert UNKNOWN in text(refused)
    row = Ingredient.objects.create(code="paste", name="Fea vanilla paste")
    assert labels_read(reads=[LabelRead(row.pk, ingredient_version(row))], which="us", by="odile") == (
        [],
        ["Fea vanilla paste"],
    )


def test_labels_read_in_a_row_leave_a_trade_name_to_its_page(owner: Client) -> None:
    row = Ingredient.objects.create(code="zorbella", name="Fea Zorbella")
    page = text(owner.get(reverse("ingredient-labels")))
    assert "its name does not say what is in it: open it to enter the ingredients on its label" in page
    assert labels_read(reads=[LabelRead(row.pk, ingredient_version(row))], which="us", by="odile") == (
        [],
        ["Fea Zorbella"],
    )


@pytest.mark.parametrize("name", ["Fea flour", "Zucker", "Cake boxes", "Satin ribbon", "Rhubarb", "Isola butter"])
def test_a_name_that_is_known_is_asked_for_no_list(owner: Client, name: str) -> None:
    answers = {"label-all_free": "on", "label-has-wheat": "contains"}
    answers["label-has-gluten"] = "contains"
    assert UNKNOWN not in text(owner.post(reverse("ingredient-new"), submitted(name=name, **answers)))


@pytest.mark.parametrize("listed", ["see label", "n/a", "sugar"])
def test_what_is_no_list_of_ingredients_is_refused(owner: Client, listed: str) -> None:
    answers = {"label-all_free": "on", "label-listed": listed, **by_label("Mint cups")}
    refused = text(owner.post(reverse("ingredient-new"), submitted(name="Mint cups", **answers)))
    assert "Enter the ingredients as they stand on the label, with commas between them." in refused
    assert not Ingredient.objects.exists()
