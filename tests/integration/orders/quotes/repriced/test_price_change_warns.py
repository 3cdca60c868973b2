"""A dearer ingredient says at once which open quotes fall below the floor margin."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from tests import factories

pytestmark = pytest.mark.django_db


def recorded(owner: Client, price: str) -> str:
    """Record a price of what the table needs most, follow the redirect, return the page."""
    quote = factories.sent_make()
    fill = quote.lines.order_by("pk")[0].product.fills.order_by("pk")[0]
    line = fill.recipe.lines.filter(ingredient__isnull=False).order_by("pk")[0]
    ingredient = Ingredient.objects.get(pk=line.ingredient_id)
    pack = Pack.objects.filter(ingredient=ingredient).order_by("pk")[0]
    Pack.objects.filter(ingredient=ingredient).exclude(pk=pack.pk).delete()
    answer = owner.post(
        reverse("pack-add", args=[ingredient.pk]),
        {
            "size": pack.size,
            "price": price,
            "supplier": str(pack.supplier or ""),
            "starts": factories.NOW.date().isoformat(),
        },
        follow=True,
    )
    assert Pack.objects.filter(price=Decimal(price)).exists()
    return answer.content.decode()


def test_a_price_that_eats_the_margin_names_the_quotes(owner: Client) -> None:
    assert "Below your floor margin at today's prices" in recorded(owner, "9000.00")


def test_a_harmless_price_says_so(owner: Client) -> None:
    assert "is below your floor margin" in recorded(owner, "0.10")


def test_a_catalog_that_cannot_be_priced_says_so_instead(owner: Client) -> None:
    factories.sent_make()
    ingredient = Ingredient.objects.order_by("pk")[0]
    Ingredient.objects.filter(pk=ingredient.pk).update(yield_share=Decimal(2))
    Kitchen.objects.update(revision=999)
    page = owner.get(f"{reverse('ingredient', args=[ingredient.pk])}?priced")
    assert page.status_code == 200
    assert "Prices cannot be computed." in page.content.decode()
