"""Needs recorded after the customer's yes: named at the top of their page, and among the order's allergens."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergens import since_now
from orders.quotes.draft.dessert_table import TableExtra
from orders.templatetags.quote_content import diets_of_dishes, needs_now
from tests.factories import EVENT, extra_make, kitchen_make, sent_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.private_link import entered

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen() -> None:
    kitchen_make()


def test_the_page_says_first_that_the_pdf_lacks_them(client: Client) -> None:
    order = order_make(allergies=())
    Inquiry.objects.update(allergies=["walnuts"])
    page = text(entered(client, order.quote).get(f"/q/{order.quote_id}/"))
    assert "recorded after you approved, so it is not in the PDF" in page
    assert page.index("recorded after you approved") < page.index("What you approved")


def test_they_stand_among_the_orders_allergens_and_on_the_hand_over_list() -> None:
    owner, order = signed_in(), order_make(allergies=())
    Inquiry.objects.update(allergies=["walnuts"])
    inquiry, content = Inquiry.objects.get(), content_read(order.quote.content)
    (since,) = since_now([(content, inquiry)])
    title = needs_now(content, since)[0].title
    sheet = text(owner.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"))
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert title in sheet[sheet.index("Allergies and diets among the guests") :]
    assert title in page[page.rindex("Allergens ") :]


def test_beside_an_extra_that_is_food_no_diet_is_of_all_desserts() -> None:
    plain = content_read(sent_make().content)
    assert any("all desserts" in names for _, names in diets_of_dishes(plain))
    stand = extra_make()
    fruit = TableExtra("Fruit platter", 900, 2900, stand.tax_id, stand.tax_code, food="")
    table = table_make(extras=(fruit,))
    found = diets_of_dishes(
        content_read(order_make(table=table, allergies=("peanuts",), unchecked=("extra-1",)).quote.content)
    )
    assert found
    assert not any("all desserts" in names for _, names in found)
