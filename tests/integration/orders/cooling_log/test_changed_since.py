"""What is measured instead was recorded for these steps: another mold, height or lid since then is remarked on."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.cooling_log.breach_services import breaches_note
from orders.cooling_log.presenters import mark_shown
from orders.orders.models import Order
from tests.cooling_kitchen import override_make
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.cooling_log.measuring import START, TART, deep_order, mark_of
from tests.starting import order_start

pytestmark = pytest.mark.django_db
CHANGED = "The steps or the cooling changed since it was recorded what is measured instead"
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"


def filled_higher() -> Order:
    order = deep_order()
    order_start(order_id=order.pk, by=BY, at=START)
    mark = mark_of(order)
    assert mark is not None
    assert not mark.changed
    Product.objects.filter(code=TART).update(fill_height_cm=Decimal("9.4"))
    catalog_changed()
    return order


def test_another_height_is_remarked_on_until_it_is_recorded_again() -> None:
    order = filled_higher()
    mark = mark_of(order)
    assert mark is not None
    assert CHANGED in mark_shown(mark).sentence
    override_make(order.quote, measured="Probe at 2 h, 6 h and 10 h; ice bath if above 70 °F")
    mark = mark_of(order)
    assert mark is not None
    assert CHANGED not in mark_shown(mark).sentence


def test_the_order_and_the_sheets_say_it() -> None:
    order = filled_higher()
    owner = signed_in("owner")
    page = owner.get(reverse("order", args=[order.pk])).content.decode()
    assert CHANGED in " ".join(page.split())
    assert reverse("quote-cooling", args=[order.quote_id]) in page
    for name in ("sheet-cold", "sheet-handover", "sheet-prep"):
        assert CHANGED in text(owner.get(reverse(name) + DAYS)), name


def test_the_history_says_it() -> None:
    order = filled_higher()
    assert breaches_note(at=START) == 1
    page = text(signed_in("owner").get(reverse("order", args=[order.pk])))
    assert "Custard tart, 10 cm, by an edit" in page
