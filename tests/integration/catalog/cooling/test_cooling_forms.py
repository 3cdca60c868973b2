"""What cooling asks of stations, molds, products, recipes and the profile: entered, told, kept and read back."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe
from tests.factories import kitchen_make
from tests.integration.catalog.editor_forms import WILD, recipe_form_data
from tests.integration.catalog.kitchen_pages import PROFILE, shows, signed_in, text
from tests.integration.catalog.molds.test_molds import RING
from tests.integration.catalog.products.test_products import sound_form_data
from tests.integration.catalog.rates.test_rates import STATION
from tests.integration.forms_on_pages import edit_form_of, save_edit

pytestmark = pytest.mark.django_db
#: A temperature as entered in either unit, and as stored in °C.
ENTERED = [("F", "176", Decimal(80)), ("F", "175", Decimal("79.444444")), ("C", "80.5", Decimal("80.5"))]


@pytest.fixture
def owner() -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    return signed_in()


def submitted_again(client: Client, address: str, form: str = "form") -> dict[str, str]:
    """Return the data a page's form submits unchanged."""
    context = client.get(address).context
    forms = [context["editor"].form] if form == "editor" else [context[form]]
    return {bound.html_name: str(bound.value() or "") for one in forms for bound in one}


def editor_submitted(client: Client, address: str) -> dict[str, Any]:
    """Return the data an editor submits unchanged."""
    editor = client.get(address).context["editor"]
    sets = [
        rows for name in ("lines", "fills", "packaging", "steps") if (rows := getattr(editor, name, None)) is not None
    ]
    forms = [editor.form, *(form for rows in sets for form in rows.forms)]
    # A browser sends nothing for boxes that are not ticked.
    shown = [bound for form in forms for bound in form if bound.value() not in ([], False)]
    form_data = {
        bound.html_name: value if isinstance(value := bound.value(), list) else str(value or "") for bound in shown
    }
    for rows in sets:
        form_data |= {f"{rows.prefix}-TOTAL_FORMS": str(len(rows.forms)), f"{rows.prefix}-INITIAL_FORMS": "0"}
    return form_data | {"do": "save"}


class TestStation:
    @pytest.mark.parametrize("air", Station.Air.values)
    def test_how_its_air_moves_is_saved_and_shown(self, owner: Client, air: str) -> None:
        owner.post(reverse("kitchen-stations-new"), STATION | {"name": "Cold room", "air_c": "37.4", "air": air})
        station = Station.objects.get(name="Cold room")
        assert (station.air, station.air_c) == (air, 3)
        page = owner.get(reverse("kitchen-stations-edit", args=[station.pk]))
        assert f'<option value="{air}" selected>' in page.content.decode()
        assert station.get_air_display() in text(owner.get(reverse("kitchen-stations")))

    @pytest.mark.parametrize("wild", WILD)
    def test_no_other_air_is_taken(self, owner: Client, wild: str) -> None:
        page = owner.post(reverse("kitchen-stations-new"), STATION | {"name": "Cold room", "air": wild})
        assert page.status_code == 200
        assert "Air movement" in text(page)
        assert shows(page, "Cold room")
        assert not Station.objects.filter(name="Cold room").exists()


class TestMold:
    @pytest.mark.parametrize("wall", Mold.Wall.values)
    def test_what_it_is_made_of_is_saved_and_shown(self, owner: Client, wall: str) -> None:
        owner.post(reverse("mold-new"), RING | {"wall": wall})
        ring = Mold.objects.get(name=RING["name"])
        assert ring.wall == wall
        page = owner.get(reverse("mold-edit", args=[ring.pk]))
        assert f'<option value="{wall}" selected>' in page.content.decode()
        assert ring.get_wall_display() in text(owner.get(reverse("molds")))

    def test_an_unknown_material_is_reported(self, owner: Client) -> None:
        page = owner.post(reverse("mold-new"), RING | {"wall": "ice"})
        assert page.status_code == 422
        assert "Choose the material from the list." in text(page)
        assert shows(page, RING["name"])


