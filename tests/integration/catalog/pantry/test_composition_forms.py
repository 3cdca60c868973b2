"""What an ingredient consists of: the table's row it is matched with, the kitchen's own figures, its parts' rows."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.pantry.food_table import foods
from catalog.pantry.models import Ingredient
from catalog.recipes.models import Recipe, RecipeLine
from tests.factories import kitchen_make
from tests.integration.catalog.editor_forms import WILD
from tests.integration.catalog.kitchen_pages import rows, shows, signed_in, text
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
#: Rows of USDA SR28 by their NDB number.
CREAM, YOLK = "01053", "01125"
#: A supplier's specification, invented, in grams per 100 g: it adds up to 100.
STATED = {"water": "57.5", "protein": "2.2", "fat": "36", "carb": "3.8", "fibre": "0", "ash": "0.5"}


@pytest.fixture
def owner() -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    return signed_in()


def submitted(*parts: dict[str, str], stated: dict[str, str] | None = None, **facts: Any) -> dict[str, Any]:
    """Return an ingredient's form data."""
    base = {"name": "Quay cream", "base": "g", "charge": "used", "yield_share": "100", "active": "on", "ndb": ""}
    composition = {f"composition-{name}": share for name, share in (stated or {}).items()}
    return base | composition | rows("parts", *parts) | facts


def cream() -> Ingredient:
    return Ingredient.objects.get(name="Quay cream")


class TestTable:
    def test_a_row_is_chosen_for_its_composition_alone_and_nothing_else_is_filled(self, owner: Client) -> None:
        page = owner.post(reverse("ingredient-new"), submitted(use=f"{CREAM}|composition", source="weighed here"))
        assert page.context["form"]["ndb"].value() == CREAM
        assert page.context["form"]["density"].value() in (None, "")
        assert shows(page, "weighed here")
        assert not Ingredient.objects.filter(name="Quay cream").exists()

    def test_the_chosen_rows_six_figures_stand_beside_the_source(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted(ndb=CREAM))
        words = text(owner.get(reverse("ingredient", args=[cream().pk])))
        # USDA SR28 01053, cream, fluid, heavy whipping: water 57.81, protein 2.84, fat 36.08, ash 0.53 g in 100 g
        # (catalog/data/usda_sr28.csv).
        for figure in ("57.8", "2.8", "36.1", "0.5"):
            assert f"USDA: {figure}" in words
        assert (
            f"USDA food entry: {foods()[CREAM].source}. Its figures are used unless you enter your own, all six."
            in words
        )
        assert cream().composition == {}

    def test_a_row_can_be_taken_away_again(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted(ndb=CREAM))
        address = reverse("ingredient", args=[cream().pk])
        page = save_edit(owner, address, submitted(ndb=CREAM, use="none"))
        assert page.context["form"]["ndb"].value() == ""
        assert "No food entry is chosen." in text(page)
        save_edit(owner, address, submitted(ndb=""))
        assert cream().ndb == ""

    def test_without_a_row_the_page_says_what_to_do(self, owner: Client) -> None:
        assert "Choose one with “Use composition”, or enter all six." in text(owner.get(reverse("ingredient-new")))


class TestCounted:
    def test_what_is_only_counted_has_no_composition(self, owner: Client) -> None:
        box = Ingredient.objects.get(code="box")
        assert "Composition, % by weight" not in text(owner.get(reverse("ingredient", args=[box.pk])))
        assert "Composition, % by weight" in text(owner.get(reverse("ingredient-new")))


