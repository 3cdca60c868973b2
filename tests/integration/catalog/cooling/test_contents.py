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


def test_a_cold_addition_that_is_mixed_in_lowers_the_temperature_it_starts_with() -> None:
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="mixed")
    one = cycle()
    assert 5 < one.plan.initial_c < 80
    assert one.plan.top is None
    assert height(one) == pytest.approx(22)


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
