"""What goes into a product hot is judged: how warm it starts follows from its parts, or it is named as not stated."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds, batch_cooled
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import cold_times, cooled, products_unsaid
from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from costing.chilling import AMBIENT, COLD_C, COOKED, HOT_C, PROFILES, Cylinder, food_of, trial
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import PASSWORD, draft_make, line_make, table_make, user_make
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def kitchen(*, leaves_c: str | None = "85", hold_max: str | None = "30", **columns: Any) -> Product:
    """Let the custard be boiled and used within the hour, and filled into the tart that chills."""
    tart = cooling_kitchen_make()
    Recipe.objects.get(code="custard").steps.all().delete()
    RecipeStep.objects.create(
        recipe=Recipe.objects.get(code="custard"),
        name="Boil",
        kind="cook",
        leaves_c=None if leaves_c is None else Decimal(leaves_c),
        hold_max=None if hold_max is None else Decimal(hold_max),
    )
    tart.steps.filter(kind="bake").update(
        **{"kind": "fill", "name": "Pour", "leaves_c": None, "temperature_c": None, "station": None, **columns}
    )
    catalog_changed()
    return tart


def cycles() -> tuple[CoolingCycle, ...]:
    found = cooled([TART], book_current())[TART]
    assert found.missing is None, found.missing
    return found.cycles


def unsaid() -> str:
    found = products_unsaid([TART], book_current()).get(TART)
    return "" if found is None else missing_sentence(found)


def test_a_hot_part_poured_in_is_judged_from_the_heat_of_all_parts() -> None:
    kitchen()
    (one,) = cycles()
    assert str(one.after) == "Line and fill"
    # Custard at 85 °C and paste at the room's 20 to 25: between, nearer the custard, of which there is more water.
    assert 45 < one.plan.initial_c < 85
    assert unsaid() == ""
    assert "start_follows" in [note.code for note in one.notes]
    assert "Baked custard went in" in " ".join(map(note_sentence, one.notes))
    # Cooked food stays cooked food, however warm the mixture is.
    assert one.plan.rule.title == PROFILES[COOKED].title
    assert cold_times([TART], book_current())[TART].times


def test_the_heat_balance_is_by_mass_and_heat_capacity() -> None:
    kitchen(takes=["custard"], takes_c=None)
    (one,) = cycles()
    book = book_current()
    mixtures = RecipeMixtures(book)
    room_c = float(book.kitchen.described.room_c)
    parts = {code: mixtures.portion(TART, [code]) for code in ("custard", "paste")}
    heat = {code: part.grams * food_of(part.percent, part.air).cp for code, part in parts.items()}
    expected = (heat["custard"] * 85 + heat["paste"] * room_c) / sum(heat.values())
    assert one.plan.initial_c == pytest.approx(expected)


def test_a_hot_layer_on_what_is_there_is_a_layer_and_both_are_judged() -> None:
    kitchen()
    tart = Product.objects.get(code=TART)
    ProductStep.objects.filter(product=tart).update(position=5)
    tart.steps.filter(kind="rest").update(position=7)
    tart.steps.filter(kind="chill").update(position=8)
    ProductStep.objects.create(product=tart, position=1, kind="fill", name="Line the rings", takes=["paste"])
    tart.steps.filter(name="Pour").update(takes=["custard"], takes_as="layer", position=6)
    catalog_changed()
    (one,) = cycles()
    assert one.plan.top is not None
    assert one.plan.top.initial_c == 85
    assert one.plan.initial_c < 30
    lower, upper = trial(one.plan).layers
    assert lower.peak_c > 30
    assert upper.initial_c == 85


def test_a_hot_part_of_which_nobody_said_how_warm_it_leaves_is_named() -> None:
    kitchen(leaves_c=None)
    assert cycles() == ()
    assert unsaid().startswith("Baked custard goes in hot after “Boil”, and its temperature at the end is not stated.")


def test_a_step_of_the_product_that_heats_and_does_not_say_is_named() -> None:
    kitchen(kind="bake", name="Bake")
    assert unsaid() == (
        "“Bake” makes it hot, and its temperature at the end is not stated. Enter “Leaves at” at that step."
    )


def test_an_answer_after_the_part_went_in_is_one() -> None:
    kitchen(leaves_c=None)
    Product.objects.get(code=TART).steps.filter(kind="rest").update(kind="work", leaves_c=Decimal(60))
    catalog_changed()
    assert unsaid() == ""
    assert [one.plan.initial_c for one in cycles()] == [60]


def test_a_part_hotter_than_the_body_it_goes_into_is_judged_by_itself() -> None:
    kitchen(leaves_c="95")
    tart = Product.objects.get(code=TART)
    tart.steps.filter(name="Pour").update(leaves_c=Decimal(40), takes=["paste"], position=1)
    tart.steps.filter(kind="rest").update(position=3)
    tart.steps.filter(kind="chill").update(position=4)
    ProductStep.objects.create(product=tart, position=2, kind="fill", name="Glaze", takes=["custard"])
    catalog_changed()
    first, second = cycles()
    assert (str(first.after), str(second.after)) == ("Pour", "Glaze")
    assert 40 < second.plan.initial_c < 95
    # One cold stage is listed once, with the worse of the two.
    (time,) = cold_times([TART], book_current())[TART].times
    slows = [trial(one.plan).cold_slow or 0 for one in (first, second)]
    assert time.slow is not None
    assert time.slow >= max(slows) - max(one.before_last for one in (first, second)) - 1


def test_heat_goes_on_through_a_recipe_that_only_mixes() -> None:
    kitchen()
    mixed = Recipe.objects.create(code="custard-cream", name="Custard cream")
    RecipeLine.objects.create(recipe=mixed, component=Recipe.objects.get(code="custard"), amount="100 g")
    RecipeStep.objects.create(recipe=mixed, kind="mix", name="Fold")
    tart = Product.objects.get(code=TART)
    tart.fills.filter(recipe__code="custard").update(recipe=mixed)
    catalog_changed()
    (one,) = cycles()
    assert one.plan.initial_c > 45
    RecipeStep.objects.create(recipe=mixed, position=2, kind="chill", name="Chill")
    catalog_changed()
    book = book_current()
    found = batch_cooled(book.recipe("custard-cream"), Fraction(1000), RecipeMixtures(book))
    assert found.missing is not None
    assert "what it then cools in is not stated" in missing_sentence(found.missing)


def test_what_is_used_within_the_hour_goes_on_warm_and_is_no_batch() -> None:
    kitchen()
    assert batch_colds([("custard", Fraction(1000))], book_current()) == []


def test_what_its_makers_say_is_safe_at_room_temperature_is_not_asked_about() -> None:
    kitchen(leaves_c=None)
    Recipe.objects.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    catalog_changed()
    assert unsaid() == ""


def test_the_products_pages_warn(client: Client) -> None:
    tart = kitchen(leaves_c=None)
    user_make()
    client.login(username="maren", password=PASSWORD)
    for name in ("product", "product-cooling"):
        shown = page_text(client.get(reverse(name, args=[tart.pk])))
        assert "Baked custard goes in hot after “Boil”" in shown, name


def test_the_cooling_page_says_where_the_temperature_comes_from(client: Client) -> None:
    tart = kitchen()
    user_make()
    client.login(username="maren", password=PASSWORD)
    shown = page_text(client.get(reverse("product-cooling", args=[tart.pk])))
    assert "No step says how warm it is once Baked custard went in" in shown


def test_a_shell_that_is_safe_by_its_makers_word_may_be_baked_before_the_rest_goes_in() -> None:
    kitchen(kind="bake", name="Bake")
    tart = Product.objects.get(code=TART)
    ProductStep.objects.create(product=tart, position=9, kind="finish", name="Fill", takes=["custard"], leaves_c=60)
    Recipe.objects.get(code="custard").steps.update(kind="mix", leaves_c=None)
    catalog_changed()
    assert unsaid().startswith("“Bake” makes it hot")
    Recipe.objects.filter(code="paste").update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
    catalog_changed()
    assert unsaid() == ""


def test_a_hot_part_without_a_stay_in_the_cold_is_named_and_what_is_judged_stays_judged() -> None:
    kitchen()
    tart = Product.objects.get(code=TART)
    tart.steps.filter(name="Pour").update(leaves_c=Decimal(60), takes=["paste"])
    ProductStep.objects.create(product=tart, position=9, kind="finish", name="Glaze", takes=["custard"])
    catalog_changed()
    assert [str(one.after) for one in cycles()] == ["Pour"]
    assert unsaid().startswith("No chill step follows “Glaze”.")


def coated(takes_c: str, *, takes_as: str = "layer", leaves_c: str | None = None) -> None:
    """Let the tart be chilled as a shell, then coated with custard that is no hot part by its own steps."""
    tart = kitchen(kind="bake", name="Bake", position=1, takes=["paste"])
    tart.steps.filter(name="Bake").update(leaves_c=Decimal(60))
    Recipe.objects.get(code="custard").steps.update(kind="mix", leaves_c=None, hold_max=None)
    tart.steps.exclude(name="Bake").delete()
    columns = {"product": tart, "station": Station.objects.get(code="cold-room"), "minutes": 720}
    ProductStep.objects.create(position=2, kind="chill", name="Chill", **columns)
    coat = {"takes": ["custard"], "takes_as": takes_as, "takes_c": Decimal(takes_c), "leaves_c": leaves_c}
    ProductStep.objects.create(product=tart, position=3, kind="fill", name="Layer and coat", **coat)
    ProductStep.objects.create(position=4, kind="chill", name="Set", **columns)
    catalog_changed()


@pytest.mark.parametrize("takes_as", ["layer", "mixed"])
@pytest.mark.parametrize("takes_c", ["70", "80", "95"])
def test_a_hot_addition_begins_to_cool_where_it_goes_in(takes_c: str, takes_as: str) -> None:
    coated(takes_c, takes_as=takes_as)
    assert [str(one.after) for one in cycles()] == ["Bake", "Layer and coat"]
    plan = cycles()[1].plan
    warmest = plan.initial_c if plan.top is None else plan.top.initial_c
    assert (warmest == pytest.approx(float(takes_c))) if takes_as == "layer" else (20 < warmest < float(takes_c))
    # The hottest part counts, not the mixture.
    assert plan.rule.title == PROFILES[COOKED].title


def test_a_mixture_below_hot_with_a_hot_part_in_it_is_cooked_food() -> None:
    coated("60", takes_as="mixed", leaves_c="7")
    second = cycles()[1]
    assert second.plan.initial_c < HOT_C
    assert second.plan.rule.title == PROFILES[COOKED].title


def test_what_goes_onto_a_cold_body_no_longer_cold_begins_to_cool_by_the_other_rule() -> None:
    coated("15")
    second = cycles()[1]
    assert second.plan.top is not None
    assert (second.plan.initial_c, second.plan.top.initial_c) == (COLD_C, 15)
    assert second.plan.rule.title == PROFILES[AMBIENT].title
    coated_at_5 = ProductStep.objects.filter(name="Layer and coat")
    coated_at_5.update(takes_c=Decimal(5))
    catalog_changed()
    assert [str(one.after) for one in cycles()] == ["Bake"]


def test_of_two_heights_the_higher_counts_and_nothing_is_green(client: Client) -> None:
    tart = cooling_kitchen_make(height_cm="0.7", leaves_c="60")
    (one,) = cycles()
    note = next(note for note in one.notes if note.code == "height_differs")
    assert one.plan.body == Cylinder(100.0, note.params["full"] * 10)
    assert cold_times([TART], book_current())[TART].odd_height == note
    user_make()
    client.login(username="maren", password=PASSWORD)
    page = client.get(reverse("product-cooling", args=[tart.pk])).content.decode()
    assert "The greater of the two counts until they agree." in page_text(
        client.get(reverse("product-cooling", args=[tart.pk]))
    )
    assert 'class="note good"' not in page
    assert "Meets the rule." not in page
    quote = draft_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
    for name, pk in (("quote-send", quote.pk), ("inquiry", quote.inquiry_id)):
        assert "The higher of both was judged" in page_text(client.get(reverse(name, args=[pk]))), name
