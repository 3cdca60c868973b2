"""Own words beside an allergen that name another one are answered by that one's own answer."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.declarations import Serves, answer_to, declared_of
from catalog.pantry.free_by import unproven_dropped
from catalog.pantry.models import Ingredient
from costing.contract import Ingredient as Values
from tests.factories import kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    kitchen_make()
    return signed_in()


def row(contains: str, words: str, **answers: str) -> Ingredient:
    facts = {"allergens": [contains], "allergen_names": {contains: words}, "allergen_answers": answers}
    return Ingredient.objects.create(code="mix", name="Kestrel mix", named_only={}, **facts)


@pytest.mark.parametrize(
    ("contains", "words", "code"),
    [("almonds", "filberts", "hazelnuts"), ("rye", "couscous", "wheat"), ("barley", "spelt", "wheat")],
)
def test_the_page_asks_for_what_the_words_name(owner: Client, contains: str, words: str, code: str) -> None:
    address = reverse("ingredient", args=[row(contains, words).pk])
    form = edit_form_of(owner.get(address))
    assert form.fields[f"label-name-{contains}"] == [words]
    assert f"\u201c{words}\u201d means {code} too" in text(owner.post(address, form.data()))
    answered = {**form.data(), f"label-has-{code}": "contains"}
    assert owner.post(address, answered).status_code == 302
    assert set(Ingredient.objects.get(code="mix").allergens) == {contains, code}


def test_or_the_words_are_changed(owner: Client) -> None:
    address = reverse("ingredient", args=[row("almonds", "filberts").pk])
    form = edit_form_of(owner.get(address))
    assert owner.post(address, {**form.data(), "label-name-almonds": "blanched"}).status_code == 302
    assert Ingredient.objects.get(code="mix").allergen_names == {"almonds": "blanched"}


def test_nothing_is_free_of_what_own_words_name() -> None:
    names = (("almonds", "filberts"),)
    found = declared_of(
        Values(
            code="mix",
            name="Kestrel mix",
            allergens=("almonds",),
            allergen_names=names,
            allergen_answers=(("hazelnuts", "free"), ("milk", "free")),
        ),
        "us",
    )
    assert answer_to("hazelnuts", found, "us").serves is Serves.NOT_CHECKED
    assert answer_to("milk", found, "us").serves is Serves.FREE


def test_a_row_of_a_book_with_such_words_brings_no_answer_free() -> None:
    item = Ingredient(
        name="Hazel",
        allergens=["almonds"],
        allergen_names={"almonds": "filberts"},
        allergen_answers={"hazelnuts": "free", "milk": "free"},
        named_only={"free_by": "asked:Hazel"},
    )
    unproven_dropped(item)
    assert item.allergen_answers == {"milk": "free"}
