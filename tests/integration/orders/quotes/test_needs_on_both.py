"""A need is judged on what was approved and on what is there today together: neither alone makes anything free."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from catalog.pantry.other_needs import other_code
from orders.approvals.links import link_create
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.production.demand import orders_between
from orders.production.labels import label_file
from tests.factories import EVENT, NOW, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.production.test_label_data import rows

pytestmark = pytest.mark.django_db
CAKE = "Walnut sponge cake, two tiers"
SHEETS = ("sheet-handover", "sheet-prep", "sheet-recipes")


@pytest.fixture
def order() -> Order:
    """Return an order whose walnuts became hazelnuts after it was approved, and a need for walnuts after that."""
    kitchen_make()
    made = order_make(allergies=())
    walnut = Ingredient.objects.get(code="walnut")
    walnut.allergens, walnut.allergen_answers = ["hazelnuts"], {**walnut.allergen_answers, "walnuts": "free"}
    walnut.save()
    catalog_changed()
    Inquiry.objects.filter(pk=made.quote.inquiry_id).update(allergies=["walnuts"], need_counts={"walnuts": 1})
    return made


def test_a_later_need_is_held_to_what_was_approved(order: Order, client: Client) -> None:
    client.get(reverse("link-login", args=[link_create(quote_id=order.quote_id, at=NOW)]))
    owner = signed_in()
    pages = [
        text(client.get(reverse("quote-page", args=[order.quote_id]))),
        text(owner.get(reverse("order", args=[order.pk]))),
        *(text(owner.get(f"{reverse(name)}?first={EVENT.date()}&last={EVENT.date()}")) for name in SHEETS),
    ]
    for page in pages:
        assert not re.search(r"Walnut sponge[\w ,]* Contains [^.]*\. Keep it free of walnuts", page)
        assert not re.search(rf"[Ff]ree of (?:walnuts|it), by the suppliers' labels:[^.]*{CAKE}", page)
        assert "contains walnuts" in page


def test_the_labels_name_who_it_is_not_for(order: Order) -> None:
    assert label_file(orders_between(order.window_start.date(), order.window_start.date()))
    assert rows()[CAKE]["Not for guests"] == "1 guest: walnuts (contains walnuts)"


def test_a_need_in_own_words_that_names_an_allergen_is_answered_alike_everywhere(client: Client) -> None:
    kitchen_make()
    oil = other_code("walnut oil (cold pressed)")
    made = order_make(allergies=("walnuts", oil), need_counts={oil: 2})
    client.get(reverse("link-login", args=[link_create(quote_id=made.quote_id, at=NOW)]))
    owner = signed_in()
    assert "2 guests cannot have walnut oil (cold pressed)" in text(
        client.get(reverse("quote-page", args=[made.quote_id]))
    )
    for page in (
        text(client.get(reverse("quote-page", args=[made.quote_id]))),
        text(owner.get(reverse("order", args=[made.pk]))),
        *(text(owner.get(f"{reverse(name)}?first={EVENT.date()}&last={EVENT.date()}")) for name in SHEETS),
    ):
        assert "walnut oil (cold pressed)" in page
        assert "contains walnuts" in page
        assert "have not checked our desserts for walnut oil" not in page
    assert label_file(orders_between(made.window_start.date(), made.window_start.date()))
    assert "2 guests: walnut oil (cold pressed) (contains walnuts)" in rows()[CAKE]["Not for guests"]
