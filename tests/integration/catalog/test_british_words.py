"""A kitchen whose locale is British reads British words; an American one reads its own."""

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.recipes.models import Recipe
from tests.factories import PASSWORD, kitchen_make, user_make

pytestmark = pytest.mark.django_db


def page_text(client: Client, name: str, *args: int) -> str:
    """A page's text as people read it."""
    page = client.get(reverse(name, args=args)).content.decode()
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)))


@pytest.fixture
def owner(client: Client) -> Client:
    """The small kitchen with its owner signed in."""
    kitchen_make()
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


@pytest.mark.parametrize(
    ("name", "american", "british"),
    [
        ("recipe", "Labor,", "Labour,"),
        ("recipe-pan", "Choose one of your molds", "Choose one of your moulds"),
        ("molds", "No molds yet.", "No moulds yet."),
        ("mold-new", "New mold", "New mould"),
        ("catalog", "Everything in the catalog can be priced", "Everything in the catalogue can be priced"),
        ("kitchen-roles", "Labor", "Labour"),
        ("kitchen-overhead", "each labor hour", "each labour hour"),
        ("kitchen-delivery", "USD per kilometer", "USD per kilometre"),
        ("kitchen-hours", "Labor is planned within these hours", "Labour is planned within these hours"),
    ],
)
def test_a_page_is_in_the_english_of_its_kitchen(owner: Client, name: str, american: str, british: str) -> None:
    Kitchen.objects.update(distance="km")
    args = [Recipe.objects.get(code="paste").pk] if name in ("recipe", "recipe-pan") else []
    assert american in page_text(owner, name, *args)
    Kitchen.objects.update(locale="en_GB")
    assert british in page_text(owner, name, *args)
    assert american not in page_text(owner, name, *args)
