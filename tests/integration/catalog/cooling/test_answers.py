"""All that is missing of how a recipe cools stands in one list and is answered in one save."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.questions import recipe_questions
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import PageForm, forms_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def custard(db: None) -> Recipe:
    """A custard that is boiled twice; nothing states how it cools, and the kitchen has one pan."""
    cooling_kitchen_make()
    found = Recipe.objects.get(code="custard")
    found.steps.all().delete()
    for place, name in enumerate(("Boil", "Boil again")):
        RecipeStep.objects.create(recipe=found, position=place, name=name, kind="cook")
    Recipe.objects.filter(pk=found.pk).update(never_hot=False, never_hot_reason="", shelf_stable=False)
    Vessel.objects.create(name="Pan", kind="hotel pan", length_cm=50, width_cm=30, height_cm=6, owned=3)
    catalog_changed()
    return found


@pytest.fixture
def owner() -> Client:
    """The kitchen's owner, signed in."""
    return signed_in()


def asked(custard: Recipe) -> list[tuple[str, int | None]]:
    return [(one.asks, one.step) for one in recipe_questions(custard.code, book_current())]


def form_of(page: Any) -> PageForm:
    return next(form for form in forms_of(page) if "mark" in form.fields)


def answer(owner: Client, custard: Recipe, **entered: Any) -> Any:
    address = reverse("recipe-answers", args=[custard.pk])
    return owner.post(address, form_of(owner.get(address)).data(**entered))


def _answers() -> dict[str, str]:
    pan, cold = Vessel.objects.get(name="Pan"), Station.objects.get(code="cold-room")
    leaves = {"steps-1-leaves_c": "180", "steps-1-vessel": str(pan.pk)}
    return leaves | {"steps-2-station": str(cold.pk), "steps-2-minutes": "1 day"}


def test_every_question_is_in_the_list_at_once(custard: Recipe, owner: Client) -> None:
    assert asked(custard) == [("leaves", 1), ("chill", 1)]
    page = text(owner.get(reverse("recipe-answers", args=[custard.pk])))
    assert "2 questions are open" in page
    assert "“Boil again” makes it hot, and what it cools in is not stated." in page
    assert "No chill step follows “Boil again”." in page


def test_a_products_page_lists_each_of_its_recipes_with_open_questions(custard: Recipe, owner: Client) -> None:
    product = Product.objects.get(code="custard-tart")
    page = owner.get(reverse("product-cooling", args=[product.pk])).content.decode()
    assert f'<a href="{reverse("recipe-answers", args=[custard.pk])}">{custard.name}</a>' in page


def test_the_list_of_recipes_says_which_of_them_stop_quotes(custard: Recipe, owner: Client) -> None:
    Recipe.objects.exclude(pk=custard.pk).update(never_hot=True, never_hot_reason="Pasteurized, stirred cold, no heat")
    catalog_changed()
    page = text(owner.get(reverse("recipes")))
    assert "Stops quotes Cooling : “Boil again” makes it hot, and what it cools in is not stated." in page


def test_all_of_them_are_answered_in_one_save_and_nothing_else_changes(custard: Recipe, owner: Client) -> None:
    lines = list(custard.lines.values_list("amount", "ingredient", "part", "component"))
    assert answer(owner, custard, **_answers()).status_code == 302
    steps = list(custard.steps.values_list("name", "kind", "leaves_c", "vessel__name", "station__code", "minutes"))
    assert [step[:2] for step in steps] == [("Boil", "cook"), ("Boil again", "cook"), ("Chill", "chill")]
    assert (steps[1][3], steps[2][4:]) == ("Pan", ("cold-room", Decimal(1440)))
    assert list(custard.lines.values_list("amount", "ingredient", "part", "component")) == lines
    assert asked(custard) == []


def test_a_vessel_that_is_missing_is_added_in_the_same_save(custard: Recipe, owner: Client) -> None:
    size = {"tub-name": "Tub", "tub-length_cm": "10 in", "tub-width_cm": "6 in", "tub-height_cm": "2 in"}
    assert answer(owner, custard, **(_answers() | {"steps-1-vessel": ""} | size)).status_code == 302
    assert custard.steps.get(position=1).vessel == Vessel.objects.get(name="Tub")


def test_what_is_left_open_is_named_and_what_was_entered_stays(custard: Recipe, owner: Client) -> None:
    page = answer(owner, custard, **(_answers() | {"steps-1-vessel": "", "steps-2-station": ""}))
    assert page.status_code == 422
    assert text(page).count("Answer this too, so that its cooling is known.") == 4, "in the summary and at the fields"
    assert form_of(page).fields["steps-1-leaves_c"] == ["180"]
    assert custard.steps.count() == 2


def test_what_is_used_warm_needs_no_vessel_and_no_chill_step(custard: Recipe, owner: Client) -> None:
    entered = {"steps-1-leaves_c": "180", "steps-1-vessel": "", "steps-1-hold_max": "30 min", "steps-2-station": ""}
    assert answer(owner, custard, **entered).status_code == 302
    assert custard.steps.count() == 2
    assert asked(custard) == []


def test_that_it_is_safe_at_room_temperature_answers_all_of_it(custard: Recipe, owner: Client) -> None:
    source = "Process authority, Prof. Lindqvist, product assessment of March 3, 2026: water activity 0.80"
    safe = {"shelf_stable": "on", "shelf_stable_source": source}
    assert answer(owner, custard, **safe).status_code == 302
    custard.refresh_from_db()
    assert (custard.shelf_stable, custard.steps.count(), asked(custard)) == (True, 2, [])


def test_a_stay_in_the_cold_without_its_time_is_asked_for_it(custard: Recipe, owner: Client) -> None:
    cold = Station.objects.get(code="cold-room")
    RecipeStep.objects.create(recipe=custard, position=5, name="In the cold", kind="chill", station=cold)
    catalog_changed()
    assert asked(custard) == [("leaves", 1), ("time", 2)]
    entered = {"steps-1-leaves_c": "180", "steps-1-vessel": str(Vessel.objects.get(name="Pan").pk)}
    assert "Answer this too" in text(answer(owner, custard, **entered))
    assert answer(owner, custard, **(entered | {"steps-2-minutes": "12 h"})).status_code == 302
    assert (custard.steps.count(), asked(custard)) == (3, [])


def test_that_it_is_never_hot_answers_all_of_it(custard: Recipe, owner: Client) -> None:
    custard.steps.all().delete()
    RecipeStep.objects.create(recipe=custard, position=0, name="Get it together", kind="mix")
    RecipeStep.objects.create(recipe=custard, position=1, name="In the cold", kind="chill", minutes=60)
    catalog_changed()
    assert asked(custard)[0] == ("heat", 0)
    reason = "Pasteurized yolks, and a starch that swells cold"
    assert answer(owner, custard, never_hot="on", never_hot_reason=reason).status_code == 302
    custard.refresh_from_db()
    assert (custard.never_hot, custard.steps.count()) == (True, 2)


def test_a_recipe_that_was_changed_meanwhile_is_not_written_over(custard: Recipe, owner: Client) -> None:
    address = reverse("recipe-answers", args=[custard.pk])
    sent = form_of(owner.get(address)).data(**_answers())
    custard.steps.filter(position=0).update(name="Scald")
    assert owner.post(address, sent).status_code == 302
    assert "was changed meanwhile" in text(owner.get(address))
    assert custard.steps.count() == 2