COOLED = {"stands_on": "board", "covered": "on", "carried": "insulated", "cooling_rule": "ambient"}


def baked(leaves: str, **more: str) -> dict[str, str]:
    """A step that bakes and says how warm it leaves."""
    return {"name": "Bake", "kind": "bake", "minutes": "42", "leaves_c": leaves, **more}


class TestProduct:
    def test_how_it_cools_is_saved(self, owner: Client) -> None:
        owner.post(reverse("product-new"), sound_form_data(**COOLED))
        product = Product.objects.get(name="Walnut round")
        found = (product.stands_on, product.covered, product.carried, product.cooling_rule)
        assert found == ("board", True, "insulated", "ambient")

    def test_left_alone_it_stands_open_and_goes_in_a_carton(self, owner: Client) -> None:
        form = owner.get(reverse("product-new")).context["editor"].form
        shown = {name: form[name].value() for name in COOLED}
        assert shown["carried"] == "carton"
        owner.post(reverse("product-new"), sound_form_data())
        product = Product.objects.get(name="Walnut round")
        found = (product.stands_on, product.covered, product.carried, product.cooling_rule)
        assert found == ("open", False, "carton", "")

    @pytest.mark.parametrize(("degrees", "entered", "celsius"), ENTERED)
    def test_how_warm_it_leaves_is_read_in_the_kitchens_degrees_and_saving_again_moves_nothing(
        self, owner: Client, degrees: str, entered: str, celsius: Decimal
    ) -> None:
        Kitchen.objects.update(degrees=degrees)
        owner.post(
            reverse("product-new"), sound_form_data(steps=[baked(entered)], **COOLED | {"cooling_rule": "cooked"})
        )
        product = Product.objects.get(name="Walnut round")
        assert product.steps.get().leaves_c == celsius
        page = text(owner.get(reverse("product", args=[product.pk])))
        assert f"Core temperature at the end of the step: {entered} °{degrees}." in page
        address = reverse("product-edit", args=[product.pk])
        page = owner.get(address)
        assert f"Leaves at °{degrees}" in text(page)
        assert shows(page, entered)

        before = (Product.objects.values().get(pk=product.pk), product.steps.values_list("leaves_c", "minutes").get())
        form_data = editor_submitted(owner, address)
        assert save_edit(owner, address, form_data).status_code == 302
        after = (Product.objects.values().get(pk=product.pk), product.steps.values_list("leaves_c", "minutes").get())
        assert after == before

    def test_another_unit_may_be_written_behind_it(self, owner: Client) -> None:
        owner.post(reverse("product-new"), sound_form_data(steps=[baked("80 °C")]))
        assert ProductStep.objects.get(product__name="Walnut round").leaves_c == 80

    @pytest.mark.parametrize(
        ("degrees", "step", "sentence"),
        [
            ("F", baked("hot"), "Write the temperature it leaves at as a number, such as 176."),
            ("C", baked("hot"), "Write the temperature it leaves at as a number, such as 80."),
            ("F", baked("350"), "The temperature it leaves at must be from 23 to 302 °F."),
            ("C", baked("-6"), "The temperature it leaves at must be from -5 to 150 °C."),
            (
                "F",
                baked("41", kind="rest"),
                "In this step it waits and cools. Enter “Leaves at” in the step before it",
            ),
            (
                "F",
                baked("41", kind="chill"),
                "In this step it waits and cools. Enter “Leaves at” in the step before it",
            ),
            (
                "F",
                baked("41", kind="freeze"),
                "In this step it waits and cools. Enter “Leaves at” in the step before it",
            ),
        ],
    )
    def test_each_mistake_names_the_fix_and_what_was_entered_stays(
        self, owner: Client, degrees: str, step: dict[str, str], sentence: str
    ) -> None:
        Kitchen.objects.update(degrees=degrees)
        page = owner.post(reverse("product-new"), sound_form_data(steps=[step], **COOLED))
        assert page.status_code == 422
        assert f"Step 1: {sentence}" in text(page)
        assert shows(page, step["leaves_c"])
        body = page.content.decode()
        for chosen in ("board", "insulated", "ambient"):
            assert f'<option value="{chosen}" selected>' in body
        assert page.context["editor"].form["covered"].value() is True
        assert not Product.objects.filter(name="Walnut round").exists()

    @pytest.mark.parametrize(
        ("name", "sentence"),
        [
            ("stands_on", "Choose the surface under it from the list."),
            ("carried", "Choose the packing from the list."),
            ("cooling_rule", "Choose the cooling rule from the list."),
        ],
    )
    @pytest.mark.parametrize("wild", ["ice", "\x00", "9" * 400])
    def test_no_other_choice_is_taken(self, owner: Client, name: str, sentence: str, wild: str) -> None:
        page = owner.post(reverse("product-new"), sound_form_data() | {name: wild})
        assert page.status_code == 422
        assert sentence in text(page)

    def test_somebody_elses_change_of_its_cooling_is_not_overwritten(self, owner: Client) -> None:
        owner.post(reverse("product-new"), sound_form_data(steps=[baked("176")]))
        product = Product.objects.get(name="Walnut round")
        address = reverse("product-edit", args=[product.pk])
        form_data = edit_form_of(owner.get(address)).data(do="save", description="With walnuts.")
        product.steps.update(leaves_c=Decimal(70))
        page = save_edit(owner, address, form_data)
        assert page.status_code == 409
        assert product.steps.get().leaves_c == 70

    def test_moving_a_row_keeps_how_warm_it_leaves(self, owner: Client) -> None:
        steps = [baked("176"), {"name": "Chill", "kind": "chill", "minutes": "8 h"}]
        page = owner.post(reverse("product-new"), sound_form_data(steps=steps, do="steps-down-0"))
        assert [form["leaves_c"].value() for form in page.context["editor"].steps.forms] == [None, "176"]

    @pytest.mark.parametrize("food_safety", Kitchen.FoodSafety.values)
    def test_the_editor_opens_whatever_rules_are_in_force(self, owner: Client, food_safety: str) -> None:
        Kitchen.objects.update(food_safety=food_safety)
        assert owner.get(reverse("product-new")).status_code == 200


