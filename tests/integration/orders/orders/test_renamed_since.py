"""An ingredient that an import renames after an order was confirmed: everybody who makes or hands it over reads it."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from catalog.pantry.models import Ingredient
from catalog.spreadsheets.imports import spreadsheet_import
from catalog.spreadsheets.services import spreadsheet_correct
from orders.quotes.send.to_read import to_read
from tests.factories import EVENT, draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.catalog.spreadsheets.conftest import upload
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 2, 9, tzinfo=UTC)


def test_the_order_the_day_and_the_sheets_say_that_it_is_not_checked_any_more() -> None:
    kitchen_make()
    order = order_make(allergies=("peanuts",))
    found = upload("ingredients", "Code,Ingredient\nsaffron,gianduia\n")
    spreadsheet_correct(spreadsheet_id=found.pk, seen=None, cells={}, answers={}, undecided="replace")
    spreadsheet_import(spreadsheet_id=found.pk, by="odile", at=AT)
    owner, days = signed_in(), f"?first={EVENT.date()}&last={EVENT.date()}"
    assert "must be checked again" in text(owner.get(reverse("order", args=[order.pk])))
    for name in ("sheet-recipes", "sheet-prep"):
        assert f"{order.number}, peanuts: not checked yet" in text(owner.get(reverse(name) + days))


@pytest.mark.parametrize("name", ["Kransekake", "Zorb sugar disc", "Praline crunch base", "Dark chocolate, 70%"])
def test_a_name_that_says_not_all_is_read_before_a_quote_goes_where_nobody_said_how_it_is_known(name: str) -> None:
    kitchen_make()
    row = Ingredient.objects.get(code="saffron")
    Ingredient.objects.filter(pk=row.pk).update(name=name, named_only={"tree-nuts": name})
    catalog_changed()
    quote = draft_make()

    def named() -> list[tuple[str, str]]:
        return [(one.what, one.text) for one in to_read(quote, book_current(), kitchen(), None) if one.kind == "named"]

    assert named() == [("says_nothing", name)]
    Ingredient.objects.filter(pk=row.pk).update(named_only={"free_by": f"asked:{name}", "tree-nuts": name})
    assert named() == []
