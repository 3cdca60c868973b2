"""A recipe that may be hot, and of which nobody stated it, is asked about and stops like what is hot."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.maybe_hot import heat_question
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.never_hot_claims import never_hot_claims
from catalog.pantry.models import Ingredient
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeStep
from orders.documents.content import content_read
from orders.quotes.cooling.selectors import broken
from orders.quotes.send.check import send_check
from tests.cooling_kitchen import sent_measured_make
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.starting import order_start

pytestmark = pytest.mark.django_db
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"


COLD = "Pasteurized yolks, and a starch that swells cold"


def custard_make(
    name: str, kind: str, *, chill: bool = False, never_hot: bool = False, reason: str = COLD, called: str = "Custard"
) -> Recipe:
    """Make the kitchen with a custard of one step, of which no step states heat; others are answered."""
    kitchen_make()
    custard = Recipe.objects.get(code="custard")
    custard.steps.all().delete()
    RecipeStep.objects.create(recipe=custard, name=name, kind=kind)
    if chill:
        RecipeStep.objects.create(recipe=custard, position=1, name="In the cold", kind="chill", minutes=60)
    Recipe.objects.filter(pk=custard.pk).update(name=called, never_hot=never_hot, never_hot_reason=reason)
    catalog_changed()
    return custard


def custard_role_make() -> None:
    """Let somebody's hands do the step."""
    RecipeStep.objects.filter(recipe__code="custard").update(role=Role.objects.first(), hands_fixed=10)
    catalog_changed()


def asked() -> str:
    book = book_current()
    found = heat_question(book.recipe("custard"), RecipeMixtures(book))
    return "" if found is None else found.code


def stops() -> list[str]:
    return [one.why for one in broken({"custard-tart": 24}, book_current())]


