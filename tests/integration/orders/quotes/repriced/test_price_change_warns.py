"""A dearer ingredient says at once which open quotes fall below the floor margin."""

import html
import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack
from orders.quotes.models import Quote
from tests import factories

pytestmark = pytest.mark.django_db


def recorded(owner: Client, price: str, *, starts: date | None = None) -> str:
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
            "starts": (starts or factories.NOW.date()).isoformat(),
            "sure": "on",
        },
        follow=True,
    )
    assert Pack.objects.filter(price=Decimal(price)).exists()
    return answer.content.decode()


def test_a_price_that_eats_the_margin_names_the_quotes(owner: Client) -> None:
    assert "Now below floor" in recorded(owner, "9000.00")


def test_a_harmless_price_says_so(owner: Client) -> None:
    page = text_of(recorded(owner, "0.10"))
    assert "1 of 1 open quotes changes." in page
    assert "Above floor" in page


def test_a_catalog_that_cannot_be_priced_says_so_instead(owner: Client) -> None:
    factories.sent_make()
    ingredient = Ingredient.objects.order_by("pk")[0]
    Ingredient.objects.filter(pk=ingredient.pk).update(yield_share=Decimal(2))
    Kitchen.objects.update(revision=999)
    page = owner.get(f"{reverse('ingredient', args=[ingredient.pk])}?priced")
    assert page.status_code == 200
    assert "Prices cannot be computed." in page.content.decode()


class TestOneChange:
    """What one recorded, corrected or removed price does to the open quotes, with its cause."""

    def test_margins_before_and_after_stand_beside_the_cause(self, owner: Client) -> None:
        page = text_of(recorded(owner, "9000.00"))
        quote = Quote.objects.get(status="sent")
        row = re.search(rf"{quote.number} .*? (-?[\d,.]+%) (-?[\d,.]+%) (Now below floor)", page)
        assert row, page
        assert float(row[1].rstrip("%")) > float(row[2].rstrip("%").replace(",", ""))
        assert "before, $9,000.00 from" in page

    def test_a_correction_and_a_removal_are_shown_too(self, owner: Client) -> None:
        recorded(owner, "9000.00")
        pack = Pack.objects.get(price=Decimal("9000.00"))
        earlier = Pack.objects.exclude(pk=pack.pk).get(ingredient=pack.ingredient_id)
        page = text_of(post_version(owner, pack, price="9.00", do="correct"))
        assert "$9,000.00 before, $9.00 from" in page
        assert "Now below floor" not in page
        assert "9,000.00" not in text_of(owner.get(reverse("ingredient", args=[pack.ingredient_id])).content.decode())
        page = text_of(post_version(owner, Pack.objects.get(pk=pack.pk), do="remove"))
        assert "the price of $9.00 was removed" in page
        earlier.refresh_from_db()
        assert (earlier.ends, Pack.objects.filter(pk=pack.pk).exists()) == (None, False)

    def test_a_price_to_come_is_judged_on_its_first_day(self, owner: Client) -> None:
        page = text_of(recorded(owner, "9000.00", starts=factories.NOW.date() + timedelta(days=3)))
        assert "Until" in page
        assert "Now below floor" in page

    def test_a_correction_overwrites_nobodys(self, owner: Client) -> None:
        recorded(owner, "9000.00")
        pack = Pack.objects.get(price=Decimal("9000.00"))
        opened = owner.get(reverse("pack", args=[pack.pk])).content.decode()
        Pack.objects.filter(pk=pack.pk).update(price=Decimal(8))
        answer = owner.post(reverse("pack", args=[pack.pk]), {"price": "7", "version": version_in(opened)})
        assert answer.status_code == 409
        assert Pack.objects.get(pk=pack.pk).price == Decimal(8)

    @pytest.mark.parametrize("price", ["", "-1", "much"])
    def test_a_price_that_cannot_be_read_says_so(self, owner: Client, price: str) -> None:
        recorded(owner, "9000.00")
        pack = Pack.objects.get(price=Decimal("9000.00"))
        answer = owner.post(reverse("pack", args=[pack.pk]), {"price": price, "version": "x"})
        assert answer.status_code == 422
        assert Pack.objects.get(pk=pack.pk).price == Decimal("9000.00")


def text_of(page: str) -> str:
    """Return a page's words with single spaces."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", page))).replace("\xa0", " ").replace(" %", "%")


def version_in(page: str) -> str:
    """Return the version a form carries."""
    found = re.search(r'name="version" value="([^"]*)"', page)
    assert found
    return found[1]


def post_version(owner: Client, pack: Pack, **data: str) -> str:
    """Send the form of a price with its version, follow the redirect, return the page."""
    opened = owner.get(reverse("pack", args=[pack.pk])).content.decode()
    data = {"price": str(pack.price), "version": version_in(opened), "sure": "on", **data}
    return owner.post(reverse("pack", args=[pack.pk]), data, follow=True).content.decode()