class TestRecipe:
    def test_air_and_what_is_lost_are_kept_and_shown_where_they_are_not_the_usual(self, owner: Client) -> None:
        form_data = recipe_form_data(
            [("1 kg", "Granulated sugar")], air="45%", loss="4", loss_of="all", shelf_stable="on"
        )
        owner.post(reverse("recipe-new"), form_data)
        recipe = Recipe.objects.get(name="Nib brittle")
        assert (recipe.air, recipe.loss_of, recipe.shelf_stable) == (Decimal("0.45"), "all", True)
        wording = text(owner.get(reverse("recipe", args=[recipe.pk])))
        assert "45% of its volume is air, whipped in." in wording
        assert "Safe at room temperature, as you recorded: nobody is asked to cool it." in wording
        assert "Kind of loss: all of it alike: trimmings, what sticks to the bowl." in wording

        address = reverse("recipe-edit", args=[recipe.pk])
        form_data = editor_submitted(owner, address)
        assert save_edit(owner, address, form_data).status_code == 302
        recipe.refresh_from_db()
        assert (recipe.air, recipe.loss_of, recipe.loss) == (Decimal("0.45"), "all", Decimal("0.04"))
        assert recipe.shelf_stable

    def test_the_usual_is_not_said(self, owner: Client) -> None:
        owner.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")]))
        recipe = Recipe.objects.get(name="Nib brittle")
        assert (recipe.air, recipe.loss_of) == (0, "water")
        wording = text(owner.get(reverse("recipe", args=[recipe.pk])))
        assert "of its volume is air" not in wording
        assert "What is lost is" not in wording

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"air": "75"}, "The air whipped in must be 74 or less."),
            ({"air": "-1"}, "The air whipped in must be 0 or more."),
            ({"air": "much"}, "Write the air whipped in as a number, such as 50."),
            ({"loss_of": "sugar"}, "Choose the kind of loss from the list."),
        ],
    )
    def test_each_mistake_names_the_fix_and_what_was_entered_stays(
        self, owner: Client, more: dict[str, str], sentence: str
    ) -> None:
        page = owner.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar")]) | more)
        assert page.status_code == 422
        assert sentence in text(page)
        assert page.context["editor"].form[next(iter(more))].value() == next(iter(more.values()))
        assert not Recipe.objects.filter(name="Nib brittle").exists()


