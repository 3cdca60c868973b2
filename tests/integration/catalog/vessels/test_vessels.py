"""Vessels on screen."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from catalog.vessels.selectors import vessel_list
from catalog.web.access import KITCHEN
from tests.factories import PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import WILD, recipe_form_data
from tests.integration.catalog.recipes.test_recipes import page_text, signed_in
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
TUB = {
    "name": "Tub, 6 qt",
    "kind": "tub",
    "length_cm": "10 in",
    "width_cm": "16 cm",
    "height_cm": "60 mm",
    "owned": "4",
    "wall": "plastic",
}
STEP = {"name": "Boil", "kind": "cook", "leaves_c": "180", "minutes": "10"}
LINES = [("1 kg", "Granulated sugar")]
POT = {"name": "Pot", "kind": "pot", "diameter_cm": "30", "height_cm": "25", "owned": "1", "wall": "metal"}


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def test_a_vessel_is_saved_in_centimeters_whatever_its_measures_were_written_in(owner: Client) -> None:
    owner.post(reverse("vessel-new"), TUB)
    tub = Vessel.objects.get()
    found = (tub.kind, tub.length_cm, tub.width_cm, tub.height_cm, tub.diameter_cm, tub.owned, tub.wall)
    assert found == ("tub", Decimal("25.4"), Decimal(16), Decimal(6), None, 4, "plastic")
    # 25.4 · 16 · 6 cm³ = 2,438 ml = 2.58 US quarts
    assert "10 × 6.3 2.36 2.6 qt" in page_text(owner.get(reverse("vessels")))
    assert book_current().vessel("Tub, 6 qt").length_cm == Decimal("25.4")


@pytest.mark.parametrize(
    ("vessel", "more", "sentence"),
    [
        (TUB, {"name": ""}, "Enter a name, such as Tub, 6 qt."),
        (TUB, {"length_cm": "", "width_cm": ""}, "Enter the diameter of a round vessel; for any other, its length and"),
        (TUB, {"width_cm": ""}, "Enter the width inside, such as 30 cm or 12 in."),
        (TUB, {"height_cm": ""}, "Enter the height inside, from floor to rim, such as 10 cm or 4 in."),
        (TUB, {"diameter_cm": "20"}, "Enter either the diameter, or the length and the width. Clear the other."),
        (POT, {"diameter_cm": "-3"}, "The diameter must be more than 0."),
        (POT, {"height_cm": "tall"}, "Write the height as a number, such as 9."),
        (POT, {"owned": "0"}, "The number owned must be 1 or more."),
        (POT, {"kind": "sink"}, "Choose the kind of vessel from the list."),
    ],
)
def test_each_mistake_gets_a_sentence_that_names_the_fix_and_keeps_the_rest(
    owner: Client, vessel: dict[str, str], more: dict[str, str], sentence: str
) -> None:
    response = owner.post(reverse("vessel-new"), vessel | more)
    assert response.status_code == 422
    assert sentence in page_text(response)
    written = {name: value for name, value in (vessel | more).items() if name not in ("kind", "wall")}
    assert all(f'value="{value}"' in response.content.decode() for value in written.values() if value)
    assert not Vessel.objects.exists()


def test_two_vessels_of_one_name_are_refused(owner: Client) -> None:
    owner.post(reverse("vessel-new"), TUB)
    response = owner.post(reverse("vessel-new"), TUB | {"name": "tub, 6 QT"})
    assert "There is already a vessel named tub, 6 QT." in page_text(response)
    tub = Vessel.objects.get()
    assert save_edit(owner, reverse("vessel-edit", args=[tub.pk]), TUB | {"owned": "5"}).status_code == 302


def test_a_vessel_in_use_is_not_deleted_and_its_recipes_are_named(owner: Client) -> None:
    owner.post(reverse("vessel-new"), TUB)
    tub, custard = Vessel.objects.get(), Recipe.objects.get(code="custard")
    RecipeStep.objects.create(recipe=custard, kind="cook", leaves_c=Decimal(84), vessel=tub)
    response = owner.post(reverse("vessel-delete", args=[tub.pk]))
    assert response.status_code == 409
    assert custard.name in page_text(response)
    RecipeStep.objects.filter(vessel=tub).delete()
    owner.post(reverse("vessel-delete", args=[tub.pk]))
    assert not Vessel.objects.exists()


def test_the_kitchen_reads_the_list_and_changes_nothing(owner: Client) -> None:
    owner.post(reverse("vessel-new"), TUB)
    cook = signed_in(KITCHEN)
    page = cook.get(reverse("vessels"))
    assert "Tub, 6 qt" in page_text(page)
    assert reverse("vessel-new") not in page.content.decode()
    assert cook.get(reverse("vessel-new")).status_code == 403


def test_the_list_is_one_query_whatever_is_in_it(
    owner: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(3):
        owner.post(reverse("vessel-new"), TUB | {"name": f"Tub {number}"})
    with django_assert_num_queries(1):
        assert len(vessel_list()) == 3


@pytest.mark.parametrize("wild", WILD)
def test_no_value_breaks_a_vessel(owner: Client, wild: str) -> None:
    assert owner.post(reverse("vessel-new"), dict.fromkeys(TUB | POT, wild)).status_code < 500


def test_a_vessel_is_added_at_the_step_that_lacks_it_before_the_recipe_is_saved(owner: Client) -> None:
    page = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="tub-open-0", steps=[STEP], loss="4"))
    assert 'name="tub-height_cm"' in page.content.decode()
    assert "Enter a name" not in page.content.decode(), "nothing is refused before it was entered"
    more = {"tub-row": "0"} | {f"tub-{name}": value for name, value in TUB.items()}
    half = recipe_form_data(LINES, do="tub-add", steps=[STEP], **more | {"tub-name": ""})
    page = owner.post(reverse("recipe-new"), half)
    assert "Enter a name" in page.content.decode()
    assert not Vessel.objects.exists()
    page = owner.post(reverse("recipe-new"), recipe_form_data(LINES, do="tub-add", steps=[STEP], loss="4", **more))
    vessel, shown = Vessel.objects.get(), page.content.decode()
    assert f'<option value="{vessel.pk}" selected>' in shown
    assert 'name="tub-name"' not in shown
    assert f"{vessel.name} is added." in shown
    assert "Row 0 added." not in shown
    assert re.search(r'<select[^>]*name="steps-0-vessel"[^>]*autofocus', shown), "the page stays at the step"
    assert 'value="Boil"' in shown
    saved = recipe_form_data(LINES, steps=[STEP | {"vessel": str(vessel.pk)}])
    assert owner.post(reverse("recipe-new"), saved).status_code == 302


@pytest.mark.parametrize("do", ["tub-open-x", "tub-open-99999", "tub-open-", "tub-add", "tub-close"])
def test_no_button_of_a_missing_vessel_breaks_the_page(owner: Client, do: str) -> None:
    data = recipe_form_data(LINES, do=do, steps=[STEP], **{"tub-row": "x"})
    assert owner.post(reverse("recipe-new"), data).status_code == 200
    assert not Vessel.objects.exists()


def test_a_length_in_inches_is_labeled_once_and_centimeters_say_that_inches_are_read(owner: Client) -> None:
    page = " ".join(re.sub(r"<[^>]+>", " ", owner.get(reverse("vessel-new")).content.decode()).split())
    assert "in in" not in page
    assert ", in " in page
    assert "Inches are read too" not in page
    Kitchen.objects.update(measures="metric")
    assert "Inches are read too" in owner.get(reverse("vessel-new")).content.decode()
