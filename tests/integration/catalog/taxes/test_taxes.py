"""Tax categories with dated rates."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.records.errors import ChangedMeanwhile
from catalog.taxes.models import TaxCategory, TaxRate
from catalog.taxes.selectors import tax_rows
from catalog.taxes.services import rate_add, rate_remove, tax_delete, tax_save
from tests.integration.catalog.book.forms import book_json, example
from tests.integration.catalog.book.test_book import taken_over
from tests.integration.catalog.kitchen_pages import shows, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    taken_over(example("small"))
    return signed_in()


TAX = {"name": "Prepared food", "untdid": "S", "exempt_reason": ""}


def test_a_category_gets_its_rates_one_date_after_another(owner):
    response = owner.post(reverse("kitchen-taxes-new"), TAX)
    tax = TaxCategory.objects.get(name="Prepared food")
    assert response.url == reverse("kitchen-taxes-edit", args=[tax.pk])
    assert "No rate in force today." in text(owner.get(response.url))
    soon = timezone.localdate() + timedelta(days=30)
    for rate, day in (("8", "2020-01-01"), ("8.25%", soon.isoformat())):
        owner.post(reverse("kitchen-taxes-rate", args=[tax.pk]), {"rate": rate, "starts": day})
    assert book_json()["taxes"]["prepared-food-2"] == [
        {"rate": "0.08", "from": "2020-01-01"},
        {"rate": "0.0825", "from": soon.isoformat()},
    ]
    page = text(owner.get(response.url))
    assert "8.25%" in page
    assert "in force today" in page


def test_the_code_goods_is_left_to_delivery(owner):
    owner.post(reverse("kitchen-taxes-new"), TAX | {"name": "Goods"})
    assert TaxCategory.objects.get(name="Goods").code == "goods-2"


@pytest.mark.parametrize(
    ("submitted", "sentence"),
    [
        ({"rate": "8", "starts": ""}, "Enter the first day."),
        ({"rate": "8", "starts": "2026-02-30"}, "as a date that exists"),
        ({"rate": "eight", "starts": "2027-01-01"}, "Write the rate as a number, such as 8.25."),
        ({"rate": "8", "starts": "2026-07-01"}, "There is already a rate from this day on."),
        ({"rate": "101", "starts": "2027-01-01"}, "The rate must be 100 or less."),
    ],
)
def test_a_wrong_rate_is_named_and_shown_again(owner, submitted, sentence):
    tax = TaxCategory.objects.get(code="prepared-food")
    response = owner.post(reverse("kitchen-taxes-rate", args=[tax.pk]), submitted)
    assert text(response).count(sentence) == 2
    assert shows(response, submitted["rate"])
    assert tax.rates.count() == 2


@pytest.mark.parametrize(
    ("submitted", "sentence"),
    [
        ({"name": ""}, "Enter a name, such as Prepared food."),
        ({"untdid": "E"}, "Enter the reason for no tax: the invoice has to say it."),
        ({"untdid": "Z"}, "This one has rates above 0: add a separate category."),
        ({"untdid": "Q"}, "Choose one of the offered entries for “Tax category code”"),
    ],
)
def test_a_wrong_category_is_named(owner, submitted, sentence):
    tax = TaxCategory.objects.get(code="prepared-food")
    response = owner.post(reverse("kitchen-taxes-edit", args=[tax.pk]), TAX | submitted)
    assert text(response).count(sentence) == 2


def test_an_exempt_category_has_no_rate_above_0(owner):
    tax = tax_save(tax_id=None, name="Exempt", untdid="E", exempt_reason="small business")
    response = owner.post(reverse("kitchen-taxes-rate", args=[tax.pk]), {"rate": "5", "starts": "2026-01-01"})
    assert "has the rate 0." in text(response)


def test_a_rate_that_has_begun_is_history_and_one_to_come_can_be_taken_out(owner):
    tax = TaxCategory.objects.get(code="prepared-food")
    today = timezone.localdate()
    rate_add(tax_id=tax.pk, rate=Decimal("0.09"), starts=today + timedelta(days=10))
    begun, to_come = tax.rates.order_by("starts").first(), tax.rates.order_by("starts").last()
    response = owner.post(reverse("kitchen-taxes-rate-delete", args=[begun.pk]))
    assert response.status_code == 422
    assert "that has begun cannot be changed" in text(response)
    assert owner.post(reverse("kitchen-taxes-rate-delete", args=[to_come.pk])).status_code == 302
    assert tax.rates.count() == 2
    with pytest.raises(ChangedMeanwhile):
        rate_remove(rate_id=to_come.pk, today=today)


def test_a_rate_nothing_was_taxed_with_can_be_taken_out():
    tax = tax_save(tax_id=None, name="Spare", untdid="S", exempt_reason="")
    rate_add(tax_id=tax.pk, rate=Decimal("0.05"), starts=date(2020, 1, 1))
    with pytest.raises(ChangedMeanwhile):
        rate_add(tax_id=tax.pk, rate=Decimal("0.06"), starts=date(2020, 1, 1))
    rate_remove(rate_id=tax.rates.get().pk, today=date(2026, 1, 1))
    assert not TaxRate.objects.exists()


def test_the_day_decides_which_rate_is_in_force(owner):
    (food, _) = tax_rows(today=date(2026, 6, 30))
    assert food.in_force.rate == Decimal("0.08")
    assert [rate.starts for rate in food.to_come] == [date(2026, 7, 1)]
    (food, _) = tax_rows(today=date(2026, 7, 1))
    assert food.in_force.rate == Decimal("0.0825")
    assert [rate.starts for rate in food.past] == [date(2025, 1, 1)]


def test_a_category_that_is_needed_is_not_deleted_and_says_by_what(owner):
    food, service = TaxCategory.objects.get(code="prepared-food"), TaxCategory.objects.get(code="service")
    response = owner.post(reverse("kitchen-taxes-delete", args=[food.pk]))
    assert response.status_code == 409
    assert "is used by the product Lemon set cream, glass" in text(response)
    assert owner.post(reverse("kitchen-taxes-delete", args=[service.pk])).status_code == 302
    with pytest.raises(ChangedMeanwhile):
        tax_delete(tax_id=service.pk)
