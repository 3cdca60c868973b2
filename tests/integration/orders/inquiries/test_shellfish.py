"""A guest who writes shellfish may mean oysters: both are offered, and what the country's list lacks is stated."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.pantry.declarations import Serves
from catalog.pantry.models import Ingredient
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import needs_served
from orders.quotes.draft.dessert_table import table_of
from tests.factories import draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in

pytestmark = pytest.mark.django_db
BEYOND = "Not on your list of allergens, so nobody read labels for it. A guest may mean it all the same."


@pytest.mark.parametrize(("which", "named"), [("us", True), ("eu", False)])
def test_both_are_offered_from_a_note(which: str, *, named: bool) -> None:
    kitchen_make(allergen_list=which)
    draft = draft_make(allergies=())
    Inquiry.objects.update(allergy_note="2 guests: shellfish")
    page = signed_in().get(f"{reverse('inquiry-edit', args=[draft.inquiry_id])}?needs=note").content.decode()
    for code in ("crustaceans", "molluscs"):
        assert f'name="guests-{code}" value="2"' in page
    assert (BEYOND in page) is named


def test_what_is_on_no_list_of_the_country_was_not_checked() -> None:
    kitchen_make()
    for row in Ingredient.objects.all():
        row.allergen_answers.pop("molluscs", None)
        row.save(update_fields=["allergen_answers"])
    catalog_changed()
    draft = draft_make(allergies=("crustaceans", "molluscs"))
    served = needs_served(book_current(), [line.code for line in table_of(draft).lines], (), draft.inquiry)
    states = {one.need: {dish.serves for dish in one.dishes} for one in served}
    assert states["molluscs"] == {Serves.NOT_CHECKED}
