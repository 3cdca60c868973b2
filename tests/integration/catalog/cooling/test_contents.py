"""A body is what is in it at the time: components that go in later, mixed in cold or as a layer on top."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import Cooled, cooled
from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe
from costing.chilling import Cylinder, trial
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.recipes.test_recipes import page_text

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def found() -> Cooled:
    """Work the tart out as it stands."""
    return cooled([TART], book_current())[TART]


def cycle() -> CoolingCycle:
    """Return its only cooling cycle."""
    one = found()
    assert one.missing is None, one.missing
    (only,) = one.cycles
    return only


def taking(kind: str, *codes: str, **columns: Any) -> None:
    """Let the step of a kind take components in; the tart is finished once it is cold."""
    tart = Product.objects.get(code=TART)
    ProductStep.objects.get_or_create(product=tart, kind="finish", defaults={"position": 9})
    ProductStep.objects.filter(product__code=TART, kind=kind).update(takes=list(codes), **columns)
    catalog_changed()


def height(one: CoolingCycle) -> float:
    """Return how high it stands [mm]."""
    assert isinstance(one.plan.body, Cylinder)
    return one.plan.body.height_mm


def test_who_says_nothing_gets_the_whole_hot_from_the_start_and_a_note_that_this_is_cautious() -> None:
    cooling_kitchen_make()
    one = cycle()
    assert height(one) == 22
    assert [note.code for note in one.notes] == ["whole_from_start"]
    assert "That is the cautious assumption." in note_sentence(one.notes[0])


def test_what_goes_in_after_it_is_cold_is_not_in_the_hot_body() -> None:
    cooling_kitchen_make()
    whole = cycle()
    taking("bake", "paste")
    taking("finish", "custard")
    one = cycle()
    assert "whole_from_start" not in [note.code for note in one.notes]
    assert height(one) < 0.6 * height(whole)
    assert one.mixture.percent["water"] < whole.mixture.percent["water"]
    sooner, later = trial(one.plan).cold_likely, trial(whole.plan).cold_likely
    assert sooner is not None
    assert later is not None
    assert sooner < later


def test_what_no_step_takes_is_there_from_the_start() -> None:
    cooling_kitchen_make()
    taking("finish", "custard")
    both = height(cycle())
    taking("finish")
    taking("bake", "custard")
    assert height(cycle()) == 22 > both


@pytest.mark.parametrize("leaves_c", ["87", "80", "60"])
def test_what_goes_in_cold_never_lowers_the_temperature_stated_at_the_end_of_its_step(leaves_c: str) -> None:
    """A baked sponge “filled with cold cream” was counted as cool as the mixture would be, and met its rule."""
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="mixed", leaves_c=Decimal(leaves_c))
    one = cycle()
    assert one.plan.initial_c == float(leaves_c)
    assert one.plan.top is None
    assert height(one) == pytest.approx(22)


def test_what_goes_in_hot_raises_the_temperature_stated_at_its_step() -> None:
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(95), takes_as="mixed")
    assert 80 < cycle().plan.initial_c < 95


def filled(*, leaves_c: str, minutes: int, kind: str = "bake", **columns: Any) -> None:
    """Let the shell leave at 96 °C, and be filled right afterwards with cold custard."""
    tart = cooling_kitchen_make()
    tart.steps.filter(kind="bake").update(kind=kind, position=1, leaves_c=Decimal(96), takes=["paste"])
    tart.steps.filter(kind="rest").delete()
    tart.steps.filter(kind="chill").update(position=5)
    tart.steps.exclude(kind__in=(kind, "chill")).delete()
    into = {"takes": ["custard"], "takes_c": Decimal(4), "takes_as": "mixed", "leaves_c": Decimal(leaves_c)} | columns
    ProductStep.objects.create(product=tart, position=3, kind="fill", name="Fill", minutes=minutes, **into)
    catalog_changed()


def test_what_is_stated_colder_than_it_can_be_minutes_after_the_oven_is_asked_about() -> None:
    filled(leaves_c="15.6", minutes=2)
    missing = found().missing
    assert missing is not None
    assert missing_sentence(missing).startswith(
        "“Fill” is stated to leave at 60 °F, 2 min after “Bake” left it at 205 °F. Even at the fastest"
        " it is warmer then."
    )


@pytest.mark.parametrize("takes_as", ["mixed", "layer"])
def test_a_shell_that_is_safe_alone_is_hot_beneath_what_is_filled_into_it_cold(takes_as: str) -> None:
    """Seen: a sponge at 205 °F, filled with cream after ten minutes at "39 °F", met its rule."""
    filled(leaves_c="4", minutes=10, takes_as=takes_as)
    Recipe.objects.filter(code="paste").update(shelf_stable=True, shelf_stable_source="pH 4.2, a laboratory, May 2026")
    catalog_changed()
    missing = found().missing
    assert missing is not None
    assert missing.reason.code == "cooled_too_soon"


def test_what_has_had_the_time_to_get_that_cold_in_the_room_is_judged() -> None:
    filled(leaves_c="30", minutes=100)
    assert cycle().plan.initial_c == 30


def test_what_is_poured_and_mixed_cold_into_something_liquid_may_leave_it_colder() -> None:
    filled(leaves_c="60", minutes=1, kind="cook")
    assert found().missing is None
    ProductStep.objects.filter(kind="fill").update(takes_as="layer")
    catalog_changed()
    missing = found().missing
    assert missing is not None
    assert missing.reason.code == "cooled_too_soon"


def test_a_cold_addition_on_top_is_a_layer_of_its_own_and_both_are_judged() -> None:
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="layer")
    one = cycle()
    assert one.plan.initial_c == 80
    assert one.plan.top is not None
    assert one.plan.top.initial_c == 5
    assert height(one) == pytest.approx(22)
    assert 0 < one.plan.top.height_mm < 22
    lower, upper = trial(one.plan).layers
    assert lower.initial_c == 80
    assert upper.peak_c > 5


def test_what_goes_in_while_it_cools_counts_from_the_start_and_says_so() -> None:
    cooling_kitchen_make()
    taking("rest", "custard")
    one = cycle()
    assert height(one) == pytest.approx(22)
    assert [note.code for note in one.notes] == ["goes_in_while_cooling"]


def test_a_hot_step_before_anything_is_in_it_is_reported() -> None:
    cooling_kitchen_make()
    taking("finish", "custard", "paste")
    missing = found().missing
    assert missing is not None
    assert "Check at its steps what goes in at which." in missing_sentence(missing)


def test_the_page_shows_each_layer(client: Client) -> None:
    tart = cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="layer")
    user_make()
    client.login(username="maren", password=PASSWORD)
    shown = page_text(client.get(reverse("product-cooling", args=[tart.pk])))
    assert "Bottom layer 176 °F" in shown
    assert "Top layer 41 °F" in shown
