"""A number without a unit in a recipe's line, and the weights of its page in a kitchen that weighs in pounds."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.recipes.models import Recipe
from tests.factories import PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.forms_on_pages import edit_form_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def test_a_number_alone_counts_pieces_of_what_has_a_piece_weight(owner: Client) -> None:
    page = page_text(owner.post(reverse("recipe-new"), recipe_form_data([("10", "Granulated sugar")])))
    assert "“10” has no unit." in page
    owner.post(reverse("recipe-new"), recipe_form_data([("10", "Large eggs"), ("250 g", "Granulated sugar")]))
    recipe = Recipe.objects.get(name="Nib brittle")
    assert [line.amount for line in recipe.lines.all()] == ["10 each", "250 g"]


def test_a_kitchen_reads_weights_in_its_own_unit_alone(owner: Client) -> None:
    owner.post(reverse("recipe-new"), recipe_form_data([("907.18474 g", "Granulated sugar")]))
    page = page_text(owner.get(reverse("recipe", args=[Recipe.objects.get(name="Nib brittle").pk])))
    assert "907.18474 g 2 lb 2.06 lb" in " ".join(page.replace("Granulated sugar", "").split())
    assert "Grams" not in page
    assert "907.2 g" not in page
    Kitchen.objects.update(measures="metric")
    page = page_text(owner.get(reverse("recipe", args=[Recipe.objects.get(name="Nib brittle").pk])))
    assert "907.2 g" in page
    assert "2 lb" not in page


def test_totals_have_their_labels_on_a_phone(owner: Client) -> None:
    html = owner.get(reverse("recipe", args=[Recipe.objects.get(code="custard").pk])).content.decode()
    foot = html.partition("<tfoot>")[2].partition("</tfoot>")[0]
    assert foot.count('<td class="num"') == foot.count("data-label=") > 2


def test_what_is_rarely_entered_is_folded_and_says_that_it_is_filled_in(owner: Client) -> None:
    recipe = Recipe.objects.get(code="custard")
    empty = {"shelf_stable": False, "shelf_stable_source": "", "never_hot": False, "never_hot_reason": ""}
    Recipe.objects.filter(pk=recipe.pk).update(loss_of="water", air=0, kg_per_place=None, batch_min="", **empty)
    page = reverse("recipe-edit", args=[recipe.pk])
    folded = '<details class="taking"><summary>%s</summary>'
    filled = '<details class="taking"><summary>%s <span class="soft">filled in</span></summary>'
    for summary, change in (
        ("Minimum batch, shelf places", {"kg_per_place": 2}),
        ("Kind of loss, air whipped in", {"air": "0.5"}),
        ("Safe at room temperature, or never hot", {"never_hot": True}),
    ):
        assert folded % summary in owner.get(page).content.decode()
        Recipe.objects.filter(pk=recipe.pk).update(**change)
        assert filled % summary in owner.get(page).content.decode()
    wrong = {**edit_form_of(owner.get(page)).fields, "air": "99", "do": "save"}
    shown = owner.post(page, wrong).content.decode()
    assert '<details class="taking" open><summary>Kind of loss, air whipped in' in shown, "what is wrong opens its fold"
