"""A time by which something has to be measured says where nobody is there by the kitchen's hours."""

from datetime import time

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import OpenHours
from tests.factories import EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.cooling_log.measuring import deep_order

pytestmark = pytest.mark.django_db
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"


@pytest.mark.parametrize(("closes", "outside"), [("18:00", True), ("23:59", False)])
def test_the_sheets_say_which_readings_are_due_outside_the_hours(closes: str, *, outside: bool) -> None:
    deep_order()
    OpenHours.objects.update(opens=time(0) if not outside else time(8), closes=time.fromisoformat(closes))
    catalog_changed()
    page = text(signed_in("kitchen").get(reverse("sheet-cold") + DAYS))
    assert "After “Bake”, planned for" in page
    assert ("outside working hours" in page) is outside


@pytest.mark.parametrize(("closes", "words"), [("11:00", "41 °F by"), ("19:00", "(outside working hours: ")])
def test_a_row_says_it_once_and_of_which_times_where_it_is_not_all(closes: str, words: str) -> None:
    deep_order()
    OpenHours.objects.update(opens=time(9), closes=time.fromisoformat(closes))
    catalog_changed()
    page = text(signed_in("kitchen").get(reverse("sheet-cold") + DAYS))
    row = page.partition("After “Bake”, planned for")[2].partition(" The times to measure by")[0]
    assert row.count("outside working hours") == 1
    assert words in row