class TestAsking:
    @pytest.mark.parametrize(
        ("name", "kind", "chill", "found"),
        [
            ("Boil the milk, pour on the yolks, boil again", "mix", False, "heat_in_words"),
            ("Aufkochen", "work", False, "heat_in_words"),
            ("Get it together", "work", True, "heat_unstated"),
            # The tart that it goes into waits in the cold.
            ("Get it together", "work", False, "heat_unstated"),
        ],
    )
    def test_a_word_of_heat_or_a_wait_in_the_cold_asks(self, name: str, kind: str, found: str, *, chill: bool) -> None:
        custard_make(name, kind, chill=chill, called="Yolk base")
        assert asked() == found
        assert stops() == ([found] if found else [])

    def test_where_neither_it_nor_what_it_goes_into_waits_in_the_cold_nothing_asks(self) -> None:
        custard_make("Get it together", "work", called="Yolk base")
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        assert asked() == ""

    def test_it_stops_the_quote_until_one_tick_answers_it(self) -> None:
        custard = custard_make("Boil the milk", "mix")
        quote = draft_make(at=NOW)
        assert not send_check(quote, at=NOW).may_go
        owner = signed_in("owner")
        page = text(owner.get(reverse("recipe-cooling", args=[custard.pk])))
        assert "“Boil” in" in page
        assert "is it hot or cold while it is made?" in page
        Recipe.objects.filter(pk=custard.pk).update(never_hot=True)
        custard.steps.update(name="Stir in the milk", text="It was boiled and chilled the day before.")
        catalog_changed()
        assert send_check(quote, at=NOW).may_go

    @pytest.mark.parametrize(
        "name",
        [
            "Boil",
            "Thicken until it coats the spoon",
            "Cook out until it bubbles",
            "Aufkochen",
            "Épaissir",
            "Bring to 180 °F and pour",
            "Combine over bain-marie",
            "Bring up to 180 and hold",
            "Induction 6, whisk 8 min",
            "90/8 min",
            "Stir on the hob",
            "Torch the tops",
        ],
    )
    def test_a_tick_is_not_believed_where_a_step_is_called_after_heat(self, name: str) -> None:
        custard_make(name, "mix", never_hot=True)
        assert asked() == "never_hot_contradicted"
        assert stops() == ["never_hot_contradicted"]

    @pytest.mark.parametrize("name", ["Fold in the baked crumbs", "Whisk", "Thin it with milk"])
    def test_a_tick_is_believed_where_no_step_is(self, name: str) -> None:
        custard_make(name, "mix", never_hot=True)
        assert asked() == ""

    @pytest.mark.parametrize(
        ("reason", "found"),
        [
            ("", "never_hot_named"),
            ("ok", "never_hot_named"),
            ("house way of doing it", "never_hot_named"),
            ("we cook it gently and cool it fast", "never_hot_named"),
            (COLD, ""),
        ],
    )
    def test_what_is_called_after_a_cooked_preparation_needs_a_reason(self, reason: str, found: str) -> None:
        custard = custard_make("Anglaise as usual", "mix", never_hot=True, reason=reason)
        Recipe.objects.filter(pk=custard.pk).update(name="Base number 3")
        catalog_changed()
        assert asked() == found
        assert stops() == ([found] if found else [])

    def test_egg_with_starch_needs_a_reason_too_and_the_page_says_where(self) -> None:
        custard = custard_make("Whisk", "mix", never_hot=True, reason="")
        Recipe.objects.filter(pk=custard.pk).update(name="Filling")
        catalog_changed()
        assert asked() == ""
        Ingredient.objects.filter(code="sugar").update(name="Corn starch")
        catalog_changed()
        assert asked() == "never_hot_starch"
        page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
        assert "with starch, which is cooked as a rule" in page
        assert "What is used instead of cooking" in page

    @pytest.mark.parametrize("name", ["Induction 6, whisk 8 min", "Bring up to 180", "Make the anglaise as usual"])
    def test_a_cooks_words_ask_without_the_tick(self, name: str) -> None:
        custard = custard_make(name, "work")
        Recipe.objects.filter(pk=custard.pk).update(name="Base number 3")
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        assert asked() == "heat_in_words"

    @pytest.mark.parametrize(
        ("ingredient", "never", "reason", "found"),
        [
            ("Gelatin powder", True, "", "never_hot_gelled"),
            ("Gelatin powder", True, "Instant gelatin, stirred in cold", ""),
            ("Gelatin powder", False, "", "heat_gelled"),
        ],
    )
    def test_gelatin_in_milk_is_made_hot_as_a_rule(
        self, ingredient: str, reason: str, found: str, *, never: bool
    ) -> None:
        custard_make("Whisk", "mix", never_hot=never, reason=reason, called="Filling")
        Ingredient.objects.filter(code="sugar").update(name=ingredient)
        catalog_changed()
        assert asked() == found
        assert stops() == ([found] if found else [])

    @pytest.mark.parametrize("name", ["Whisk to the ribbon", "30 s in the micro", "To the nappe", "To the first blip"])
    def test_a_tick_is_not_believed_where_a_cook_names_a_sign_of_heat(self, name: str) -> None:
        custard_make(name, "mix", never_hot=True)
        assert asked() == "never_hot_contradicted"

    @pytest.mark.parametrize("step_text", ["", "Cook to 181 F on the stove first"])
    def test_a_tick_is_not_believed_where_the_text_or_the_note_says_heat(self, step_text: str) -> None:
        """The note was not read at all, and of a step's text only its numbers."""
        custard = custard_make("Stir together", "mix", never_hot=True)
        assert asked() == ""
        custard.steps.update(text=step_text)
        Recipe.objects.filter(pk=custard.pk).update(note="" if step_text else "Reduce by half first")
        catalog_changed()
        assert asked() == ("never_hot_contradicted" if step_text else "never_hot_note")
        assert stops() == [asked()]

    def test_the_editor_refuses_the_tick_where_the_notes_say_heat(self) -> None:
        kitchen_make()
        note = "Cook to 181 F on the stove first"
        data = recipe_form_data([("1 kg", "Granulated sugar")], never_hot="on", note=note)
        page = text(signed_in("owner").post(reverse("recipe-new"), data))
        assert f"The notes speak of heat: “{note}”." in page

    def test_the_editor_refuses_the_tick_and_names_the_step(self) -> None:
        kitchen_make()
        owner = signed_in("owner")
        steps = [{"name": "Boil", "kind": "mix", "minutes": "12"}]
        data = recipe_form_data([("1 kg", "Granulated sugar")], steps=steps, never_hot="on")
        page = text(owner.post(reverse("recipe-new"), data))
        assert "The step “Boil” speaks of heat. Enter how warm it leaves, or describe the step as what it is." in page
        data = recipe_form_data(
            [("1 kg", "Granulated sugar")], steps=[steps[0] | {"name": "Pour on", "text": "At 185 F."}], never_hot="on"
        )
        page = text(owner.post(reverse("recipe-new"), data))
        assert "The step “Pour on” speaks of heat." in page

    @pytest.mark.parametrize(
        ("reason", "refusal"),
        [
            ("house way of doing it", "This does not name what is used instead of cooking"),
            ("we cook it gently and cool it fast", "“cook” speaks of heat or cooling"),
            (COLD, ""),
        ],
    )
    def test_the_editor_refuses_a_reason_that_names_nothing_instead(self, reason: str, refusal: str) -> None:
        kitchen_make()
        data = recipe_form_data([("1 kg", "Granulated sugar")], never_hot="on", never_hot_reason=reason)
        answer = signed_in("owner").post(reverse("recipe-new"), data)
        assert (refusal in text(answer)) if refusal else answer.status_code == 302

    def test_what_holds_none_of_it_or_is_baked_later_is_not_asked_about(self) -> None:
        custard_make("Whisk", "mix", never_hot=True)
        assert "Custard" in [one.name for one in never_hot_claims(["custard-tart"], book_current())]
        ProductStep.objects.filter(product__code="custard-tart").update(kind="bake", leaves_c=80)
        catalog_changed()
        assert never_hot_claims(["custard-tart"], book_current()) == ()

    def test_the_prep_list_and_the_written_procedure_name_it(self) -> None:
        custard_make("Whisk", "mix", never_hot=True)
        custard_role_make()
        order_start(order_id=order_make().pk, by=BY, at=NOW)
        page = text(signed_in("kitchen").get(reverse("sheet-prep") + DAYS))
        assert "Never hot, by the owner’s word: measure it if anything heats it." in page
        procedure = text(signed_in("owner").get(reverse("procedure")))
        assert f"Nothing heats Custard while it is made, as you recorded: “Whisk”. Reason: {COLD}." in procedure

    def test_a_stated_temperature_answers_it_too(self) -> None:
        custard = custard_make("Boil the milk", "mix")
        custard.steps.update(leaves_c="80")
        catalog_changed()
        assert asked() == ""

    def test_the_answer_is_a_tick_of_the_recipe(self) -> None:
        custard = custard_make("Boil the milk", "mix")
        page = signed_in("owner").get(reverse("recipe-edit", args=[custard.pk])).content.decode()
        assert 'name="never_hot"' in page


