"""What may never get cold: one meaning and the same words for products and batches, on every page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product
from catalog.rates.models import Station
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.selectors import broken, ruled_now
from orders.quotes.send.services import quote_send
from orders.records.cooling_errors import StartNever
from orders.records.errors import NeverColdByNow
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.starting import order_start

pytestmark = pytest.mark.django_db
TARTS = {"custard-tart": 24}
#: At the slow end the air is a degree warmer: then 41 °F is never reached, while at the likely figures it is.
NEAR = Decimal("4.5")


def kitchen(*, product_cools: bool = False) -> None:
    batch_kitchen_make(depth_cm=Decimal(1), ice_bath=False)
    if not product_cools:
        tart = Product.objects.get(code="custard-tart")
        tart.steps.update(leaves_c=None)
        tart.steps.filter(kind="bake").update(kind="fill", temperature_c=None, station=None)
    catalog_changed()


def warm_room() -> None:
    Station.objects.filter(code="cold-room").update(air_c=NEAR)
    catalog_changed()


def test_never_is_at_the_slow_end_for_a_batch_as_for_a_product() -> None:
    kitchen(product_cools=True)
    warm_room()
    book = book_current()
    (batch,) = hot_batches(TARTS, book)
    (times,) = batch.times
    assert times.trial.cold_likely is not None
    assert times.trial.cold_slow is None
    assert times.trial.never
    assert all(time.never for time in cold_times(TARTS, book)["custard-tart"].times)
    assert {one.never for one in broken(TARTS, book)} == {True}


def test_a_batch_that_may_never_get_cold_is_not_sent_and_no_record_helps() -> None:
    kitchen()
    quote = draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    warm_room()
    assert [one.name for one in ruled_now(quote).never] == ["Baked custard"]
    with refused(NeverColdByNow, match="^Baked custard: may never get cold where it chills"):
        quote_send(quote_id=quote.pk, by=BY, at=NOW)
    client = signed_in("owner")
    for page in (reverse("quote-send", args=[quote.pk]), reverse("inquiry", args=[quote.inquiry_id])):
        text = " ".join(client.get(page).content.decode().split())
        assert "Baked custard, as a batch for this order, may never get to 41 °F where it chills." in text, page
        assert "planning a measurement does not help" in text, page
        assert 'class="note good"' not in text, page


def test_every_page_has_the_same_words(monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen(product_cools=True)
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    warm_room()
    client, day = signed_in("kitchen"), EVENT.date().isoformat()
    addresses = [reverse(name) for name in ("sheet-prep", "sheet-cold", "sheet-recipes", "sheet-handover")]
    for address in (*addresses, reverse("order", args=[order.pk]), reverse("order-batches", args=[order.pk])):
        text = " ".join(client.get(address, {"first": day, "last": day}).content.decode().split())
        assert "ay never get " in text, address
        assert "ever gets " not in text, address
        assert "ever reaches" not in text, address


def test_production_of_it_does_not_start_and_the_advice_is_what_helps() -> None:
    kitchen(product_cools=True)
    order = order_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    warm_room()
    with refused(StartNever, match="may never get cold where it chills, and planning a measurement does not help"):
        order_start(order_id=order.pk, by=BY, at=NOW)
    tart = reverse("product-cooling", args=[Product.objects.get(code="custard-tart").pk])
    for role, words in (("owner", "Set colder air at its station"), ("kitchen", "Ask the owner to set colder air")):
        client = signed_in(role)
        page = " ".join(client.get(reverse("order", args=[order.pk])).content.decode().split())
        assert words in page
        assert f'<a href="{tart}">How it cools, and what helps</a>' in page
        # No record of a measurement answers it.
        assert "Record what is measured instead, and by whom" not in page
        assert client.post(reverse("order-start", args=[order.pk])).status_code == 422
