"""Every list can be put in another order, which its pages and its search go by."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.products.models import Product
from catalog.recipes.models import Recipe
from orders.inquiries.models import Customer, Inquiry
from tests import factories
from tests.factories import inquiry_make
from tests.integration.orders.builders import LATER, invoice_make, order_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    return client


def shown(owner: Client, name: str, **asked: Any) -> list[str]:
    """Return the names of the rows in the order of the page."""
    page = owner.get(reverse(name), asked).content.decode()
    if sort := asked.get("sort"):
        assert f'<option value="{sort}" selected>' in page
    return re.findall(r'<th scope="row">(?:(?!</th>).)*?<a [^>]*>([^<]*)</a>', page, re.DOTALL)


def inquiries() -> None:
    for title, days, guests, who in (("Plum", 3, 40, "Bo"), ("Apple", 1, None, "Cy"), ("Fig", 2, 90, "Al")):
        start = timezone.now() + timedelta(days=30 + days)
        person = Customer.objects.create(name=who, email=f"{who}@x.example", kind="venue", created_at=LATER)
        made = inquiry_make(title=title, window_start=start, window_end=start + timedelta(hours=1), guests=guests)
        Inquiry.objects.filter(pk=made.pk).update(customer=person)


@pytest.mark.parametrize(
    ("sort", "titles"),
    [
        ("", ["Apple", "Fig", "Plum"]),
        ("usual", ["Apple", "Fig", "Plum"]),
        ("latest", ["Plum", "Fig", "Apple"]),
        ("added", ["Fig", "Apple", "Plum"]),
        ("customer", ["Fig", "Plum", "Apple"]),
        ("event", ["Apple", "Fig", "Plum"]),
        ("guests", ["Fig", "Plum", "Apple"]),
        ("nonsense", ["Apple", "Fig", "Plum"]),
    ],
)
def test_inquiries(owner: Client, sort: str, titles: list[str]) -> None:
    inquiries()
    page = owner.get(reverse("inquiries"), {"sort": sort} if sort else {}).content.decode()
    assert re.findall(r'<a href="/inquiries/\d+/">([^<]*)</a>', page) == titles


def test_customers_by_name_type_and_when_they_were_added(owner: Client) -> None:
    for name, kind in (("Bo", "venue"), ("Al", "private"), ("Cy", "business")):
        Customer.objects.create(name=name, kind=kind, email=f"{name}@x.example", created_at=LATER)
    assert shown(owner, "customers") == shown(owner, "customers", sort="name") == ["Al", "Bo", "Cy"]
    assert shown(owner, "customers", sort="kind") == ["Cy", "Al", "Bo"]
    assert shown(owner, "customers", sort="added") == ["Cy", "Al", "Bo"]


def test_recipes_with_the_archived_ones_last_in_every_order(owner: Client) -> None:
    Recipe.objects.filter(code="custard").update(active=False)
    latest = list(Recipe.objects.filter(active=True).order_by("-pk").values_list("name", flat=True))
    assert shown(owner, "recipes", sort="latest") == [*latest, "Baked custard"]
    assert shown(owner, "recipes", sort="users")[-1] == "Baked custard"
    assert shown(owner, "recipes") == [*sorted(latest), "Baked custard"]


def test_products(owner: Client) -> None:
    def names(*columns: str) -> list[str]:
        return list(Product.objects.order_by("-active", *columns).values_list("name", flat=True))

    assert shown(owner, "products") == names("category", "name")
    for sort, columns in (("name", ["name"]), ("servings", ["-servings", "name"]), ("latest", ["-pk"])):
        assert shown(owner, "products", sort=sort) == names(*columns)


def test_the_register_from_its_other_end(owner: Client) -> None:
    numbers = [invoice_make(order_make()).number for _ in range(2)]
    assert shown(owner, "money-register") == numbers[::-1]
    assert shown(owner, "money-register", sort="oldest") == numbers


def test_a_list_says_its_order_in_the_links_to_other_pages(owner: Client) -> None:
    for number in range(30):
        Customer.objects.create(name=f"Person {number:02}", created_at=LATER)
    page = owner.get(reverse("customers"), {"sort": "added", "search": "person"}).content.decode()
    assert "?sort=added&amp;search=person&amp;page=2" in page