class TestProfile:
    @pytest.mark.parametrize(
        ("degrees", "room", "away", "celsius"),
        [("F", "75", "86.5", ("23.888889", "30.277778")), ("C", "24", "30.5", ("24", "30.5"))],
    )
    def test_rules_and_airs_are_kept_in_both_degrees_and_saving_again_moves_nothing(
        self, owner: Client, degrees: str, room: str, away: str, celsius: tuple[str, str]
    ) -> None:
        Kitchen.objects.update(degrees=degrees)
        form_data = PROFILE | {
            "degrees": degrees,
            "food_safety": "au",
            "room_c": room,
            "away_c": away,
            "vehicle_cold": "on",
        }
        assert save_edit(owner, reverse("kitchen-profile"), form_data).status_code == 302

        def rules() -> tuple[Any, ...]:
            home = Kitchen.objects.get()
            return home.food_safety, home.room_c, home.away_c, home.vehicle_cold

        assert rules() == ("au", Decimal(celsius[0]), Decimal(celsius[1]), True)
        page = owner.get(reverse("kitchen-profile"))
        assert shows(page, room)
        assert shows(page, away)
        again = submitted_again(owner, reverse("kitchen-profile"))
        assert save_edit(owner, reverse("kitchen-profile"), again).status_code == 302
        assert rules() == ("au", Decimal(celsius[0]), Decimal(celsius[1]), True)

    def test_what_is_typed_counts_in_the_degrees_its_label_names_even_when_they_are_changed_with_it(
        self, owner: Client
    ) -> None:
        save_edit(owner, reverse("kitchen-profile"), PROFILE | {"degrees": "C", "room_c": "77", "away_c": "30 °C"})
        home = Kitchen.objects.get()
        assert (home.degrees, home.room_c, home.away_c) == ("C", 25, 30)
        assert shows(owner.get(reverse("kitchen-profile")), "25")

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"room_c": ""}, "Enter the kitchen’s temperature."),
            ({"room_c": "warm"}, "Write the kitchen’s temperature as a number, such as 75."),
            ({"room_c": "200"}, "The kitchen’s temperature must be from 32 to 122 °F."),
            ({"away_c": ""}, "Enter the temperature on the way."),
            ({"away_c": "-30"}, "The temperature on the way must be from -4 to 140 °F."),
            ({"food_safety": "none"}, "Choose one of the offered entries for “Food-safety rules in force”"),
        ],
    )
    def test_each_mistake_names_the_fix_and_what_was_entered_stays(
        self, owner: Client, more: dict[str, str], sentence: str
    ) -> None:
        page = save_edit(owner, reverse("kitchen-profile"), PROFILE | {"phone": "555 0142"} | more)
        assert sentence in text(page)
        assert shows(page, "555 0142")
        value = next(iter(more.values()))
        assert not value or shows(page, value) or "food_safety" in more
        assert Kitchen.objects.get().room_c == 24

    def test_the_page_defers_to_the_law_of_the_place(self, owner: Client) -> None:
        wording = text(owner.get(reverse("kitchen-profile")))
        assert "The law of the place holds: ask your local authority" in wording
