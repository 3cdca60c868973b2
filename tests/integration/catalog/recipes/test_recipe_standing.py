"""What a hot batch stands in: entered at a recipe's step, shown, kept, and refused in words."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from catalog.recipes.services import recipe_copy
from catalog.vessels.models import Vessel
from tests.factories import BY, NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.cooling.test_cooling_forms import editor_submitted
from tests.integration.catalog.editor_forms import WILD, product_form_data, recipe_form_data
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
SUGAR = [("1 kg", "Granulated sugar")]


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in, and a tub."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    Vessel.objects.create(name="Tub", length_cm=Decimal(25), width_cm=Decimal(16), height_cm=Decimal(6), wall="plastic")
    return client


def boiled(**more: str) -> dict[str, str]:
    """A step that leaves hot, and how it then stands."""
    tub = str(Vessel.objects.get().pk)
    hot = {"name": "Boil", "kind": "cook", "minutes": "12", "leaves_c": "185", "vessel": tub, "vessels": "2"}
    return hot | {"depth_cm": "2 in", "ice_bath": "on", "stir_min": "10 min"} | more


def test_a_step_that_leaves_hot_keeps_what_it_stands_in_and_saving_again_changes_nothing(owner: Client) -> None:
    owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[boiled()]))
    recipe = Recipe.objects.get(name="Nib brittle")
    step = recipe.steps.get()
    found = (step.leaves_c, str(step.vessel), step.vessels, step.depth_cm, step.ice_bath, step.stir_min)
    assert found == (Decimal(85), "Tub", 2, Decimal("5.08"), True, Decimal(10))
    page = page_text(owner.get(reverse("recipe", args=[recipe.pk])))
    assert "Core temperature at the end of the step: 185 °F. " in page
    assert "Then in Tub, at most 2 in deep × 2. First in an ice bath, stirred" in page
    address = reverse("recipe-edit", args=[recipe.pk])
    assert save_edit(owner, address, editor_submitted(owner, address)).status_code == 302
    (again,) = recipe.steps.values_list("leaves_c", "vessel__name", "vessels", "depth_cm", "ice_bath", "stir_min")
    assert again == found
    copy = recipe_copy(recipe_id=recipe.pk, name="Copied", by=BY, at=NOW)
    (written,) = book_current().recipe(copy.code).steps
    assert (written.vessel, written.vessels, written.stir_min) == ("Tub", 2, 10)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"bath_to_c": "70"}, "First in an ice bath until its core is at 70 °F, stirred every 10 min."),
        ({"bath_to_c": "41"}, "First in an ice bath until its core is at 41 °F, stirred every 10 min."),
        ({"bath_min": "45 min"}, "First in an ice bath for 45 min, stirred every 10 min."),
    ],
)
def test_the_end_of_an_ice_bath_is_kept_and_saving_again_changes_nothing(
    owner: Client, more: dict[str, str], words: str
) -> None:
    chill = {"name": "Chill", "kind": "chill", "minutes": "4 h"}
    owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[boiled(**more), chill]))
    recipe = Recipe.objects.get(name="Nib brittle")
    found = recipe.steps.values_list("bath_to_c", "bath_min")
    before = list(found)
    assert words in page_text(owner.get(reverse("recipe", args=[recipe.pk])))
    address = reverse("recipe-edit", args=[recipe.pk])
    assert save_edit(owner, address, editor_submitted(owner, address)).status_code == 302
    assert list(found.all()) == before
    copy = recipe_copy(recipe_id=recipe.pk, name="Copied", by=BY, at=NOW)
    written = book_current().recipe(copy.code).steps[0]
    assert (written.bath_to_c, written.bath_min) == before[0]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"leaves_c": ""}, "Enter how warm it leaves, or clear its vessel and ice bath."),
        ({"leaves_c": "900"}, "The temperature it leaves at must be from 23 to 302 °F."),
        ({"kind": "chill"}, "In this step it waits and cools."),
        ({"vessel": ""}, "Choose the vessel, or clear how many there are and how deep."),
        ({"vessel": "99999"}, "Choose the vessel from the list."),
        ({"vessels": "0"}, "How many vessels must be 1 or more."),
        ({"vessels": "2.5"}, "Write how many vessels as a whole number, such as 2."),
        ({"depth_cm": "0"}, "The depth must be more than 0."),
        ({"ice_bath": ""}, "Check the ice bath, or clear how often it is stirred."),
        ({"stir_min": "0"}, "Enter a time from 1 to 30 min, or clear it: less often counts as unstirred."),
        (
            {"bath_to_c": "70", "ice_bath": "", "stir_min": ""},
            "Check the ice bath, or clear its end.",
        ),
        (
            {"bath_to_c": "70", "bath_min": "45 min"},
            "Enter the temperature or the time at the end of the ice bath, not both.",
        ),
        ({"bath_to_c": "32"}, "The temperature at the end of the ice bath must be from 37.4 to 140 °F."),
        (
            {"bath_to_c": "120", "leaves_c": "110"},
            "It leaves the step no warmer than this. Enter a colder temperature.",
        ),
        ({"bath_min": "2 days"}, "Enter a time from 1 min to 24 h, or clear it."),
        ({"stir_min": "often"}, "Write the time between two stirrings as 45 min, 1 h 30 min or 2 days."),
    ],
)
def test_each_mistake_gets_a_sentence_that_names_the_fix_and_keeps_the_rest(
    owner: Client, more: dict[str, str], sentence: str
) -> None:
    page = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[boiled(**more)]))
    assert page.status_code == 422
    assert f"Step 1: {sentence}" in page_text(page)
    step = page.context["editor"].steps.forms[0]
    saved = boiled(**more)
    assert all(str(step[name].value() or "") == saved[name] for name in saved if name != "ice_bath")
    assert not Recipe.objects.filter(name="Nib brittle").exists()


def test_a_vessel_deleted_meanwhile_is_reported_and_nothing_is_lost(owner: Client) -> None:
    steps = [boiled()]
    Vessel.objects.all().delete()
    page = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=steps))
    assert "Choose the vessel from the list." in page_text(page)


@pytest.mark.parametrize("wild", WILD)
def test_no_value_breaks_the_editor(owner: Client, wild: str) -> None:
    step = dict.fromkeys(boiled(), wild)
    assert owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[step])).status_code < 500


def takes(name: str, kind: str, *codes: str, **more: str) -> dict[str, Any]:
    """A step of a product and what goes in at it."""
    return {"name": name, "kind": kind, "minutes": "30", "takes": list(codes), **more}


def walnut(owner: Client, *steps: dict[str, Any]) -> Any:
    """Send a product of two recipes with these steps."""
    pks = [str(Recipe.objects.get(code=code).pk) for code in ("custard", "paste")]
    fills = [{"recipe": pk, "amount": "100 g"} for pk in pks]
    Kitchen.objects.update(degrees="C")
    tax = str(Product.objects.get(code="custard-tart").tax_id)
    return owner.post(reverse("product-new"), product_form_data(fills, steps=list(steps), tax=tax))


class TestWhatGoesInAtAStep:
    def test_it_is_kept_and_saving_again_changes_nothing(self, owner: Client) -> None:
        baked, filled = takes("Bake", "bake", "paste"), takes("Fill", "fill", "custard", takes_c="5", takes_as="layer")
        assert walnut(owner, baked, filled).status_code == 302
        product = Product.objects.get(name="Walnut round")
        saved = list(product.steps.values_list("takes", "takes_c", "takes_as"))
        assert saved == [(["paste"], None, "mixed"), (["custard"], Decimal(5), "layer")]
        address = reverse("product-edit", args=[product.pk])
        assert save_edit(owner, address, editor_submitted(owner, address)).status_code == 302
        assert list(product.steps.values_list("takes", "takes_c", "takes_as")) == saved
        assert [step.takes for step in book_current().product(product.code).steps] == [("paste",), ("custard",)]

    def test_a_component_goes_in_once(self, owner: Client) -> None:
        page = walnut(owner, takes("Bake", "bake", "paste", "custard"), takes("Fill", "fill", "custard"))
        name = Recipe.objects.get(code="custard").name
        assert page.status_code == 422
        assert f"Step 2: {name} already goes in at an earlier step. Check it at one step only." in page_text(page)

    def test_only_what_is_in_the_product_can_go_in(self, owner: Client) -> None:
        page = walnut(owner, takes("Bake", "bake", "gravel"))
        assert "Step 1: Choose from what goes into this product." in page_text(page)

    def test_how_warm_needs_what(self, owner: Client) -> None:
        page = walnut(owner, takes("Bake", "bake", takes_c="5"))
        assert "Step 1: Check what goes in at this step, or clear its temperature." in page_text(page)

    def test_how_it_goes_on_what_is_there_is_asked_and_never_taken_as_mixed(self, owner: Client) -> None:
        baked = takes("Bake", "bake", "paste")
        page = walnut(owner, baked, takes("Fill", "fill", "custard", takes_c="5"))
        assert page.status_code == 422
        assert "Step 2: Choose how it goes on. Only what is poured or stirred in mixes." in page_text(page)
        assert walnut(owner, baked, takes("Fill", "fill", "custard", takes_c="5", takes_as="mixed")).status_code == 302

    def test_a_step_left_empty_is_no_step(self, owner: Client) -> None:
        assert walnut(owner, {"name": "", "takes_as": ""}).status_code == 302
        assert not Product.objects.get(name="Walnut round").steps.exists()


@pytest.mark.parametrize(
    ("minutes", "leaves", "asked"), [("50", "105", True), ("10", "105", False), ("50", "140", False)]
)
def test_what_leaves_the_oven_cooler_than_hot_food_is_asked_about(
    owner: Client, minutes: str, leaves: str, *, asked: bool
) -> None:
    Kitchen.objects.update(degrees="F")
    step = {"name": "Bake", "kind": "bake", "temperature_c": "285", "minutes": minutes}
    words = "in the oven the middle is usually hotter than 135 °F. Was it measured? If it is right, enter 105 °F."
    answer = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[step | {"leaves_c": leaves}]))
    assert (words in page_text(answer)) is asked
    if asked:
        answer = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[step | {"leaves_c": f"{leaves} °F"}]))
        assert words not in page_text(answer)


@pytest.mark.parametrize(
    ("degrees", "field", "odd", "asked", "meant"),
    [
        ("F", "leaves_c", "85", "Is this in °C? Then enter 85 °C.", "85 °C"),
        ("F", "leaves_c", "41.5", "A step that heats is warmer than 104 °F.", "41.5 °F"),
        ("F", "temperature_c", "85", "If it is right, enter 85 °F.", "85 °F"),
        ("C", "temperature_c", "350", "Is this in °F? Then enter 350 °F.", "350 °C"),
    ],
)
def test_a_temperature_that_is_likely_in_the_other_unit_is_asked_about_and_stays_where_the_unit_is_written(
    owner: Client, degrees: str, field: str, odd: str, asked: str, meant: str
) -> None:
    Kitchen.objects.update(degrees=degrees)
    plain = {"name": "Boil", "kind": "cook", "minutes": "12"}
    answer = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[plain | {field: odd}]))
    assert asked in page_text(answer)
    assert f'value="{odd}"' in answer.content.decode()
    assert not Recipe.objects.filter(name="Nib brittle").exists()
    answer = owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[plain | {field: meant}]))
    assert answer.status_code == 302
    # What was kept is not asked about again.
    address = reverse("recipe-edit", args=[Recipe.objects.get(name="Nib brittle").pk])
    assert save_edit(owner, address, editor_submitted(owner, address)).status_code == 302


def test_a_lid_that_is_on_while_it_cools_is_kept_shown_and_in_the_book(owner: Client) -> None:
    owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[boiled(covered="on")]))
    recipe = Recipe.objects.get(name="Nib brittle")
    assert "Then in Tub, at most 2 in deep × 2, with its lid on. First in an ice bath" in page_text(
        owner.get(reverse("recipe", args=[recipe.pk]))
    )
    address = reverse("recipe-edit", args=[recipe.pk])
    assert save_edit(owner, address, editor_submitted(owner, address)).status_code == 302
    assert recipe.steps.get().covered
    assert book_current().recipe(recipe.code).steps[0].covered


def test_a_lid_needs_a_vessel(owner: Client) -> None:
    step = boiled(covered="on", vessel="", vessels="", depth_cm="")
    page = page_text(owner.post(reverse("recipe-new"), recipe_form_data(SUGAR, steps=[step])))
    assert "Choose the vessel, or clear that its lid is on." in page
