"""What goes in warm and waits for loads that are filled one after the other is called, with in how many batches."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.warm_waits import WarmPart, warm_parts_of
from catalog.products.models import Product
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeStep
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import EVENT, draft_make, line_make, table_make
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
TART = "custard-tart"
DAY = EVENT.date().isoformat()


def kitchen(*, load: int = 2, hold_max: str = "30", takes: dict[str, Any] | None = None) -> Product:
    """Custard that is boiled and filled into loads of tarts, each of which bakes 50 minutes."""
    tart = cooling_kitchen_make()
    custard = Recipe.objects.get(code="custard")
    custard.steps.all().delete()
    columns = {"leaves_c": Decimal(85), "hold_max": Decimal(hold_max)} if takes is None else {}
    RecipeStep.objects.create(
        recipe=custard, name="Boil" if takes is None else "Mix", kind="cook" if takes is None else "mix", **columns
    )
    Product.objects.filter(pk=tart.pk).update(load=load)
    if takes is not None:
        tart.steps.filter(kind="fill").update(**takes)
    catalog_changed()
    return tart


def parts() -> list[WarmPart]:
    book = book_current()
    return warm_parts_of(book.product(TART), book)


def table() -> Any:
    return table_make(lines=(line_make(TART, 18),), extras=())


def test_it_waits_for_the_loads_before_the_last_and_is_made_in_more_batches() -> None:
    kitchen()
    (one,) = parts()
    assert (one.every, one.most, one.stated) == (50, 30, True)
    assert one.too_long(1) is None
    reason = one.too_long(9)
    assert reason is not None
    assert (reason.params["waits"], reason.params["batches"], reason.params["loads"]) == (400, 9, 1)


def test_what_is_filled_within_its_warm_hold_is_not_called() -> None:
    kitchen(hold_max="60")
    (one,) = parts()
    assert (one.loads_each, one.too_long(2)) == (2, None)
    reason = one.too_long(9)
    assert reason is not None
    assert reason.params["batches"] == 5


def test_without_a_warm_hold_the_time_of_the_rule_counts() -> None:
    """US Food Code 2022, 3-501.14(A): within 2 hours from 135 °F to 70 °F."""
    kitchen(takes={"takes": ["custard"], "takes_c": Decimal(40), "takes_as": "mixed"})
    (one,) = parts()
    assert (one.most, one.stated) == (120, False)


def test_what_is_made_at_once_or_goes_in_cold_does_not_wait() -> None:
    tart = kitchen()
    Product.objects.filter(pk=tart.pk).update(load=None)
    catalog_changed()
    assert parts() == []
    Product.objects.filter(pk=tart.pk).update(load=2)
    Recipe.objects.get(code="custard").steps.update(leaves_c=None, kind="mix", role=Role.objects.first())
    catalog_changed()
    assert parts() == []


def test_the_page_the_review_and_the_prep_list_call_it_with_the_remedy() -> None:
    tart = kitchen()
    owner = signed_in("owner")
    page = page_text(owner.get(reverse("product-cooling", args=[tart.pk])))
    assert "goes in warm, and a load is filled every 50 min. In its warm hold of 30 min one batch of it fills " in page
    quote = draft_make(table=table())
    for name, key in (("inquiry", quote.inquiry_id), ("quote-send", quote.pk)):
        review = page_text(owner.get(reverse(name, args=[key])))
        assert "waits warm for 6 h 40 min while 9 loads are filled one after the other" in review
        assert "Make it in 9 batches, each just before its loads. Loads for one batch at most: 1." in review


def test_the_prep_list_calls_it() -> None:
    kitchen()
    order_make(table=table())
    prep = page_text(signed_in("kitchen").get(reverse("sheet-prep"), {"first": DAY, "last": DAY}))
    assert "waits warm for 6 h 40 min while 9 loads are filled one after the other" in prep


def test_orders_of_other_days_are_filled_from_a_batch_of_their_own() -> None:
    kitchen(load=12, hold_max="50")
    one_load = table_make(lines=(line_make(TART, 6),), extras=())
    for days in range(3):
        order_make(table=one_load, window_start=EVENT - timedelta(days=days))
    first = (EVENT - timedelta(days=2)).date().isoformat()
    prep = page_text(signed_in("kitchen").get(reverse("sheet-prep"), {"first": first, "last": DAY}))
    assert "18" in prep
    assert "waits warm" not in prep
