"""What likely meets its rule, and steps that are too short, are named at review, on the order and on the hand-over."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.recipes.models import Recipe, RecipeStep
from orders.quotes.cooling.remark_presenters import remarks_shown
from orders.quotes.cooling.remarked import remarked
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT, draft_make, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
LIKELY = "Custard tart, 10 cm: likely meets the cooling rule, but not if it cools slowly. Measure it."


def test_what_is_met_only_as_likely_is_carried_to_review_order_and_hand_over() -> None:
    cooling_kitchen_make(food_safety="au", degrees="C")
    table = table_make(lines=(line_make("custard-tart", 24),), extras=())
    quote = draft_make(table=table)
    owner = signed_in("owner")
    assert LIKELY in text(owner.get(reverse("quote-send", args=[quote.pk])))
    order = order_make(table=table)
    assert LIKELY in text(owner.get(reverse("order", args=[order.pk])))
    day = EVENT.date()
    assert LIKELY in text(owner.get(reverse("sheet-handover") + f"?first={day}&last={day}"))


def test_stated_steps_that_are_shorter_than_the_cooling_are_named() -> None:
    batch_kitchen_make()
    RecipeStep.objects.filter(recipe__code="custard", kind="chill").update(minutes=Decimal(5), hold_max=Decimal(40))
    catalog_changed()
    words = "Baked custard: its stated steps are too short for the cooling. They state "
    (remark,) = remarks_shown(replace(remarked({"custard-tart": 24}, book_current()), unstated=()))[-1:]
    assert remark.sentence.startswith(words)
    # The inquiry counts it among its warnings, and both pages lead to the recipe at the size of the table.
    quote = draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    owner, page = signed_in("owner"), reverse("recipe-cooling", args=[Recipe.objects.get(code="custard").pk])
    for answer in (reverse("inquiry", args=[quote.inquiry_id]), reverse("quote-send", args=[quote.pk])):
        html = owner.get(answer).content.decode()
        assert words in html
        assert f'href="{page}?amount=' in html


class TestAges:
    """What holds egg, milk, cream, custard or gelatin, and nobody said how long it keeps."""

    def test_one_line_names_all_such_components_and_leads_to_the_field(self) -> None:
        cooling_kitchen_make()
        RecipeStep.objects.filter(recipe__code="custard").update(hold_max=None)
        catalog_changed()
        quote, owner = (
            draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=())),
            signed_in("owner"),
        )
        html = owner.get(reverse("quote-send", args=[quote.pk])).content.decode()
        assert html.count("You have not stated how long ") == 1
        custard = Recipe.objects.get(code="custard")
        place = custard.steps.count() - 1
        assert f'href="{reverse("recipe-edit", args=[custard.pk])}#id_steps-{place}-hold_max"' in html
        form = owner.get(reverse("recipe-edit", args=[custard.pk])).content.decode()
        assert f'id="id_steps-{place}-hold_max"' in form

    def test_a_stated_hold_is_not_asked_for(self) -> None:
        cooling_kitchen_make()
        for recipe in Recipe.objects.all():
            last = recipe.steps.order_by("position").last()
            RecipeStep.objects.filter(pk=last.pk if last else None).update(hold_max=Decimal(600))
        catalog_changed()
        found = remarked({"custard-tart": 24}, book_current()).unstated
        assert all(one.step is None for one in found)