class TestSaying:
    def test_sheets_carry_the_caution_and_the_customer_reads_to_keep_it_cold(self) -> None:
        custard_make("Boil the milk", "mix")
        order = order_make()
        order_start(order_id=order.pk, by=BY, at=NOW)
        cook = signed_in("kitchen")
        for name in ("sheet-prep", "sheet-cold"):
            page = text(cook.get(reverse(name) + DAYS))
            assert "Cooling, Custard, O-00001. How this cools is not stated." in page
        assert "How this cools is not stated." in text(cook.get(reverse("order", args=[order.pk])))
        labels = cook.get(reverse("sheet-labels") + DAYS).content.decode()
        assert "How this cools is not stated." in labels

    def test_the_quote_says_to_keep_it_cold(self) -> None:
        custard_make("Boil the milk", "mix")
        line = next(one for one in content_read(sent_measured_make(pdf=False).content).lines if "tart" in one.name)
        assert line.holding == (
            "Keep at 41 °F or colder. At most 2 h 20 min out of the cold in all, on the way, setting up and on the "
            "table together; then throw it away. It is shorter because the work in our kitchen takes 1 h 40 min of "
            "the time."
        )


class TestProductsOwnSteps:
    """A product's own step that is called after heat is asked about, whatever its recipes answer."""

    def tart(self, name: str, **columns: object) -> None:
        custard_make("Get it together", "work", never_hot=True)
        ProductStep.objects.filter(product__code="custard-tart").delete()
        tart = Product.objects.get(code="custard-tart")
        ProductStep.objects.create(product=tart, position=0, name=name, kind="finish", **columns)
        ProductStep.objects.create(product=tart, position=1, name="In the cold", kind="chill", minutes=60)
        catalog_changed()

    @pytest.mark.parametrize(
        "name", ["Bake until it wobbles", "Boil the glaze and pour it on", "Torch the tops", "Pour on at 185 F"]
    )
    def test_it_is_asked_about_and_stops(self, name: str) -> None:
        self.tart(name)
        assert stops() == ["heat_in_step"]
        tart = Product.objects.get(code="custard-tart")
        shown = text(signed_in("owner").get(reverse("product-cooling", args=[tart.pk])))
        assert f"The step “{name}” of {tart.name} speaks of heat, and nothing states how warm it is then." in shown

    def test_what_speaks_of_no_heat_or_states_it_is_not(self) -> None:
        self.tart("Pipe the cream")
        assert "heat_in_step" not in stops()
        self.tart("Boil the glaze and pour it on", leaves_c=30)
        assert "heat_in_step" not in stops()

    def test_a_flame_over_what_was_cooked_and_cooled_is_not(self) -> None:
        self.tart("Torch the tops")
        Recipe.objects.update(never_hot=False)
        catalog_changed()
        assert "heat_in_step" not in stops()
