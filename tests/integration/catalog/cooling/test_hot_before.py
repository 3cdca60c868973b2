"""Cooked food that a later step finds below the heat: its limits run from when it left that, or it is unanswered."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import cooled
from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from costing.chilling import COOKED, PROFILES, trial
from orders.quotes.cooling.selectors import broken
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db
TART = "custard-tart"
NOT_SHOWN = (
    "“Cool on the rack” leaves it at 68 °F, and its steps do not show that it was at 70 °F within 2 h of 135 °F: the"
    " limits run from when it left the heat. Enter the minutes of the steps since then, or “Leaves at” at the step"
    " that heats it."
)


def tart_make(minutes: str | None, *, baked_c: str | None = None) -> Product:
    """Let the tart be baked, stand on the rack for some minutes and leave that at 68 °F, then chill."""
    tart = cooling_kitchen_make()
    tart.steps.filter(kind="bake").update(leaves_c=None if baked_c is None else Decimal(baked_c))
    rack = {"leaves_c": Decimal(20), "minutes": None if minutes is None else Decimal(minutes)}
    tart.steps.filter(name="Cool on the rack").update(**rack)
    catalog_changed()
    return tart


def cycles() -> tuple[CoolingCycle, ...]:
    found = cooled([TART], book_current())[TART]
    assert found.missing is None, found.missing
    return found.cycles


def test_a_temperature_that_the_room_cannot_give_in_that_time_is_asked_about() -> None:
    tart_make("60", baked_c="80")
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "cooled_too_soon"


def test_the_limits_run_from_when_it_left_the_heat() -> None:
    tart_make("60")
    (one,) = cycles()
    assert (one.plan.initial_c, one.plan.hot_before_min, one.plan.rule.title) == (20, 60, PROFILES[COOKED].title)
    tried = trial(one.plan)
    first, second = tried.legs
    assert first.slow.minutes == 60
    assert tried.cold_slow is not None
    assert second.slow.minutes == pytest.approx(60 + tried.cold_slow)


def test_what_is_cold_in_time_only_by_a_clock_that_starts_anew_is_not() -> None:
    tart = tart_make("119")
    Product.objects.filter(pk=tart.pk).update(fill_height_cm=Decimal("2.2"))
    catalog_changed()
    (one,) = cycles()
    cold = trial(one.plan).cold_slow
    assert cold is not None
    assert 360 - 119 < cold < 360
    assert trial(one.plan).verdict != "kept"


@pytest.mark.parametrize("minutes", [None, "121", "300"])
def test_steps_that_do_not_show_it_leave_it_unanswered(minutes: str | None) -> None:
    tart_make(minutes)
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing_sentence(missing) == NOT_SHOWN
    (one,) = broken({TART: 4}, book_current())
    assert (one.why, one.never) == ("hot_before", False)


def test_the_owner_says_that_it_is_cooked_food_and_no_step_heats_it() -> None:
    tart = tart_make("60")
    tart.steps.filter(kind="bake").update(kind="prepare", temperature_c=None, station=None)
    Recipe.objects.get(code="custard").steps.update(kind="mix", leaves_c=None, temperature_c=None)
    Product.objects.filter(pk=tart.pk).update(cooling_rule="cooked")
    catalog_changed()
    (one,) = broken({TART: 4}, book_current())
    assert one.why == "hot_before"


def test_inside_the_first_leg_its_time_counts_too() -> None:
    tart = tart_make("60")
    tart.steps.filter(name="Cool on the rack").update(leaves_c=Decimal(40))
    catalog_changed()
    (one,) = cycles()
    leg, _ = trial(one.plan).legs
    assert leg.likely.minutes is not None
    assert leg.likely.minutes > 60
    assert [note_sentence(note) for note in one.notes if note.code == "since_heat"] == [
        "By its steps it left the heat 1 h before the end of “Cool on the rack”: the limits count from then."
    ]


def test_what_was_cold_in_between_and_was_not_heated_again_begins_anew() -> None:
    tart = cooling_kitchen_make()
    ProductStep.objects.create(product=tart, position=8, name="Spread", kind="finish", leaves_c=Decimal(18))
    station = tart.steps.get(kind="chill").station
    ProductStep.objects.create(product=tart, position=9, name="Set", kind="chill", minutes=60, station=station)
    catalog_changed()
    assert [one.plan.hot_before_min for one in cycles()] == [0, 0]


def test_a_step_that_only_warms_it_does_not_start_the_clock_anew() -> None:
    tart = cooling_kitchen_make()
    rack = tart.steps.get(name="Cool on the rack")
    tart.steps.filter(kind="chill").update(position=rack.position + 2)
    glaze = {"name": "Glaze", "kind": "cook", "minutes": 10, "leaves_c": Decimal(40)}
    ProductStep.objects.create(product=tart, position=rack.position + 1, **glaze)
    catalog_changed()
    (one,) = cycles()
    assert (one.plan.initial_c, one.plan.hot_before_min) == (40, 70)


def batch_make(minutes: int | None) -> None:
    """Let the custard be boiled, rest, and go into its tub at 68 °F."""
    recipe = batch_kitchen_make(leaves_c=None, vessel=None)
    boil = recipe.steps.get(name="Boil")
    tub = {"leaves_c": Decimal(20), "vessel": Vessel.objects.get(name="Tub")}
    RecipeStep.objects.filter(pk=boil.pk).update(position=1)
    RecipeStep.objects.create(recipe=recipe, position=5, name="Strain", kind="work", minutes=minutes, **tub)
    catalog_changed()


def test_a_batch_that_a_later_step_finds_lukewarm_has_its_clock_from_the_heat() -> None:
    batch_make(45)
    (cold,) = batch_colds([("custard", Fraction(2400))], book_current())
    (one,) = cold.times
    assert one.cycle.plan.rule.title == PROFILES[COOKED].title
    assert [leg.leg.minutes for leg in one.trial.legs] == [120, 360]
    assert one.trial.legs[0].slow.minutes == 45


def test_a_batch_whose_steps_do_not_show_it_is_unanswered(client: Client) -> None:
    batch_make(None)
    (cold,) = batch_colds([("custard", Fraction(2400))], book_current())
    assert cold.missing is not None
    assert cold.missing.reason.code == "hot_before"
    user_make()
    client.login(username="maren", password=PASSWORD)
    page = page_text(client.get(reverse("recipe-cooling", args=[Recipe.objects.get(code="custard").pk])))
    assert "“Strain” leaves it at 68 °F, and its steps do not show that it was at 70 °F" in page
    assert "Meets the rule" not in page


def test_the_procedure_counts_from_the_heat(client: Client) -> None:
    tart_make("60")
    user_make()
    client.login(username="maren", password=PASSWORD)
    page = page_text(client.get(reverse("procedure")))
    assert "41 °F within 5 h" in page