class TestStated:
    def test_the_kitchens_own_six_go_before_the_table_and_come_back_as_they_were_entered(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted(ndb=CREAM, stated=STATED | {"fat": "36.0%"}))
        assert cream().composition == STATED
        address = reverse("ingredient", args=[cream().pk])
        page = owner.get(address)
        assert f"USDA food entry: {foods()[CREAM].source}. Your own figures are used instead." in text(page)
        form = page.context["composition"]
        again = {bound.html_name: str(bound.field.prepare_value(bound.value())) for bound in form}
        assert again == {f"composition-{name}": share for name, share in STATED.items()}
        save_edit(owner, address, submitted(ndb=CREAM) | again)
        assert cream().composition == STATED

    def test_emptied_figures_leave_those_of_the_table(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted(ndb=CREAM, stated=STATED))
        save_edit(owner, reverse("ingredient", args=[cream().pk]), submitted(ndb=CREAM))
        assert cream().composition == {}

    def test_what_is_missing_is_named_at_its_field(self, owner: Client) -> None:
        page = owner.post(reverse("ingredient-new"), submitted(stated={**STATED, "fibre": "", "ash": ""}))
        words = text(page)
        assert "Enter the fiber, 0 for none; or clear all six." in words
        assert "Enter the ash (minerals), 0 for none; or clear all six." in words
        assert "Enter the fat," not in words
        assert shows(page, "57.5")
        assert not Ingredient.objects.filter(name="Quay cream").exists()

    @pytest.mark.parametrize(
        ("name", "share", "sentence"),
        [
            ("fat", "lots", "Write the fat as a number, such as 2.8."),
            ("carb", "-1", "The carbohydrate without fiber must be 0 or more."),
            ("water", "101", "The water must be 100 or less."),
            ("water", "47.4", "The six add up to 89.9% and should make about 100%."),
            ("water", "67.6", "The six add up to 110.1% and should make about 100%."),
        ],
    )
    def test_each_mistake_names_the_fix_and_what_was_entered_stays(
        self, owner: Client, name: str, share: str, sentence: str
    ) -> None:
        page = owner.post(reverse("ingredient-new"), submitted(stated=STATED | {name: share}))
        assert sentence in text(page)
        assert shows(page, share)
        assert shows(page, "2.2")
        assert not Ingredient.objects.filter(name="Quay cream").exists()

    @pytest.mark.parametrize("water", ["47.5", "67.5"])
    def test_sums_from_90_to_110_are_accepted(self, owner: Client, water: str) -> None:
        owner.post(reverse("ingredient-new"), submitted(stated=STATED | {"water": water}))
        assert cream().composition["water"] == water

    @pytest.mark.parametrize("wild", WILD)
    def test_no_value_breaks_the_page(self, owner: Client, wild: str) -> None:
        form_data = submitted({"code": wild, "share": wild, "ndb": wild}, stated=dict.fromkeys(STATED, wild), ndb=wild)
        assert owner.post(reverse("ingredient-new"), form_data).status_code < 500
        assert owner.post(reverse("ingredient-new"), form_data | {"use": wild}).status_code < 500


class TestParts:
    def test_a_part_is_offered_rows_by_its_own_and_the_ingredients_name_and_keeps_the_one_chosen(
        self, owner: Client
    ) -> None:
        part = {"code": "yolk", "share": "30"}
        page = owner.post(reverse("ingredient-new"), submitted(part, name="Eggs", use=""))
        offered = dict(page.context["parts"].forms[0].fields["ndb"].choices)
        assert "yolk" in offered[YOLK]
        assert next(iter(offered)) == ""
        owner.post(reverse("ingredient-new"), submitted(part | {"ndb": YOLK}, name="Eggs"))
        eggs = Ingredient.objects.filter(name="Eggs").latest("pk")
        assert eggs.parts.get().ndb == YOLK
        page = owner.get(reverse("ingredient", args=[eggs.pk]))
        assert f'<option value="{YOLK}" selected>' in page.content.decode()

    def test_a_part_needs_no_row(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted({"code": "yolk", "share": "30", "ndb": ""}, name="Eggs"))
        assert Ingredient.objects.filter(name="Eggs").latest("pk").parts.get().ndb == ""

    def test_a_row_without_a_part_asks_for_its_name(self, owner: Client) -> None:
        page = owner.post(reverse("ingredient-new"), submitted({"code": "", "share": "", "ndb": YOLK}, name="Eggs"))
        assert "Part 1: Enter the part's name, such as juice." in text(page)
        assert f'<option value="{YOLK}" selected>' in page.content.decode()

    def test_a_row_that_is_no_number_is_refused(self, owner: Client) -> None:
        page = owner.post(reverse("ingredient-new"), submitted({"code": "yolk", "share": "30", "ndb": "yolk"}))
        assert "Choose the part’s USDA food entry from the list." in text(page)

    def test_a_row_the_table_does_not_have_stays(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted({"code": "yolk", "share": "30", "ndb": "99999"}))
        page = owner.get(reverse("ingredient", args=[cream().pk]))
        assert "99999, which is not in this table" in text(page)

    def test_recipes_still_use_the_part(self, owner: Client) -> None:
        owner.post(reverse("ingredient-new"), submitted({"code": "yolk", "share": "30"}))
        part = cream().parts.get()
        line = RecipeLine.objects.create(
            recipe=Recipe.objects.get(code="paste"), ingredient=cream(), part=part, amount="1 kg"
        )
        save_edit(
            owner, reverse("ingredient", args=[cream().pk]), submitted({"code": "yolk", "share": "30", "ndb": YOLK})
        )
        line.refresh_from_db()
        assert line.part == cream().parts.get()
