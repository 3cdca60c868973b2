"""An ingredient is archived and restored by its box, and the page says which."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from tests.integration.catalog.pantry.test_ingredients import signed_in, submitted
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def nibs() -> Ingredient:
    Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")
    return Ingredient.objects.create(code="nibs", name="Cocoa nibs", position=0)


@pytest.mark.parametrize(
    ("was", "box", "words"),
    [(True, "", "is archived."), (False, "on", "is restored."), (True, "on", "is saved."), (False, "", "is saved.")],
)
def test_saving_says_what_became_of_it(client: Client, nibs: Ingredient, was: bool, box: str, words: str) -> None:
    Ingredient.objects.update(active=was)
    sent = submitted(active=box)
    page = save_edit(signed_in(client, "owner"), reverse("ingredient", args=[nibs.pk]), sent, follow=True)
    assert f"Cocoa nibs {words}" in page.content.decode()
