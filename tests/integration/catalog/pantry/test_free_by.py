"""What is free of an allergen under a name that does not say all that is in it: asked once, by every door to a name."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.services import book_import, book_text
from catalog.kitchen.models import Kitchen
from catalog.pantry.free_by import RENAMED, WAS_FREE, renamed
from catalog.pantry.label_services import LabelRead, labels_read
from catalog.pantry.models import LISTED, Ingredient
from catalog.pantry.services import ingredient_save, ingredient_version
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in, submitted
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
ANSWERS = {"milk": "free", "eggs": "may"}


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    return signed_in(client, "owner")


def asked_again(name: str, before: str = "Vole sugar disc") -> str:
    return f"It was called “{before}” when it was answered. Choose how you know what “{name}” is free of"


def asked(name: str) -> str:
    return f"The name “{name}” does not say all that is in it. Choose how you know what it is free of"


def disc(**columns: object) -> Ingredient:
    facts = {"allergen_answers": ANSWERS, "named_only": {"free_by": "own:Vole sugar disc"}, **columns}
    return Ingredient.objects.create(code="disc", name="Vole sugar disc", **facts)


@pytest.mark.parametrize("name", ["Kransekake", "Croquembouche shells", "Zorb sugar disc", "Marchpane", "Praline"])
@pytest.mark.parametrize("answers", [{"label-all_free": "on"}, {"label-has-milk": "free"}])
def test_one_choice_says_how_it_is_known(owner: Client, name: str, answers: dict[str, str]) -> None:
    ticks = {"label-named-tree-nuts": "on"}
    assert asked(name) in text(owner.post(reverse("ingredient-new"), submitted(name=name, **answers)))
    other = {"label-free_by": "asked:Sugar"}
    assert asked(name) in text(owner.post(reverse("ingredient-new"), submitted(name=name, **answers, **other)))
    assert not Ingredient.objects.exists()
    owner.post(
        reverse("ingredient-new"), submitted(name=name, **answers, **ticks, **{"label-free_by": f"asked:{name}"})
    )
    saved = Ingredient.objects.get()
    assert (saved.named_only["free_by"], saved.named_only["free_by_who"]) == (f"asked:{name}", "a-owner")
    page = text(owner.get(reverse("ingredient", args=[saved.pk])))
    assert "How we know what it is free of: We asked the maker" in page


@pytest.mark.parametrize("name", ["Granulated sugar", "Lemons", "Cake boxes 10 in"])
def test_a_plain_food_is_asked_nothing_more(owner: Client, name: str) -> None:
    owner.post(reverse("ingredient-new"), submitted(name=name, **{"label-all_free": "on"}))
    saved = Ingredient.objects.get()
    assert (saved.allergen_answers["milk"], saved.named_only) == ("free", {})


@pytest.mark.parametrize(
    ("before", "name"),
    [("Canola oil", "Vegetable oil"), ("Cornstarch", "Starch"), ("Coconut milk", "Rice milk"), ("Sugar", "Salt")],
)
def test_another_plain_food_by_hand_is_asked_too(owner: Client, before: str, name: str) -> None:
    row = Ingredient.objects.create(code="it", name=before, allergen_answers={"sesame": "free"})
    address, answers = reverse("ingredient", args=[row.pk]), {"label-has-sesame": "free"}
    assert asked_again(name, before) in text(save_edit(owner, address, submitted(name=name, **answers)))
    by = {"label-free_by": f"label:{name}"}
    save_edit(owner, address, submitted(name=name, **answers, **by, **{"label-listed": "100% rapeseed oil"}))
    row.refresh_from_db()
    assert (row.name, row.allergen_answers["sesame"], row.named_only["free_by"]) == (name, "free", f"label:{name}")


@pytest.mark.parametrize("name", ["sugar", "SUGAR", " sugar. "])
def test_capitals_and_marks_make_no_other_good(owner: Client, name: str) -> None:
    row = Ingredient.objects.create(code="it", name="Sugar", allergen_answers={"sesame": "free"})
    save_edit(owner, reverse("ingredient", args=[row.pk]), submitted(name=name, **{"label-has-sesame": "free"}))
    row.refresh_from_db()
    assert (row.name, row.allergen_answers) == (name.strip(), {"sesame": "free"})


@pytest.mark.parametrize("name", ["Kransekake", "Zorb sugar disc"])
def test_another_name_by_hand_is_asked_as_a_new_one_is(owner: Client, name: str) -> None:
    row = disc()
    address, answers = reverse("ingredient", args=[row.pk]), {"label-has-milk": "free"}
    same = submitted(name="Vole sugar disc", note="sweet", **answers)
    assert save_edit(owner, address, same).status_code == 302, "the same name is not asked again"
    assert asked_again(name) in text(save_edit(owner, address, submitted(name=name, **answers)))
    row.refresh_from_db()
    assert row.name == "Vole sugar disc"
    save_edit(owner, address, submitted(name=name, **answers, **{"label-free_by": f"own:{name}"}))
    row.refresh_from_db()
    assert (row.name, row.named_only["free_by"]) == (name, f"own:{name}")


def test_a_list_of_ingredients_is_of_the_name_it_was_entered_for(owner: Client) -> None:
    row = disc(named_only={"free_by": "label:Vole sugar disc", LISTED: "Sugar, cornstarch"})
    answers = {"label-has-milk": "free", "label-free_by": "label:Kransekake"}
    page = save_edit(owner, reverse("ingredient", args=[row.pk]), submitted(name="Kransekake", **answers))
    assert "Enter the list of ingredients on its label" in text(page)


def test_a_service_that_asks_nobody_takes_free_back() -> None:
    row = disc(named_only={"free_by": "own:Vole sugar disc", LISTED: "Sugar, cornstarch"})
    ingredient_save(ingredient_id=row.pk, data={"name": "Kransekake"}, parts=[])
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only) == ({"eggs": "may"}, {RENAMED: "Vole sugar disc", WAS_FREE: "milk"})


def test_the_page_says_why_it_is_not_checked_until_it_is_answered_again(owner: Client) -> None:
    row = disc()
    row.name = "Kransekake"
    assert renamed(row, "Vole sugar disc")
    row.save()
    address = reverse("ingredient", args=[row.pk])
    reason = "its name was “Vole sugar disc” when they were answered “free”"
    assert reason in text(owner.get(address))
    save_edit(owner, address, submitted(name="Kransekake", note="sweet"))
    assert reason in text(owner.get(address))
    answers = {"label-all_free": "on", "label-free_by": "own:Kransekake"}
    save_edit(owner, address, submitted(name="Kransekake", **answers))
    assert reason not in text(owner.get(address))


def test_a_label_that_is_ticked_off_is_on_record() -> None:
    row = Ingredient.objects.create(code="disc", name="Zorb sugar disc")
    labels_read(reads=[LabelRead(row.pk, ingredient_version(row))], which="us", by="odile")
    row.refresh_from_db()
    assert row.named_only == {"free_by": "label:Zorb sugar disc", "free_by_who": "odile"}


@pytest.mark.parametrize("name", ["Kransekake", "Wafer cup", "Kransekake box"])
def test_what_is_no_packing_by_its_name_does_not_touch_food_only_where_that_is_said(owner: Client, name: str) -> None:
    row = Ingredient.objects.create(code="it", name=name, base="each")
    reads = [LabelRead(row.pk, ingredient_version(row), off_food=True)]
    assert labels_read(reads=reads, which="us", by="odile") == ([], [name])
    address, answers = reverse("ingredient", args=[row.pk]), {"label-off_food": "on"}
    refused = text(save_edit(owner, address, submitted(name=name, base="each", **answers)))
    assert f"“{name}” may be food by its name." in refused
    answers["label-named-off_food"] = "on"
    save_edit(owner, address, submitted(name=name, base="each", **answers))
    row.refresh_from_db()
    assert not row.touches_food


def test_a_book_keeps_what_was_answered_under_a_name_and_brings_none_of_it_for_another() -> None:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    row = disc()
    book = json.loads(book_text())
    book_import(data=json.dumps(book).encode())
    row.refresh_from_db()
    assert (row.allergen_answers, row.named_only) == (ANSWERS, {"free_by": "own:Vole sugar disc"})
    book["ingredients"][0]["name"] = "Kransekake"
    book_import(data=json.dumps(book).encode())
    row.refresh_from_db()
    # How it was known is of the name before.
    assert row.allergen_answers == {"eggs": "may"}


FREE = {"milk": "free", "eggs": "may", "gelatin": "free", "other-animal": "free"}
NOT_KNOWN = {"eggs": "may", "gelatin": "free", "other-animal": "free"}


@pytest.mark.parametrize(
    ("name", "more", "answers"),
    [
        ("Kransekake", {}, NOT_KNOWN),
        ("Praline crunch base", {}, NOT_KNOWN),
        ("Kransekake", {"free_by": "own"}, NOT_KNOWN),
        ("Kransekake", {"free_by": "own:Krumkake"}, NOT_KNOWN),
        ("Kransekake", {"free_by": "own:Kransekake"}, FREE),
        ("Kransekake", {"free_by": "label:Kransekake"}, NOT_KNOWN),
        ("Kransekake", {"free_by": "label:Kransekake", "label_list": "sugar, cornstarch"}, FREE),
        ("Kransekake", {"label_list": "see label"}, NOT_KNOWN),
        ("Granulated sugar", {}, FREE),
        ("Honey", {}, {"milk": "free", "eggs": "may", "gelatin": "free"}),
    ],
)
def test_a_file_says_free_as_a_form_does(name: str, more: dict[str, str], answers: dict[str, str]) -> None:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    disc()
    book = json.loads(book_text())
    book["ingredients"][0] = {"code": "other", "name": name, "allergen_answers": FREE, "allergens": [], **more}
    book_import(data=json.dumps(book).encode())
    assert Ingredient.objects.get(code="other").allergen_answers == answers
    exported = book_text()
    book_import(data=exported.encode())
    assert book_text() == exported
