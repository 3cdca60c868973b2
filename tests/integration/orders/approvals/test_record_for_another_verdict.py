"""A record of what is measured instead that was made for another verdict is not shown as if it stood."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, override_make
from tests.factories import BY, NOW, draft_make, line_make, table_make
from tests.integration.orders.register.test_register import signed_in
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def test_the_quote_and_the_yes_by_phone_say_so_with_the_link() -> None:
    cooling_kitchen_make(**DEEP)
    quote = draft_make(table=table_make(lines=(line_make("custard-tart", 24),), extras=()))
    override_make(quote)
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    client, link = signed_in("owner"), reverse("quote-cooling", args=[quote.pk])
    pages = (reverse("quote", args=[quote.pk]), reverse("quote-record-approval", args=[quote.pk]))
    for address in pages:
        assert "since you recorded what is measured instead" not in client.get(address).content.decode(), address
    Product.objects.filter(code="custard-tart").update(fill_height_cm="7.9")
    catalog_changed()
    for address in pages:
        page = client.get(address).content.decode()
        assert "changed since you recorded what is measured instead" in page, address
        assert link in page, address
