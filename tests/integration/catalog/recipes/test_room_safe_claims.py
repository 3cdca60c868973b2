"""That a recipe is safe at room temperature holds for the recipe as it was."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.recipes.models import Recipe
from tests.factories import PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db

SOURCE = "Alder laboratory, report 7 of 2026"


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


@pytest.fixture
def brittle(owner: Client) -> Recipe:
    save(owner, None)
    return Recipe.objects.get(name="Nib brittle")


def save(owner: Client, recipe: Recipe | None, amount: str = "1 kg", **more: Any) -> str:
    more = {"shelf_stable": "on", "shelf_stable_source": SOURCE, **more}
    data = recipe_form_data([(amount, "Granulated sugar")], **more)
    address = reverse("recipe-new") if recipe is None else reverse("recipe-edit", args=[recipe.pk])
    if recipe is not None:
        shown = owner.get(address).context["edit"]
        data["version"] = shown.version
    answer = owner.post(address, data, follow=True)
    assert answer.redirect_chain, answer.context["editor"].form.errors
    return page_text(answer)


def test_another_amount_takes_it_back_and_the_page_offers_to_confirm_it_with_its_source(
    owner: Client, brittle: Recipe
) -> None:
    shown = save(owner, brittle, "2 kg")
    brittle.refresh_from_db()
    assert (brittle.shelf_stable, brittle.shelf_stable_source) == (False, SOURCE)
    assert "this no longer counts as safe at room temperature: Nib brittle" in shown
    assert f"for the recipe as it was: “{SOURCE}”" in shown
    save(owner, brittle, "2 kg")
    brittle.refresh_from_db()
    assert brittle.shelf_stable


def test_another_loss_and_another_step_take_it_back(owner: Client, brittle: Recipe) -> None:
    save(owner, brittle, loss="10")
    assert not Recipe.objects.get(pk=brittle.pk).shelf_stable
    save(owner, brittle, loss="10")
    save(owner, brittle, loss="10", steps=[{"name": "Break up", "kind": "work"}])
    assert not Recipe.objects.get(pk=brittle.pk).shelf_stable


def test_a_name_a_note_or_the_same_amount_written_otherwise_do_not(owner: Client, brittle: Recipe) -> None:
    shown = save(owner, brittle, "1.0 kg", name="Cocoa nib brittle", note="Break small")
    assert Recipe.objects.get(pk=brittle.pk).shelf_stable
    assert "no longer counts" not in shown


def test_a_new_source_with_the_change_counts(owner: Client, brittle: Recipe) -> None:
    save(owner, brittle, "2 kg", shelf_stable_source="Alder laboratory, report 9 of 2026")
    assert Recipe.objects.get(pk=brittle.pk).shelf_stable


def test_what_uses_a_changed_recipe_is_taken_back_too(owner: Client, brittle: Recipe) -> None:
    data = recipe_form_data([("1 kg", "Nib brittle")], name="Praline", shelf_stable="on", shelf_stable_source=SOURCE)
    owner.post(reverse("recipe-new"), data)
    assert Recipe.objects.get(name="Praline").shelf_stable
    shown = save(owner, brittle, "2 kg")
    assert "safe at room temperature: Nib brittle, Praline" in shown
    assert not Recipe.objects.get(name="Praline").shelf_stable
    assert [one.shelf_stable for one in book_current().recipes if one.name == "Praline"] == [False]
