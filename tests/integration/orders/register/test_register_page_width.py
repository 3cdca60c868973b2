"""The register lies across the page, and its files stand at the side of its totals."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.integration.orders.builders import invoice_make, order_make

pytestmark = pytest.mark.django_db


def test_the_register_is_as_wide_as_the_page_and_its_files_stand_beside_the_totals(owner: Client) -> None:
    invoice_make(order_make())
    page = owner.get(reverse("money-register")).content.decode()
    assert '<aside class="margin"' not in page
    beside = page[page.index('class="totals-and-files"') :]
    assert beside.index("Control totals in USD") < beside.index("Download CSV")
