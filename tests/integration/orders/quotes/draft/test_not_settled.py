"""What is said of a window beside broken cooling names what is not settled, whatever the rule states."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.cooling.missing_presenters import note_sentence
from catalog.products.models import Product, ProductStep
from catalog.records.reasons import Reason
from tests.factories import NOW, draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db


def test_where_the_rule_states_no_times_it_is_not_called_broken() -> None:
    kitchen_make(food_safety="eu")
    tart = Product.objects.get(code="custard-tart")
    ProductStep.objects.create(product=tart, position=20, kind="rest", name="Stand", minutes=Decimal(1200))
    catalog_changed()
    quote = draft_make(at=NOW)
    page = text(signed_in("owner").get(reverse("inquiry", args=[quote.inquiry_id])))
    assert "Cooling is not settled: Custard tart, 10 cm." in page
    assert "The cooling rule is not met." not in page


@pytest.mark.parametrize(("loads", "words"), [(1, "1 load at most"), (2, "2 loads at most")])
def test_one_load_is_one_load(loads: int, words: str) -> None:
    facts = {"part": "Glaze", "every": 20.0, "most": 30.0, "loads": loads, "units": 24}
    assert words in note_sentence(Reason("one_batch_fills", facts))
