"""Recipe pages: editing, live costs, reordering rows, copying, archiving, deleting, and access."""

import html
import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.selectors import recipe_list
from catalog.web.access import BOOKKEEPER, KITCHEN
from tests.factories import NOW, PASSWORD, kitchen_make, user_make
from tests.integration.catalog.editor_forms import WILD, recipe_form_data

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def signed_in(role: str) -> Client:
    """Somebody of another role."""
    user_make(role, role)
    client = Client()
    client.login(username=role, password=PASSWORD)
    return client


def page_text(response: HttpResponse | Any) -> str:
    """The page's text as people read it."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())))


class TestWriting:
    def test_a_recipe_is_saved_as_it_was_entered(self, owner: Client) -> None:
        pastry = Role.objects.get(code="pastry")
        step = {"name": "Boil", "kind": "cook", "role": str(pastry.pk), "hands_fixed": "12", "temperature_c": "310"}
        wait = {"name": "Cool", "kind": "rest", "minutes": "1 h 30 min", "hold_max": "2 days"}
        form_data = recipe_form_data(
            [("1 1/2 Cups", "granulated SUGAR"), ("½ lb.", "Walnut pieces"), ("", ""), ("250g", "Baked custard")],
            loss="4%",
            batch_limit="6 kg",
            steps=[step, wait],
        )
        response = owner.post(reverse("recipe-new"), form_data)
        recipe = Recipe.objects.get(name="Nib brittle")
        assert response.status_code == 302
        assert response["Location"] == reverse("recipe", args=[recipe.pk])
        lines = [(line.amount, str(line.ingredient or line.component)) for line in recipe.lines.all()]
        assert lines == [
            ("1 1/2 cup", "Granulated sugar"),
            ("½ lb", "Walnut pieces"),
            ("250 g", "Baked custard"),
        ]
        assert (recipe.code, recipe.loss, recipe.batch_limit) == ("nib-brittle", Decimal("0.04"), "6 kg")
        boil, cool = recipe.steps.all()
        assert boil.temperature_c is not None
        assert round(boil.temperature_c, 3) == Decimal("154.444")
        assert (cool.minutes, cool.hold_max) == (Decimal(90), Decimal(2880))

    def test_saving_increments_the_books_revision(self, owner: Client) -> None:
        before = Kitchen.objects.get(pk=1).revision
        owner.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")]))
        assert Kitchen.objects.get(pk=1).revision > before

    def test_what_was_saved_stays_the_same_when_saved_again(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        address = reverse("recipe-edit", args=[recipe.pk])
        before = list(recipe.lines.values_list("amount", "ingredient", "part", "component"))
        steps = list(recipe.steps.values_list("name", "kind", "hands_fixed", "hands_each"))
        editor = owner.get(address).context["editor"]
        form_data: dict[str, Any] = {"do": "save"}
        for form in (editor.form, *editor.lines.forms, *editor.steps.forms):
            form_data |= {bound.html_name: str(bound.value() or "") for bound in form}
        form_data |= {f"{rows.prefix}-TOTAL_FORMS": str(len(rows.forms)) for rows in (editor.lines, editor.steps)}
        form_data |= {f"{rows.prefix}-INITIAL_FORMS": "0" for rows in (editor.lines, editor.steps)}
        assert owner.post(address, form_data).status_code == 302
        assert list(recipe.lines.values_list("amount", "ingredient", "part", "component")) == before
        assert list(recipe.steps.values_list("name", "kind", "hands_fixed", "hands_each")) == steps

    def test_a_line_without_density_is_refused_on_its_line_and_nothing_entered_is_lost(self, owner: Client) -> None:
        Ingredient.objects.filter(code="walnut").update(density=None)
        form_data = recipe_form_data([("2 kg", "Granulated sugar"), ("3 cups", "walnut pieces")], note="Stir slowly.")
        response = owner.post(reverse("recipe-new"), form_data)
        assert response.status_code == 422
        page = response.content.decode()
        assert "No density for Walnut pieces: a cup cannot be weighed." in html.unescape(page)
        assert "<title>Error: " in page
        for shown in ('value="3 cups"', 'value="walnut pieces"', 'value="2 kg"', "Stir slowly.", 'value="Nib brittle"'):
            assert shown in page
        assert 'href="#id_lines-1-amount"' in page
        assert not Recipe.objects.filter(name="Nib brittle").exists()

    def test_a_misspelt_name_is_refused_with_the_nearest_ones(self, owner: Client) -> None:
        text = page_text(owner.post(reverse("recipe-new"), recipe_form_data([("200 g", "Wallnut")])))
        assert (
            "“Wallnut” is not one of your ingredients or recipes. Did you mean Walnut pieces or Walnut sponge?" in text
        )

    def test_a_recipe_that_would_need_itself_is_refused_with_the_loop(self, owner: Client) -> None:
        paste = Recipe.objects.get(code="paste")
        form_data = recipe_form_data([("100 g", "Sweet paste")], name="Sweet paste")
        response = owner.post(reverse("recipe-edit", args=[paste.pk]), form_data)
        assert response.status_code == 422
        assert "Sweet paste needs itself: Sweet paste → Sweet paste" in page_text(response)

    @pytest.mark.parametrize(
        ("form_data", "sentence"),
        [
            (recipe_form_data([("1 kg", "")]), "Enter an ingredient or a recipe, or remove the line."),
            (recipe_form_data([("", "Granulated sugar")]), "Enter an amount, such as 250 g."),
            (recipe_form_data([]), "Add at least one line: an amount, and an ingredient or a recipe."),
            (recipe_form_data([("1 kg", "Granulated sugar")], name=""), "Enter a name, such as Lemon cream."),
            (recipe_form_data([("1 kg", "Granulated sugar")], loss="120"), "The loss must be 99 or less."),
            (recipe_form_data([("1 kg", "Granulated sugar")], batch_limit="2 cups"), "is not a weight"),
            (recipe_form_data([("1 kg", "Tart box")]), "Tart box is only counted and cannot go into a recipe."),
            (recipe_form_data([("3 furlongs", "Granulated sugar")]), "“furlongs” is not a unit this kitchen knows."),
            (
                recipe_form_data([("1 kg", "Granulated sugar")], steps=[{"name": "Stir", "hands_fixed": "5"}]),
                "Choose who does this labor",
            ),
            (
                recipe_form_data([("1 kg", "Granulated sugar")], steps=[{"name": "Rest", "minutes": "a while"}]),
                "Write the total time as 45 min, 1 h 30 min or 2 days.",
            ),
        ],
    )
    def test_each_mistake_gets_a_sentence_that_names_the_fix(
        self, owner: Client, form_data: dict[str, Any], sentence: str
    ) -> None:
        response = owner.post(reverse("recipe-new"), form_data)
        assert response.status_code == 422
        assert sentence in page_text(response)

    def test_somebody_elses_change_is_not_overwritten(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="custard")
        address = reverse("recipe-edit", args=[recipe.pk])
        mark = owner.get(address).context["edit"].version
        form_data = recipe_form_data([("1 kg", "Granulated sugar")], name="Baked custard", version=mark)
        assert owner.post(address, form_data).status_code == 302
        response = owner.post(address, form_data | {"note": "my change"})
        assert response.status_code == 409
        assert "It was changed elsewhere while you had it open" in page_text(response)
        assert "my change" in page_text(response)

    def test_what_is_set_aside_is_not_offered_but_can_still_be_written(self, owner: Client) -> None:
        Ingredient.objects.filter(code="quince").update(active=False)
        Recipe.objects.filter(code="custard").update(active=False)
        page = owner.get(reverse("recipe-new")).content.decode()
        assert '<option value="Granulated sugar">' in page
        for name in ("Quinces", "Baked custard", "Tart box"):
            assert f'<option value="{name}">' not in page
        lines = [("1 kg", "Quinces"), ("100 g", "Baked custard")]
        assert owner.post(reverse("recipe-new"), recipe_form_data(lines)).status_code == 302


class TestCostingWhileTyping:
    def test_figures_come_back_for_each_line_and_nothing_is_saved(self, owner: Client) -> None:
        count = Recipe.objects.count()
        form_data = recipe_form_data([("500 g", "Granulated sugar"), ("1 cup", "Sugr"), ("", "")], do="")
        response = owner.post(reverse("recipe-figures-new"), form_data, headers={"HX-Request": "true"})
        page = response.content.decode()
        assert re.search(r'id="lines-0-figures" hx-swap-oob="true"><span>1\.1.{1,6}lb</span><span>\$0\.99', page)
        assert "The cost is not complete." in page
        assert "“Sugr” is not one of your ingredients or recipes. Did you mean Granulated sugar?" in html.unescape(page)
        assert Recipe.objects.count() == count

    def test_a_half_written_line_shows_no_error(self, owner: Client) -> None:
        response = owner.post(reverse("recipe-figures-new"), recipe_form_data([("500 g", ""), ("", "Gran")], do=""))
        assert "Enter an amount" not in page_text(response)
        assert "Enter an ingredient" not in page_text(response)

    def test_the_recipe_being_changed_stands_in_the_book_with_its_new_lines(self, owner: Client) -> None:
        custard = Recipe.objects.get(code="custard")
        form_data = recipe_form_data([("100 g", "Baked custard")], do="", name="Baked custard")
        response = owner.post(reverse("recipe-figures", args=[custard.pk]), form_data)
        assert "Baked custard needs itself" in page_text(response)

    def test_it_costs_a_fixed_number_of_queries_once_the_book_is_known(
        self,
        owner: Client,
        django_assert_max_num_queries: DjangoAssertNumQueries,
        django_capture_on_commit_callbacks: Any,
    ) -> None:
        lines = [("10 g", "Granulated sugar")] * 60
        with django_capture_on_commit_callbacks(execute=True):
            book_current()
        with django_assert_max_num_queries(12):
            owner.post(reverse("recipe-figures-new"), recipe_form_data(lines, do=""))


class TestRows:
    def test_rows_move_without_script_and_nothing_entered_is_lost(self, owner: Client) -> None:
        form_data = recipe_form_data(
            [("1 kg", "first"), ("2 kg", "second"), ("3 kg", "third")], do="lines-up-2", note="kept"
        )
        response = owner.post(reverse("recipe-new"), form_data)
        assert response.status_code == 200
        editor = response.context["editor"]
        assert [form["what"].value() for form in editor.lines.forms] == ["first", "third", "second"]
        assert editor.form["note"].value() == "kept"
        assert "Line 3 is now number 2." in page_text(response)

    @pytest.mark.parametrize(
        ("do", "expected"),
        [
            ("lines-down-0", ["b", "a"]),
            ("lines-up-0", ["a", "b"]),
            ("lines-down-1", ["a", "b"]),
            ("lines-remove-0", ["b"]),
            ("lines-remove-99", ["a", "b"]),
            ("lines-add", ["a", "b", None]),
            ("lines-explode-1", ["a", "b"]),
            ("other-up-1", ["a", "b"]),
            ("work-out", ["a", "b"]),
        ],
    )
    def test_each_button_does_what_it_says(self, owner: Client, do: str, expected: list[str | None]) -> None:
        response = owner.post(reverse("recipe-new"), recipe_form_data([("1 g", "a"), ("2 g", "b")], do=do))
        assert response.status_code == 200
        assert [form["what"].value() for form in response.context["editor"].lines.forms] == expected

    def test_an_added_step_left_empty_is_passed_over(self, owner: Client) -> None:
        form_data = recipe_form_data([("1 kg", "Granulated sugar")], steps=[{"kind": "", "name": ""}])
        owner.post(reverse("recipe-new"), form_data)
        assert Recipe.objects.get(name="Nib brittle").steps.count() == 0


class TestPages:
    def test_the_page_shows_both_measures_costs_loss_and_where_it_goes(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        text = page_text(owner.get(reverse("recipe", args=[recipe.pk])))
        for words in ("9 cups", "1 ½ lb", "Loss, 5.0%", "per lb", "Custard tart, 10 cm"):
            assert words in text

    def test_a_recipe_that_cannot_be_worked_out_still_opens_with_the_reason_on_the_line(self, owner: Client) -> None:
        Ingredient.objects.filter(code="flour").update(density=None)
        recipe = Recipe.objects.get(code="paste")
        for name in ("recipe", "recipe-edit"):
            assert "No density for Pastry flour" in page_text(owner.get(reverse(name, args=[recipe.pk])))
        assert "No density for Pastry flour" in page_text(owner.get(reverse("recipes")))
        assert owner.get(reverse("recipe-scale", args=[recipe.pk]) + "?amount=3+kg").status_code == 200

    def test_the_list_finds_by_name_and_keeps_those_set_aside_apart(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="quince")
        owner.post(reverse("recipe-use", args=[recipe.pk]), {"active": "no"})
        assert [row.recipe.code for row in owner.get(reverse("recipes")).context["aside"]] == ["quince"]
        for page in (reverse("recipes"), reverse("recipe", args=[recipe.pk])):
            assert f'aria-label="Restore {recipe.name}"' in owner.get(page).content.decode()
        found = owner.get(reverse("recipes"), {"q": "PASTE"})
        assert [row.recipe.code for row in found.context["used"]] == ["paste"]

    def test_the_list_takes_the_same_queries_for_many_recipes(
        self, owner: Client, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        book_current()
        with CaptureQueriesContext(connection) as few:
            recipe_list(day=NOW.date())
        self._add_many()
        catalog_changed()
        book_current()
        with django_assert_num_queries(len(few)):
            found = recipe_list(day=NOW.date())
        assert len(found.used) == 50
        assert found.page.paginator.count == 155

    def _add_many(self) -> None:
        sugar = Ingredient.objects.get(code="sugar")
        recipes = Recipe.objects.bulk_create(Recipe(code=f"r{n:03}", name=f"Zest {n:03}") for n in range(150))
        RecipeLine.objects.bulk_create(RecipeLine(recipe=r, ingredient=sugar, amount="1 kg") for r in recipes)

    def test_a_long_list_has_pages_that_keep_the_search_and_archived_recipes_come_last(self, owner: Client) -> None:
        self._add_many()
        Recipe.objects.filter(code="r000").update(active=False)
        answer = owner.get(reverse("recipes"), {"q": "Zest"})
        assert "?q=Zest&amp;page=2" in answer.content.decode()
        first = page_text(answer)
        assert "Zest 001" in first
        assert "Zest 000" not in first
        last = page_text(owner.get(reverse("recipes"), {"q": "Zest", "page": "99"}))
        assert last.index("Zest 149") < last.index("Archived") < last.index("Zest 000")
        assert "No recipe" not in last

    def test_the_catalogs_front_says_what_stops_every_price(self, owner: Client) -> None:
        assert "Everything in the catalog can be priced" in page_text(owner.get(reverse("catalog")))
        Ingredient.objects.filter(code="flour").update(density=None)
        Kitchen.objects.filter(pk=1).update(revision=9_999)
        text = page_text(owner.get(reverse("catalog")))
        assert "1 problem stops every price" in text
        assert "Pastry flour" in text


class TestCopyAndDelete:
    def test_a_copy_has_everything_under_a_name_and_code_of_its_own(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        owner.post(reverse("recipe-copy", args=[recipe.pk]), {"name": "Sweet paste"})
        copy = Recipe.objects.get(code="sweet-paste")
        assert list(copy.lines.values_list("amount")) == list(recipe.lines.values_list("amount"))
        assert list(copy.steps.values_list("name")) == list(recipe.steps.values_list("name"))
        assert recipe.lines.count() == 4

    def test_a_copy_answers_anew_whether_it_is_safe_at_room_temperature(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        Recipe.objects.filter(pk=recipe.pk).update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
        owner.post(reverse("recipe-copy", args=[recipe.pk]), {"name": "Sweet paste"})
        copy = Recipe.objects.get(code="sweet-paste")
        assert (copy.shelf_stable, copy.shelf_stable_source) == (False, "")

    def test_a_recipe_in_use_is_not_deleted_and_its_users_are_named(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        response = owner.post(reverse("recipe-delete", args=[recipe.pk]))
        assert response.status_code == 409
        assert "Sweet paste is used by Custard tart, 10 cm" in page_text(response)
        assert "Archive recipe" in page_text(response)
        assert Recipe.objects.filter(pk=recipe.pk).exists()

    def test_a_recipe_nothing_uses_is_deleted_on_post_only(self, owner: Client) -> None:
        owner.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")]))
        recipe = Recipe.objects.get(name="Nib brittle")
        owner.get(reverse("recipe-delete", args=[recipe.pk]))
        assert Recipe.objects.filter(pk=recipe.pk).exists()
        owner.post(reverse("recipe-delete", args=[recipe.pk]))
        assert not Recipe.objects.filter(pk=recipe.pk).exists()


class TestWhoMay:
    def test_the_kitchen_reads_recipes_without_costs_and_writes_nothing(self, owner: Client) -> None:
        recipe = Recipe.objects.get(code="paste")
        cook = signed_in(KITCHEN)
        for name in ("recipe", "recipe-scale"):
            response = cook.get(reverse(name, args=[recipe.pk]))
            assert response.status_code == 200
            assert "$" not in page_text(response)
        assert "$" not in page_text(cook.get(reverse("recipes")))
        assert "What you buy" not in page_text(cook.get(reverse("catalog")))
        assert cook.get(reverse("recipe-edit", args=[recipe.pk])).status_code == 403
        assert cook.post(reverse("recipe-delete", args=[recipe.pk])).status_code == 403
        assert cook.post(reverse("recipe-figures-new"), {}).status_code == 403

    def test_the_bookkeeper_sees_no_recipe(self, owner: Client) -> None:
        books = signed_in(BOOKKEEPER)
        assert books.get(reverse("recipes")).status_code == 403


class TestWildInput:
    """Any submitted data is answered with a page."""

    @pytest.mark.parametrize("wild", WILD)
    def test_no_value_breaks_a_recipe(self, owner: Client, wild: str) -> None:
        step = dict.fromkeys(("name", "kind", "role", "hands_fixed", "station", "minutes", "temperature_c"), wild)
        fields = dict.fromkeys(("name", "loss", "batch_limit", "batch_min", "note", "version"), wild)
        form_data = recipe_form_data([(wild, wild), ("1 g", wild), (wild, "Granulated sugar")], steps=[step], **fields)
        for address in (reverse("recipe-new"), reverse("recipe-figures-new")):
            assert owner.post(address, form_data).status_code < 500
        for do in (wild, "lines-up-1"):
            assert owner.post(reverse("recipe-new"), form_data | {"do": do}).status_code < 500
        recipe = Recipe.objects.get(code="paste")
        for name in ("recipe-scale", "recipe-pan"):
            names = ("amount", "product", "units", "mold_from", "diameter_from", "diameter_to", "shape_to")
            query = dict.fromkeys(names, wild)
            assert owner.get(reverse(name, args=[recipe.pk]), query).status_code < 500
        assert owner.post(reverse("recipe-copy", args=[recipe.pk]), {"name": wild}).status_code < 500
        assert owner.get(reverse("recipes"), {"q": wild}).status_code < 500

    @pytest.mark.parametrize("total", ["", "x", "-3", "999999", "1" * 60, "\x00", "1001"])
    def test_a_missing_or_absurd_row_count_is_refused(self, owner: Client, total: str) -> None:
        form_data = recipe_form_data([("1 kg", "Granulated sugar")]) | {"lines-TOTAL_FORMS": total}
        for do in ("save", "lines-add", "steps-add"):
            assert owner.post(reverse("recipe-new"), form_data | {"do": do}).status_code in (200, 422)
        del form_data["lines-TOTAL_FORMS"]
        response = owner.post(reverse("recipe-new"), form_data)
        assert response.status_code == 422
        assert "Part of the page did not arrive." in page_text(response)

    def test_repeated_keys_and_huge_addresses_do_not_break_the_page(self, owner: Client) -> None:
        form_data = recipe_form_data([("1 kg", "Granulated sugar")]) | {
            "name": ["A", "B"],
            "lines-0-amount": ["x", "2 kg"],
        }
        assert owner.post(reverse("recipe-new"), form_data).status_code == 302
        assert owner.get(f"/catalog/recipes/{10**30}/").status_code == 404
        assert owner.get(f"/catalog/products/{10**30}/edit/").status_code == 404
